// Package parts holds what one can buy: the preferred values of IEC 60063, and a
// catalogue of crossover parts with their real losses, tolerances and prices.
//
// An [Item] carries a [example.com/halfspace/filter/ladder.Part], so what stands in the catalogue can be put
// into a network as it is:
//
//	shop, err := parts.ReadCatalogue(file)
//	coil := shop.Nearest(ladder.L(1.25*units.Millihenry), 1)[0]
//	n := ladder.Network{ladder.Series(coil.Part), ladder.Shunt(ladder.C(15*units.Microfarad))}
package parts
