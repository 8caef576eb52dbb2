package design

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// The bench's near and far fields, its maker's curve and its sweeps lead to the
// speaker from which they were invented.
func TestBenchIsTheBuildNight(t *testing.T) {
	truth := quick(t, "crossover.polarity=same")
	src := project.Open("", "bench")
	p, err := src.Load("crossover.polarity=same", "crossover.near=3")
	if err != nil {
		t.Fatal(err)
	}
	d, err := Run(src, p)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		name      string
		got, want []complex128
		lo, hi    float64
		db        float64
		turn      func(f float64) float64
	}{
		{"woofer", d.Woofer.Curves.Directions[0].P, truth.Woofer.Curves.Directions[0].P, 20, 12000, 0.25, func(float64) float64 { return 2 }},
		// Smoothed by an eighth of an octave, to 0.1 dB, without phase: as far off as it
		// says, and a degree for what the smoothing took. Above, the slope beyond 20 kHz
		// rules, a guess.
		{"tweeter", d.Tweeter.Curves.Directions[0].P, truth.Tweeter.Curves.Directions[0].P, 500, 8000, 0.25, func(f float64) float64 {
			return 1 + at(d.Tweeter.Curves.Read[0].Curve.Hz, d.Tweeter.Curves.Spread, units.Frequency(f))
		}},
	} {
		for i, f := range d.Hz {
			if f < x.lo || f > x.hi {
				continue
			}
			ratio := x.got[i] / x.want[i]
			if db, turn := response.DB(ratio), response.Phase(ratio); !(math.Abs(db) <= x.db && math.Abs(turn) <= x.turn(f)) {
				t.Errorf("%s at %.0f Hz: off by %.2f dB, %.1f°", x.name, f, db, turn)
			}
		}
	}
	if s := d.Woofer.Curves.Seam; s == nil || !(s.LevelRMS <= 0.1 && s.PhaseRMS <= 0.5) || s.Frequency < 250 || s.Frequency > 500 {
		t.Errorf("seam %+v", s)
	}
	ahead := (d.Centres.Tweeter.Z - d.Centres.Woofer.Z) * 1000
	if within := d.Centres.Within.In(units.Millimetre); !(math.Abs(ahead-20) <= within) || !(within <= 0.5) {
		t.Errorf("tweeter %.2f mm ahead, ± %.2f mm, want 20 mm", ahead, within)
	}
	near(t, "ripple, dB", d.Speaker.Choice.Score.Ripple, truth.Speaker.Choice.Score.Ripple, 0.1)
}

// The chain from half space to the demo's panel, with the panel's effect from its
// description: a piston and sources along the edges, in this test only.
func TestDemoPanel(t *testing.T) {
	d := quick(t, "crossover.polarity=same")
	for _, x := range []struct {
		name string
		from *Driver
		x, y float64
		sd   float64
	}{{"woofer", &d.Woofer, 0.11, 0.362, 136e-4}, {"tweeter", &d.Tweeter, 0.13, 0.5, 7e-4}} {
		stages := x.from.Curves.Stages
		before, after := stages[len(stages)-2], stages[len(stages)-1]
		if before.Taken.Mounting != response.HalfSpace || after.Taken.Mounting != response.OnPanel {
			t.Fatalf("%s: from %v to %v", x.name, before.Taken, after.Taken)
		}
		a := math.Sqrt(x.sd / math.Pi)
		for i, f := range d.Hz {
			if i%12 != 0 {
				continue // the others lie between the points of the table
			}
			k := 2 * math.Pi * f / 345
			const n = 3600
			var edge complex128
			for j := range n {
				sin, cos := math.Sincos((float64(j) + 0.5) * 2 * math.Pi / n)
				l := math.Inf(1)
				for _, w := range [][2]float64{{cos, 0.22 - x.x}, {-cos, x.x}, {sin, 0.6 - x.y}, {-sin, x.y}} {
					if w[0] > 1e-12 {
						l = min(l, w[1]/w[0])
					}
				}
				edge += cmplx.Rect(1./n, -k*l)
			}
			b := 1 - complex(math.J1(k*a)/(k*a), 0)*edge
			if ratio := after.P[i] / before.P[i] / b; !(math.Abs(response.DB(ratio)) <= 0.01 && math.Abs(response.Phase(ratio)) <= 0.1) {
				t.Errorf("%s at %.0f Hz: off by %.4f dB, %.3f°", x.name, f, response.DB(ratio), response.Phase(ratio))
			}
		}
	}
	// What the demo says of its woofer in 25 L tuned to 39 Hz, on its panel.
	s := d.Woofer.Curves.Stages
	for f, want := range map[float64]float64{50: 82.5, 100: 84.9, 200: 86.3, 500: 88.9, 1000: 88.0} {
		i := slices.IndexFunc(d.Hz, func(x float64) bool { return x >= f })
		got := 20 * math.Log10(cmplx.Abs(s[len(s)-1].P[i])*2.83/20e-6)
		near(t, "level, dB", got, want, 0.15) // 25.14 L, and the point of the grid above
	}
}
