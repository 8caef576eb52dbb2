package search

import (
	"slices"
	"strings"
	"testing"

	"example.com/halfspace/filter/ladder"
)

// The first few, written down by hand from the rules.
func TestCircuitsByHand(t *testing.T) {
	for n, want := range [][]string{
		{},
		{", C"},
		{", C R", ", C /L", ", C /R", "L, C"},
		{
			", C CR", ", C LC", ", C /L C", ", C /L R", ", C /L /R", ", C /R C", ", C /R R", ", C /RL", ", C /RC", ", C /LC",
			", C R /L", ", C R /R", ", R /L C", ", R /R C",
			"L, C R", "L, C /L", "L, C /R", "LC, C", "LR, C", "L /C, C",
		},
	} {
		var got []string
		for _, c := range Circuits(n) {
			got = append(got, spell(c))
		}
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%d parts:\n%q, want\n%q", n, got, want)
		}
	}
}

func TestCircuitsKeepTheRules(t *testing.T) {
	counts := []int{0, 1, 4, 20, 84, 339, 1317}
	seen := map[string]bool{}
	for n, want := range counts {
		all := Circuits(n)
		if len(all) != want {
			t.Errorf("%d circuits of %d parts, want %d", len(all), n, want)
		}
		for _, c := range all {
			name := spell(c)
			if seen[name] {
				t.Fatalf("%s stands twice", name)
			}
			seen[name] = true
			if got := len(partsOf(c)); got != n {
				t.Fatalf("%s has %d parts, want %d", name, got, n)
			}
			for w, network := range c {
				if network.Check() != nil || len(network) > 0 && network[0].Shunt || w == 1 && !strings.Contains(" "+spell(c[1:])+" ", " C ") {
					t.Fatalf("%s breaks a rule", name)
				}
				// DC reaches the woofer and nothing shorts it; none reaches the tweeter.
				if w == 0 && !(atDC(network) < 10) || w == 1 && atDC(network) < 1e300 {
					t.Fatalf("%s: way %d has %v at DC", name, w+1, atDC(network))
				}
				for i, a := range network[min(1, len(network)):] {
					if before := network[i]; before.Shunt == a.Shunt && armOf(before) == armOf(a) {
						t.Fatalf("%s has equal neighbours", name)
					}
				}
			}
		}
	}
}

// Without a part the rest is spelled as the grammar has it, and says where it was.
func TestHeritages(t *testing.T) {
	circuit := func(name string) []ladder.Network {
		for _, c := range Circuits(5) {
			if spell(c) == name {
				return c
			}
		}
		t.Fatalf("no circuit %s", name)
		return nil
	}
	c := circuit("L, C /L R /L")
	for i, p := range partsOf(c) {
		p.Value = float64(i + 1)
	}
	var got []string
	for _, h := range heritages(c) {
		got = append(got, spell(h.circuit))
		for i, p := range partsOf(h.circuit) {
			if p.Value != float64(h.from[i]+1) || h.from[i] == h.without {
				t.Errorf("without %d: part %d is %v, from %d", h.without, i, p, h.from[i])
			}
		}
	}
	if want := []string{", C /L R /L", "L, /L R /L", "L, C R /L", "L, C /L /L", "L, C /L R"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	// Neighbours that meet stand in the order of the table.
	if got := spell(heritages(circuit("L, R /L C R"))[2].circuit); got != "L, C R R" && got != "L, R C R" {
		t.Errorf("%q", got)
	}
	v := Values{}.filled()
	for part, small := range []bool{true, false, false, true, false} { // of the impedance, over 2 kHz
		x := *partsOf(c)[part]
		x.Value = faint(c, part, v)
		z := power(x.Impedance(2000))
		if small != (z < 16) {
			t.Errorf("part %d is %v", part, x)
		}
	}
}
