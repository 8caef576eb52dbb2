package ts_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

func TestSpreadRows(t *testing.T) {
	golden.Run(t, "testdata/spread.csv", func(t *testing.T, r golden.Row) {
		part := func(name string) float64 { return r.Num(t, name+" spread", "%") / 100 }
		s := ts.Spread{
			Re: part("Re"), Bl: part("Bl"), Mms: part("Mms"), Cms: part("Cms"), Rms: part("Rms"), Sd: part("Sd"),
		}
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
		e := s.Estimates(six(t, r), air.Air{})
		switch r.Calculation {
		case "spread of fs":
			r.Check(t, 100*e.Deviation("fs"))
		case "spread of Qms":
			r.Check(t, 100*e.Deviation("Qms"))
		case "spread of Qes":
			r.Check(t, 100*e.Deviation("Qes"))
		case "spread of Qts":
			r.Check(t, 100*e.Deviation("Qts"))
		case "spread of Vas":
			r.Check(t, 100*e.Deviation("Vas"))
		case "spread of eta0":
			r.Check(t, 100*e.Deviation("eta0"))
		case "spread of fs/Qts":
			fs, q := e.Deviation("fs"), e.Deviation("Qts")
			r.Check(t, 100*math.Sqrt(fs*fs+q*q-2*e.Correlation("fs", "Qts")*fs*q))
		default:
			r.Unknown(t)
		}
	})
}

var run = ts.Spread{Re: 0.02, Bl: 0.025, Mms: 0.02, Cms: 0.08, Rms: 0.05, Sd: 0.01}

// The drawn drivers scatter as the estimates say, which share nothing with the draws
// but the spread; each is a driver, and a soft one is low and large.
func TestDrawsScatter(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	logs := make([][]float64, 6000)
	for i := range logs {
		d := run.Draw(woofer, rng)
		if err := d.Check(); err != nil {
			t.Fatal(err)
		}
		if d.Xmax != woofer.Xmax || d.Coil != woofer.Coil {
			t.Fatal("a draw changed what does not spread")
		}
		logs[i] = figures(d)
	}
	names := []string{"Re", "Bl", "Mms", "Cms", "Rms", "Sd", "fs", "Qms", "Qes", "Qts", "Vas", "eta0"}
	e := run.Estimates(woofer, air.Air{})
	scatters(t, names, logs, e, 0.03, 0.045)
	if c := e.Correlation("fs", "Vas"); !(c < -0.9) {
		t.Errorf("fs and Vas correlate by %g", c)
	}
}

// One seed, one run; without spread all are alike; a part that does not spread leaves
// the draws of the others alone.
func TestDrawsRepeat(t *testing.T) {
	draw := func(s ts.Spread) ts.Driver { return s.Draw(woofer, rand.New(rand.NewPCG(7, 3))) }
	if draw(run) != draw(run) {
		t.Error("one seed gave two drivers")
	}
	if draw(ts.Spread{}) != woofer {
		t.Error("a driver without spread changed")
	}
	fixed := run
	fixed.Bl = 0
	a, b := draw(run), draw(fixed)
	if a.Bl == b.Bl || b.Bl != woofer.Bl {
		t.Errorf("Bl %v and %v", a.Bl, b.Bl)
	}
	b.Bl = a.Bl
	if a != b {
		t.Errorf("%+v, want %+v", b, a)
	}
	rng := rand.New(rand.NewPCG(7, 3))
	near(t, "Re", float64(a.Re), float64(woofer.Re)*math.Exp(run.Re*rng.NormFloat64()), 1e-15)
	near(t, "Bl", float64(a.Bl), float64(woofer.Bl)*math.Exp(run.Bl*rng.NormFloat64()), 1e-15)
}

// A driver without mechanical losses has estimates too: its Qts is its Qes.
func TestSpreadWithoutLosses(t *testing.T) {
	d := woofer
	d.Rms = 0
	e := run.Estimates(d, air.Air{})
	near(t, "Qts", e.Deviation("Qts"), e.Deviation("Qes"), 1e-12)
	near(t, "with Qes", e.Correlation("Qts", "Qes"), 1, 1e-12)
	if got := (ts.Spread{Re: 0.02}).Estimates(d, air.Air{}).Correlation("Re", "Sd"); got != 0 {
		t.Errorf("correlation %g with a figure that does not spread", got)
	}
}

func TestBadSpread(t *testing.T) {
	for _, s := range []ts.Spread{{Re: -0.01}, {Bl: 0.6}, {Mms: math.NaN()}, {Cms: 8}, {Rms: math.Inf(1)}, {Sd: -1}} {
		var re *units.RangeError
		if err := s.Check(); !errors.As(err, &re) {
			t.Errorf("%+v: error %v", s, err)
		}
	}
}

// Generators of one seed and neighbouring indices, as the comment of Draw has them, are
// independent: no drift, and none follows the one before.
func TestDrawsByIndex(t *testing.T) {
	const n = 20000
	var sum, squares, lag float64
	last := 0.0
	for i := range uint64(n) {
		d := ts.Spread{Re: 1e-3, Cms: 1e-3}.Draw(woofer, rand.New(rand.NewPCG(1, i)))
		x := 1e3 * math.Log(float64(d.Re/woofer.Re))
		sum += x / n
		squares += x * x / n
		lag += x * last / n
		last = x
	}
	limit := 3.3 / math.Sqrt(n)
	if !(math.Abs(sum) < limit && math.Abs(squares-1) < math.Sqrt2*limit && math.Abs(lag) < limit) {
		t.Errorf("mean %g, mean square %g, product with the one before %g", sum, squares, lag)
	}
}
