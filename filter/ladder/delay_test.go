package ladder

import (
	"errors"
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/units"
)

// slope is the derivative of the driver's impedance to ω.
func (d driver) slope(hz float64) complex128 {
	w := 2 * math.Pi * hz
	y := complex(1/d.res, w*d.cmes-1/(w*d.lces))
	return complex(0, d.le) - complex(0, d.cmes+1/(w*w*d.lces))/(y*y)
}

func delayAt(n Network, hz float64, load, slope complex128) float64 {
	var tau [1]float64
	n.GroupDelay(tau[:], []float64{hz}, []complex128{load}, []complex128{slope})
	return tau[0]
}

// TestDelayIsGradient: the delay is the sum over all parts and the load of what their
// change with frequency does to the phase.
func TestDelayIsGradient(t *testing.T) {
	var worst float64
	randomNetworks(30, 1000, func(n Network, hz float64, load complex128) {
		slope := complex(1e-5*real(load), 1e-4*imag(load))
		g := gradientAt(n, hz, load)
		var sum complex128
		size := 0.0
		row := 0
		for _, p := range n.Parts() {
			var dz complex128
			if p.Kind != Resistor { // L and C stand beside ω wherever they do
				value, _, _ := p.Derivatives(hz)
				dz = value * complex(p.Value/(2*math.Pi*hz), 0)
			}
			sum += g.DH[row][0] / g.H[0] * dz
			size += cmplx.Abs(g.DH[row][0] / g.H[0] * dz)
			row++
		}
		h2, _ := solveAt(n, hz, 2*load)
		// 1/H = A + B/ZL: B = (1/H - 1/H2)·2·ZL, d ln H/dZL = B·H/ZL².
		own := (1/g.H[0] - 1/h2) * 2 * g.H[0] / load * slope
		sum += own
		size += cmplx.Abs(own)
		got := delayAt(n, hz, load, slope)
		d := math.Abs(got+imag(sum)) / (size + 1e-12)
		if !(d < 1e-10) {
			t.Errorf("%vat %g Hz into %g: delay %g s, by parts %g s", n, hz, load, got, -imag(sum))
		}
		worst = max(worst, d)
	})
	t.Logf("largest difference %.2g", worst)
}

// TestDelayIsSlopeOfPhase: differences of the phase of real circuits, over steps in
// which it cannot turn.
func TestDelayIsSlopeOfPhase(t *testing.T) {
	for _, c := range []struct {
		net Network
		d   driver
	}{{w1, w1Driver}, {t1, t1Driver}, {nil, w1Driver}} {
		for _, hz := range []float64{20, 55, 400, 2000, 12000} {
			// Differences of the fourth order; the ratios of neighbours never wrap.
			step := hz * 1e-3
			h := func(k float64) complex128 {
				f := hz + k*step
				h, _ := solveAt(c.net, f, c.d.impedance(f))
				return h
			}
			near, far := cmplx.Phase(h(1)/h(-1)), cmplx.Phase(h(2)/h(-2))
			want := -(8*near - far) / (12 * 2 * math.Pi * step)
			got := delayAt(c.net, hz, c.d.impedance(hz), c.d.slope(hz))
			if !(math.Abs(got-want) < 1e-9*max(math.Abs(want), 1e-6)) {
				t.Errorf("%vat %g Hz: %g s, differences %g s", c.net, hz, got, want)
			}
		}
	}
}

// TestDelayOfNothing: wires have none, a null has no phase.
func TestDelayOfNothing(t *testing.T) {
	if got := delayAt(nil, 1000, complex(6, 5), complex(0, 1e-3)); got != 0 {
		t.Errorf("a pair of wires: %g s", got)
	}
	var tau [1]float64
	Network{Series(R(3))}.GroupDelay(tau[:], []float64{100}, []complex128{8}, nil)
	if tau[0] != 0 {
		t.Errorf("resistors: %g s", tau[0])
	}
	hz, l, c := resonant(t)
	for name, n := range map[string]Network{
		"short": {Series(R(5)), Shunt(l, c)},
		"open":  {Series(l, c)},
		"empty": {Series()},
	} {
		if got := delayAt(n, hz, 8, 0); !math.IsNaN(got) {
			t.Errorf("%s: %g s, want NaN", name, got)
		}
	}
	if got := delayAt(w1, 100, 0, 0); !math.IsNaN(got) {
		t.Errorf("load of 0 Ω: %g s, want NaN", got)
	}
}

// TestLoadSlope: against the derivative of a driver, whose impedance peak is the
// hardest part; the error falls with the third power of the spacing.
func TestLoadSlope(t *testing.T) {
	worst := func(perOctave float64) float64 {
		var hz []float64
		var z []complex128
		for f := 10.0; f < 20e3; f *= math.Exp2(1 / perOctave) {
			hz, z = append(hz, f), append(z, w1Driver.impedance(f))
		}
		slope, err := LoadSlope(hz, z)
		if err != nil {
			t.Fatal(err)
		}
		var off, most float64
		for k, f := range hz {
			want := w1Driver.slope(f)
			off, most = max(off, cmplx.Abs(slope[k]-want)), max(most, cmplx.Abs(want))
		}
		return off / most
	}
	coarse, fine := worst(24), worst(48)
	t.Logf("24 per octave %.2g, 48 per octave %.2g", coarse, fine)
	if !(coarse < 0.01) || !(fine < coarse/7) {
		t.Errorf("24 per octave: %.2g, 48 per octave: %.2g of the largest slope", coarse, fine)
	}
}

func TestLoadSlopeErrors(t *testing.T) {
	nan := complex(math.NaN(), 0)
	for _, test := range []struct {
		hz   []float64
		z    []complex128
		want string
	}{
		{[]float64{1, 2, 3}, []complex128{1, 1, 1}, "ladder: load: 3 points: must be at least 4"},
		{[]float64{0, 2, 3, 4}, []complex128{1, 1, 1, 1}, "ladder: frequency 0 Hz: must be positive and finite"},
		{[]float64{1, 2, 2, 4}, []complex128{1, 1, 1, 1}, "ladder: frequency 2 Hz: must be above 2 Hz, the one before"},
		{[]float64{1, 2, 3, 4}, []complex128{1, 1, 1, nan}, "ladder: load at 4 Hz (NaN+0i) Ω: must be finite"},
	} {
		_, err := LoadSlope(test.hz, test.z)
		if err == nil || err.Error() != test.want || !errors.As(err, new(*units.RangeError)) {
			t.Errorf("error %v, want %s", err, test.want)
		}
	}
}

func BenchmarkGroupDelay(b *testing.B) {
	hz, woofer, _ := benchGrid()
	tau := make([]float64, len(hz))
	b.ReportAllocs()
	for b.Loop() {
		benchWoofer.GroupDelay(tau, hz, woofer, nil)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(hz)), "ns/point")
}
