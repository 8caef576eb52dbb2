// Package parts holds what one can buy: the preferred values of IEC 60063, and a
// catalogue of crossover parts with their real losses, tolerances and prices.
package parts
