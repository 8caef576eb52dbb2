package align_test

import (
	"math"
	"math/cmplx"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/box/align"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// |D|² − |N|² is the same everywhere, and so flattest; the half-power point follows.
func TestFlatRadiatorIsFlat(t *testing.T) {
	for _, delta := range []float64{1.2, 1.5, 2, 3, 10, 1000} {
		r, err := align.FlatRadiator(delta)
		if err != nil {
			t.Fatal(err)
		}
		parts := func(x float64) (n, d complex128) {
			s := complex(0, x)
			p2 := s * s / complex(r.Y*r.Y, 0)
			n = s * s * (p2 + 1)
			return n, (s*s+s/complex(r.Qts, 0)+1)*(p2+1+complex(delta, 0)) + complex(r.Alpha, 0)*(p2+1)
		}
		square := func(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }
		for _, x := range []float64{0.2, 0.7, 1, 1.6, 3} {
			n, d := parts(x)
			want := (1 + delta + r.Alpha) * (1 + delta + r.Alpha)
			near(t, "flat", (square(d)-square(n))/want, 1, 1e-9*(1+square(n)/want))
		}
		n, d := parts(r.F3())
		near(t, "half power", square(n)/square(d), 0.5, 1e-12)
		back, err := align.FlatRadiatorFor(r.Qts)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "by Qts", back.Delta/delta, 1, 1e-8)
		near(t, "tuning", r.H(), r.Y*math.Sqrt(1+delta), 1e-15)
	}
	for _, delta := range []float64{0, 1.19, -1, math.NaN(), math.Inf(1)} {
		if _, err := align.FlatRadiator(delta); err == nil {
			t.Errorf("delta %v is accepted", delta)
		}
	}
	for _, qts := range []float64{0, 0.383, 1e-9, math.NaN()} {
		if r, err := align.FlatRadiatorFor(qts); err == nil {
			t.Errorf("Qts %v is accepted: %+v", qts, r)
		}
	}
}

// The band-pass box as the four-pole that it is.
func TestBandPassAgainstTheFourPole(t *testing.T) {
	for _, s := range []float64{0.3, 0.5, 0.7, 0.9} {
		for _, gain := range []float64{-2, 0, 4} {
			const qts = 0.3
			b, err := align.SymmetricBandPass(s, gain, qts)
			if err != nil {
				t.Fatal(err)
			}
			level := func(x float64) float64 { // f/fs
				q := complex(0, x/b.H)
				a2 := complex(1/b.Front/(1+1/b.Rear), 0)
				return 20 * math.Log10(cmplx.Abs(q*q/((q*q+q/complex(b.Qbp, 0)+1)*(q*q+1)+a2*q*q)))
			}
			near(t, "tuning", b.H, math.Sqrt(1+1/b.Rear), 1e-12)
			near(t, "gain", level(b.H), gain, 1e-9)
			near(t, "gain", b.Gain(), gain, 1e-12)
			for _, db := range []float64{3, 10 * math.Log10(2), 10} {
				lo, hi := b.Edges(db)
				near(t, "lower edge", level(lo), gain-db, 1e-9)
				near(t, "upper edge", level(hi), gain-db, 1e-9)
				near(t, "width", hi-lo, b.Width(db)/qts, 1e-9)
			}
			peak := gain
			for x := b.H / 4; x < 4*b.H; x *= 1.0005 {
				peak = max(peak, level(x))
			}
			near(t, "ripple", b.Ripple(), peak-gain, 1e-5)
		}
	}
	for _, c := range [][3]float64{{0, 0, 0.3}, {0.7, 0, -1}, {0.7, -30, 0.4}, {0.7, math.NaN(), 0.4}, {0.7, math.Inf(1), 0.4}} {
		if b, err := align.SymmetricBandPass(c[0], c[1], c[2]); err == nil {
			t.Errorf("%v is accepted: %+v", c, b)
		}
	}
	b := align.BandPassAlignment{S: 0.7}
	if lo, hi := b.Edges(-1); !math.IsNaN(lo) || !math.IsNaN(hi) {
		t.Errorf("edges at -1 dB: %v, %v", lo, hi)
	}
}

// Design, then analyse: the circuits have the responses of the definitions.
func TestChambersAgainstTheCircuit(t *testing.T) {
	for _, qts := range []float64{0.2, 0.3, 0.36} {
		d := ofQts(t, qts)
		r, err := align.Radiator(d, 300*units.SquareCentimetre, air.Air{})
		if err != nil {
			t.Fatal(err)
		}
		s := box.System{Driver: d, Enclosure: r.Box}
		near(t, "half power", s.Gain(r.Cutoff), -10*math.Log10(2), 1e-9)
		near(t, "tuning", float64(r.Box.Fb(air.Standard())/d.Fs()), r.H(), 1e-9)
		for _, x := range []float64{0.7, 1.3, 2.2, 5} {
			// |G|² = n²/(n² + (t+α)²)
			n := x * x * (1 - x*x/(r.Y*r.Y))
			near(t, "radiator", s.Gain(d.Fs()*units.Frequency(x)), -10*math.Log10(1+math.Pow((1+r.Delta+r.Alpha)/n, 2)), 1e-8)
		}

		b, err := align.BandPass(d, 0.6, 1, air.Standard())
		if err != nil {
			t.Fatal(err)
		}
		s.Enclosure = b.Box
		near(t, "lower edge", s.Gain(b.Lower), 1-10*math.Log10(2), 1e-9)
		near(t, "upper edge", s.Gain(b.Upper), 1-10*math.Log10(2), 1e-9)
		near(t, "middle", s.Gain(b.Box.Front.Fb*(1+1e-9)), 1, 1e-7)
	}
	d := ofQts(t, 0.3)
	if _, err := align.Radiator(d, 0, air.Air{}); err == nil {
		t.Error("a radiator without area is accepted")
	}
	if _, err := align.Radiator(ofQts(t, 0.5), 0.03, air.Air{}); err == nil {
		t.Error("a Qts above the family is accepted")
	}
	if _, err := align.BandPass(ts.Driver{}, 0.6, 1, air.Air{}); err == nil {
		t.Error("no driver is accepted")
	}
}
