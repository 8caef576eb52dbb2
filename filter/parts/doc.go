// Package parts holds what one can buy: the preferred values of IEC 60063, and a
// catalogue of crossover parts with their real losses, tolerances and prices.
//
// A value that no single part has is made of two, by [Series.Combinations] among
// preferred values or [Catalogue.Pairs] among articles; [Catalogue.Choices] are the
// articles of one value, as coils of thin and thick wire; [Compare] says what the
// cheaper one loses, and [Item.Bears] how near a duty comes to its rating. What one
// has already is read by [ReadDrawer], with the values as measured.
//
// An [Item] carries a [example.com/halfspace/filter/ladder.Part], so what stands in the catalogue can be put
// into a network as it is:
//
//	shop, err := parts.ReadCatalogue(file)
//	coil := shop.Nearest(ladder.L(1.25*units.Millihenry), 1)[0]
//	n := ladder.Network{ladder.Series(coil.Part), ladder.Shunt(ladder.C(15*units.Microfarad))}
package parts
