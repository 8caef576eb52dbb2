package ladder

import (
	"errors"
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/units"
)

// sweep is a circuit over n points per octave from 20 Hz to 20 kHz.
func sweep(net Network, d driver, perOctave float64) (hz []float64, zin []complex128) {
	var load []complex128
	for f := 20.0; f < 20e3; f *= math.Exp2(1 / perOctave) {
		hz, load = append(hz, f), append(load, d.impedance(f))
	}
	zin = make([]complex128, len(hz))
	net.Solve(make([]complex128, len(hz)), zin, hz, load)
	return hz, zin
}

// TestAssessLoad: nothing on the grid is below what is reported, which stands on it.
func TestAssessLoad(t *testing.T) {
	for _, c := range []struct {
		net Network
		d   driver
	}{{w1, w1Driver}, {t1, t1Driver}, {nil, w1Driver}} {
		hz, zin := sweep(c.net, c.d, 24)
		a, err := AssessLoad(hz, zin)
		if err != nil {
			t.Fatal(err)
		}
		minimum, hardest := false, false
		for k, z := range zin {
			if units.Resistance(cmplx.Abs(z)) < a.Minimum.Modulus || EPDR(z) < a.Hardest.EPDR {
				t.Errorf("%v at %g Hz is below %+v", z, hz[k], a)
			}
			at := func(p LoadPoint) bool {
				return p.Frequency == units.Frequency(hz[k]) &&
					cmplx.Abs(cmplx.Rect(float64(p.Modulus), float64(p.Phase))-z) < 1e-14*cmplx.Abs(z) && p.EPDR == EPDR(z)
			}
			minimum, hardest = minimum || at(a.Minimum), hardest || at(a.Hardest)
		}
		if !minimum || !hardest || a.Rated != RatedImpedance(a.Minimum.Modulus) {
			t.Errorf("%+v", a)
		}
		if a.Hardest.EPDR > a.Minimum.EPDR {
			t.Errorf("hardest %v, at the minimum %v", a.Hardest.EPDR, a.Minimum.EPDR)
		}
	}
	// A resistor is as hard as it is low; the first of equal ones counts.
	a, err := AssessLoad([]float64{1, 2, 3}, []complex128{infinite, 4, 4})
	want := LoadPoint{2, 4, 0, EPDR(4)}
	if err != nil || a.Minimum != want || a.Rated != 5 || a.Hardest.Frequency != 2 {
		t.Errorf("%+v, %v", a, err)
	}
}

func TestAssessLoadErrors(t *testing.T) {
	for _, test := range []struct {
		hz   []float64
		z    []complex128
		want string
	}{
		{nil, nil, "ladder: impedance: 0 points, none finite: must have a finite one"},
		{[]float64{100}, []complex128{infinite}, "ladder: impedance: 1 points, none finite: must have a finite one"},
		{[]float64{100}, []complex128{complex(math.NaN(), 1)}, "ladder: impedance at 100 Hz (NaN+1i) Ω: must be a number"},
		{[]float64{-1}, []complex128{8}, "ladder: frequency -1 Hz: must be positive and finite"},
		{[]float64{200, 100}, []complex128{8, 8}, "ladder: frequency 100 Hz: must be above 200 Hz, the one before"},
	} {
		_, err := AssessLoad(test.hz, test.z)
		if err == nil || err.Error() != test.want || !errors.As(err, new(*units.RangeError)) {
			t.Errorf("error %v, want %s", err, test.want)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	AssessLoad([]float64{1}, nil)
}

// TestRefineMinimum: a series resonance of Q 5 has its minimum R at f0, wherever the
// grid falls.
func TestRefineMinimum(t *testing.T) {
	const r, q, f0 = 3.0, 5.0, 1000.0
	var coarse, fine float64
	for shift := range 10 {
		var hz []float64
		var z []complex128
		for k := -30; k <= 30; k++ {
			f := f0 * math.Exp2((float64(k)+float64(shift)/10)/24)
			hz, z = append(hz, f), append(z, complex(r, r*q*(f/f0-f0/f)))
		}
		_, onGrid := MinimumImpedance(hz, z)
		f, least := RefineMinimum(hz, z)
		if least > onGrid {
			t.Errorf("refined %v, on the grid %v", least, onGrid)
		}
		coarse, fine = max(coarse, float64(onGrid)/r-1), max(fine, math.Abs(float64(least)/r-1))
		if !(math.Abs(float64(f)/f0-1) < 1e-3) {
			t.Errorf("minimum at %v", f)
		}
	}
	t.Logf("on the grid %.2g, refined %.2g", coarse, fine)
	if !(fine < 1e-3) || !(coarse > 5*fine) {
		t.Errorf("on the grid off by %.2g, refined by %.2g", coarse, fine)
	}
	// Ends and neighbours without a logarithm leave the point as it is.
	for _, z := range [][]complex128{{1, 2, 3}, {3, 2, 1}, {infinite, 1, 2}, {2, 0, 2}, {2, 2, 2}} {
		f, m := MinimumImpedance([]float64{1, 2, 3}, z)
		if rf, rm := RefineMinimum([]float64{1, 2, 3}, z); rf != f || rm != m {
			t.Errorf("%v: %v at %v, on the grid %v at %v", z, rm, rf, m, f)
		}
	}
}
