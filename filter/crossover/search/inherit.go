package search

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"example.com/halfspace/filter/ladder"
)

// spell writes a circuit in letters: arms in the order of the signal, those across the
// path with a stroke, as "L /C, C /L".
func spell(circuit []ladder.Network) string {
	var ways []string
	for _, n := range circuit {
		var arms []string
		for _, a := range n {
			arms = append(arms, armOf(a).String())
		}
		ways = append(ways, strings.Join(arms, " "))
	}
	return strings.Join(ways, ", ")
}

func (a arm) String() string {
	if a.shunt {
		return "/" + a.kinds
	}
	return a.kinds
}

func armOf(a ladder.Arm) arm {
	out := arm{shunt: a.Shunt}
	for _, p := range a.Parts {
		out.kinds += string("RLC"[p.Kind])
	}
	return out
}

// A heritage is a circuit without one of its parts.
type heritage struct {
	circuit []ladder.Network
	from    []int // of each part, which part of the whole circuit it is
	without int
}

// heritages returns what is left of a circuit without each of its parts, as the
// grammar writes it; some of that may not be in the grammar.
func heritages(circuit []ladder.Network) []heritage {
	type piece struct {
		arm   ladder.Arm
		parts []int
	}
	total := len(partsOf(circuit))
	var out []heritage
	for gone := range total {
		h := heritage{without: gone}
		part := 0
		for w, n := range circuit {
			table := wooferArms
			if w == 1 {
				table = tweeterArms
			}
			var pieces []piece
			for _, a := range n {
				p := piece{arm: ladder.Arm{Shunt: a.Shunt}}
				for _, x := range a.Parts {
					if part != gone {
						p.arm.Parts = append(p.arm.Parts, x)
						p.parts = append(p.parts, part)
					}
					part++
				}
				if p.parts != nil {
					pieces = append(pieces, p)
				}
			}
			// Neighbours of one place in the order of the table.
			for from := 0; from < len(pieces); {
				to := from
				for to < len(pieces) && pieces[to].arm.Shunt == pieces[from].arm.Shunt {
					to++
				}
				slices.SortStableFunc(pieces[from:to], func(a, b piece) int {
					return cmp.Compare(slices.Index(table, armOf(a.arm)), slices.Index(table, armOf(b.arm)))
				})
				from = to
			}
			network := ladder.Network{}
			for _, p := range pieces {
				network = append(network, p.arm)
				h.from = append(h.from, p.parts...)
			}
			h.circuit = append(h.circuit, network)
		}
		out = append(out, h)
	}
	return out
}

// faint returns a value at which a part of a circuit changes little: small in series,
// large across the path, and the other way round in company.
func faint(circuit []ladder.Network, part int, v Values) float64 {
	i := 0
	for _, n := range circuit {
		for _, a := range n {
			for _, p := range a.Parts {
				if i == part {
					lo, hi := v.span(p.Kind)
					small := lo // of the impedance
					large := hi
					if p.Kind == ladder.Capacitor {
						small, large = hi, lo
					}
					alone := len(a.Parts) == 1
					if a.Shunt == alone {
						small, large = large, small
					}
					return inward(small, large)
				}
				i++
			}
		}
	}
	panic("search: no such part")
}

// inward returns a value a quarter of the way from a bound to the other, on a scale of
// logarithms: at the bound itself too little would change to show where to go.
func inward(from, to float64) float64 { return math.Pow(from, 0.75) * math.Pow(to, 0.25) }
