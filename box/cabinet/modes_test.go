package cabinet_test

import (
	"math"
	"slices"
	"testing"

	. "example.com/halfspace/box/cabinet"
	"example.com/halfspace/units"
)

// A cube's modes are those of whole numbers that are sums of three squares, each as
// often as it can be written so.
func TestModesOfCube(t *testing.T) {
	modes, err := Modes([3]units.Length{1, 1, 1}, 340, units.Frequency(170*math.Sqrt(9.5)))
	if err != nil {
		t.Fatal(err)
	}
	want := map[int]int{1: 3, 2: 3, 3: 1, 4: 3, 5: 6, 6: 3, 8: 3, 9: 6}
	got := map[int]int{}
	for _, m := range modes {
		x := float64(m.Frequency) / 170
		square := int(math.Round(x * x))
		if !(math.Abs(x*x-float64(square)) < 1e-12) {
			t.Errorf("%v: %g is no whole number", m, x*x)
		}
		got[square]++
	}
	for square, n := range want {
		if got[square] != n {
			t.Errorf("%d can be written in %d ways, got %d", square, n, got[square])
		}
	}
	if len(modes) != 28 {
		t.Errorf("got %d modes, want 28", len(modes))
	}
	if !slices.IsSortedFunc(modes, func(a, b Mode) int { return int(math.Round(1e6 * float64(a.Frequency-b.Frequency))) }) {
		t.Error("not in rising order")
	}
	if first := modes[0]; first.N != [3]int{0, 0, 1} {
		t.Errorf("equal modes must come in the order of N, got %v first", first.N)
	}
}

// The pressure cos(n π x/l)... is zero in slope at both walls and obeys the wave
// equation: the sum of (n π/l)² is (2π f/c)².
func TestModesObeyWaveEquation(t *testing.T) {
	edges := [3]units.Length{0.524, 0.274, 0.1898}
	const c = 345.
	modes, err := Modes(edges, c, 2000)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range modes {
		var sum float64
		for i, n := range m.N {
			k := float64(n) * math.Pi / float64(edges[i])
			sum += k * k
		}
		k := 2 * math.Pi * float64(m.Frequency) / c
		close(t, "square of the wave number", k*k, sum)
	}
	// Weyl with its edge and corner terms, in a rigid box: V, S and L of the edges.
	x := 2000. / c
	v, s, l := 0.524*0.274*0.1898, 2*(0.524*0.274+0.274*0.1898+0.1898*0.524), 4*(0.524+0.274+0.1898)
	expected := 4*math.Pi/3*v*x*x*x + math.Pi/4*s*x*x + l/8*x
	if n := float64(len(modes)); math.Abs(n-expected) > 0.1*expected {
		t.Errorf("%g modes, on average there are %.1f", n, expected)
	}
}

func TestModesLimit(t *testing.T) {
	modes, err := Modes([3]units.Length{0.6, 0.4, 0.3}, 344, 344/0.6)
	if err != nil {
		t.Fatal(err)
	}
	// 573.33 Hz is the limit and both (0,0,1) and (2,0,0).
	if n := len(modes); n != 5 || modes[3].N != [3]int{0, 0, 1} || modes[4].N != [3]int{2, 0, 0} {
		t.Errorf("got %v", modes)
	}
	// Whatever the last bits: the limit is included, and equal modes come in the order of N.
	for i := range 200 {
		l := units.Length(0.1 + 0.001*float64(i))
		modes, err := Modes([3]units.Length{3 * l, l / 10, l}, 344, 344/2/units.Frequency(l))
		if err != nil || len(modes) != 4 || modes[2].N != [3]int{0, 0, 1} || modes[3].N != [3]int{3, 0, 0} {
			t.Errorf("%v: got %v, %v", l, modes, err)
		}
	}
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		v := units.Length(bad)
		if _, err := Modes([3]units.Length{1, v, 1}, 344, 100); err == nil {
			t.Errorf("an edge of %g m must be refused", bad)
		}
		if _, err := Modes([3]units.Length{1, 1, 1}, units.Velocity(bad), 100); err == nil {
			t.Errorf("a speed of %g m/s must be refused", bad)
		}
		if _, err := Modes([3]units.Length{1, 1, 1}, 344, units.Frequency(bad)); err == nil {
			t.Errorf("a limit of %g Hz must be refused", bad)
		}
	}
	if _, err := Modes([3]units.Length{1, 1, 1}, 344, 1e9); err == nil {
		t.Error("too many modes must be refused")
	}
}
