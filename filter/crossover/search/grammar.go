package search

import (
	"math"
	"slices"

	"example.com/halfspace/filter/ladder"
)

// An arm is one of those that a way may have.
type arm struct {
	shunt bool
	kinds string // of its parts: L, C, R
}

// The arms of each way, of one place in the order in which neighbours stand.
var (
	wooferArms = []arm{
		{false, "L"}, {false, "LC"}, {false, "LR"}, {false, "LCR"},
		{true, "C"}, {true, "RC"}, {true, "LC"}, {true, "RLC"},
	}
	tweeterArms = []arm{
		{false, "C"}, {false, "R"}, {false, "CR"}, {false, "LC"}, {false, "RLC"},
		{true, "L"}, {true, "R"}, {true, "RL"}, {true, "RC"}, {true, "LC"}, {true, "RLC"},
	}
)

// Circuits returns all sensible circuits of n parts by the grammar of the package, a
// network for the woofer and one for the tweeter, in a fixed order. All values are 1 in
// their units. Every circuit stands for two, one of each polarity.
//
// There are 1, 4, 20, 84, 339 and 1317 of 1 to 6 parts.
func Circuits(n int) [][]ladder.Network {
	var out [][]ladder.Network
	for low := range max(n, 0) {
		for _, w := range branches(wooferArms, low, func(b []arm) bool { return true }) {
			for _, t := range branches(tweeterArms, n-low, tweeterStands) {
				out = append(out, []ladder.Network{network(w), network(t)})
			}
		}
	}
	return out
}

// branches returns the ladders of n parts from some arms that may stand.
func branches(arms []arm, n int, stands func([]arm) bool) [][]arm {
	var out [][]arm
	var grow func(b []arm, left int)
	grow = func(b []arm, left int) {
		if left == 0 {
			if stands(b) {
				out = append(out, slices.Clone(b))
			}
			return
		}
		for i, a := range arms {
			if len(a.kinds) > left || len(b) == 0 && a.shunt {
				continue
			}
			if k := len(b); k > 0 && b[k-1].shunt == a.shunt {
				// Neighbours of one place: in order, no two equal, no three.
				if slices.Index(arms, b[k-1]) >= i || k > 1 && b[k-2].shunt == a.shunt {
					continue
				}
			}
			grow(append(slices.Clip(b), a), left-len(a.kinds))
		}
	}
	grow(nil, n)
	return out
}

// tweeterStands tells whether DC is kept from the tweeter by one capacitor, and what
// works against its coil stands at it.
func tweeterStands(b []arm) bool {
	if !slices.Contains(b, arm{false, "C"}) {
		return false
	}
	for i, a := range b {
		if a == (arm{true, "RC"}) && slices.ContainsFunc(b[i:], func(a arm) bool { return !a.shunt }) {
			return false
		}
	}
	return true
}

// network builds a ladder, all values 1.
func network(b []arm) ladder.Network {
	n := ladder.Network{}
	for _, a := range b {
		arm := ladder.Arm{Shunt: a.shunt}
		for _, k := range a.kinds {
			kind := ladder.Resistor
			switch k {
			case 'L':
				kind = ladder.Inductor
			case 'C':
				kind = ladder.Capacitor
			}
			arm.Parts = append(arm.Parts, ladder.Part{Kind: kind, Value: 1})
		}
		n = append(n, arm)
	}
	return n
}

// suggest gives the parts of a circuit the values that a handbook might, for a
// crossing at hz between drivers of so many ohms, a tweeter too loud by a factor, and
// the tweeter's resonance.
func suggest(networks []ladder.Network, hz, woofer, tweeter, louder, resonance float64) {
	for w, n := range networks {
		z := woofer
		if w == 1 {
			z = tweeter
		}
		for a := range n {
			fill(n[a], w, hz, z, louder, resonance)
		}
	}
}

func fill(a ladder.Arm, w int, hz, z, louder, resonance float64) {
	const notch = 2.4 // of a trap, in the way's stop band, over the crossing
	omega := 2 * math.Pi * hz
	henry, farad := z/omega, 1/(z*omega)
	trap := omega * notch
	if w == 1 {
		trap = omega / notch
	}
	find := func(k ladder.Kind) *ladder.Part {
		for i := range a.Parts {
			if a.Parts[i].Kind == k {
				return &a.Parts[i]
			}
		}
		return nil
	}
	l, c, r := find(ladder.Inductor), find(ladder.Capacitor), find(ladder.Resistor)
	if l != nil {
		l.Value = henry
	}
	if c != nil {
		c.Value = farad
	}
	if r != nil {
		r.Value = z
		if w == 1 && !a.Shunt {
			r.Value = z * max(louder-1, 0.1)
		}
		if w == 1 && a.Shunt && l == nil && c == nil {
			r.Value = 2 * z
		}
		if w == 1 && a.Shunt && c == nil && l != nil {
			r.Value = z / 4
		}
	}
	if l == nil || c == nil {
		return
	}
	if r != nil && w == 1 { // against the resonance
		trap = 2 * math.Pi * resonance
	}
	// One of the two keeps its value, the one that works in the band of the way.
	if a.Shunt == (w == 0) {
		l.Value = 1 / (trap * trap * c.Value)
	} else {
		c.Value = 1 / (trap * trap * l.Value)
	}
}
