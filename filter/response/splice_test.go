package response

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.com/halfspace/units"
)

// driverInBox is a vented box, fourth-order Butterworth at 40 Hz, with a driver that
// rolls off at 3 kHz: what the speaker does at all frequencies.
func driverInBox(f float64) complex128 {
	s := complex(0, f/40)
	low := s * s * s * s / ((s*s + complex(0.7654, 0)*s + 1) * (s*s + complex(1.8478, 0)*s + 1))
	t := complex(0, f/3000)
	return low / (1 + t/0.8 + t*t)
}

var panelled = Taken{Mounting: OnPanel, Panel: "front", Box: "30 L"}

// parts returns the truth as a near part, off by shift dB, late by delay and turned over
// if sign is -1, and a far part as a gate of 5 ms gives it.
func parts(shift, delay, sign float64) (near, far Curve) {
	near = Curve{Hz: LogGrid(10, 800, 48), HasPhase: true, Taken: panelled}
	for _, f := range near.Hz {
		near.H = append(near.H, driverInBox(f)*complex(sign*FromDB(shift), 0)*cmplx.Exp(complex(0, -2*math.Pi*f*delay)))
	}
	far = Curve{HasPhase: true, Taken: panelled, From: 200}
	far.Taken.Voltage = 2.83
	for f := 25.; f <= 20000; f += 25 {
		h := driverInBox(f)
		if f < 200 {
			h *= complex(1+f, 3) // what a gate leaves of low frequencies
		}
		far.Hz, far.H = append(far.Hz, f), append(far.H, h)
	}
	return near, far
}

// Parts that come from one speaker give it back, whatever gain, delay and polarity the
// near part has.
func TestSpliceGivesTheTruthBack(t *testing.T) {
	for _, shift := range []float64{0, -13.7, 6} {
		for _, delay := range []float64{0, 3e-3, -0.4e-3, 47e-6} {
			for _, sign := range []float64{1, -1} {
				near, far := parts(shift, delay, sign)
				got, seam, err := Splice(near, far, 220, 600)
				if err != nil {
					t.Fatal(err)
				}
				if !(math.Abs(seam.Shift+shift) <= 1e-4) || !(math.Abs(float64(seam.Delay)+delay) <= 1e-8) || seam.Inverted != (sign < 0) {
					t.Errorf("%g dB, %g s, sign %g: %+v", shift, delay, sign, seam)
				}
				if !(seam.LevelRMS <= 1e-3) || !(seam.PhaseRMS <= 0.02) || !(math.Abs(seam.Level) <= 1e-3) || !(math.Abs(seam.Phase) <= 0.02) {
					t.Errorf("%g dB, %g s, sign %g: mismatch %+v", shift, delay, sign, seam)
				}
				if got.From != 0 || got.Taken != far.Taken || !got.HasPhase || got.Hz[0] != 10 || got.Hz[len(got.Hz)-1] != 20000 {
					t.Errorf("from %v, %v, %v Hz to %v Hz", got.From, got.Taken, got.Hz[0], got.Hz[len(got.Hz)-1])
				}
				for i, f := range got.Hz {
					ratio := got.H[i] / driverInBox(f)
					if !(math.Abs(DB(ratio)) <= 1e-3) || !(math.Abs(Phase(ratio)) <= 0.01) {
						t.Errorf("%g dB, %g s, sign %g: %v Hz: off by %.2g dB, %.2g°", shift, delay, sign, f, DB(ratio), Phase(ratio))
						break
					}
				}
			}
		}
	}
}

// A second road: between parts that differ, the curve is the straight line of logarithms
// written out here, and outside of the blend the parts themselves. The parts differ by
// a bow that the fit cannot take up.
func TestSpliceBlends(t *testing.T) {
	near, far := parts(-3, 1e-3, -1)
	bow := func(f float64) complex128 {
		x := math.Log(f/300) / math.Log(2)
		return cmplx.Exp(complex(0.2*x*x, 0.3*x*x))
	}
	for i, f := range near.Hz {
		near.H[i] *= bow(f)
	}
	for _, phased := range []bool{true, false} {
		if !phased {
			near, far = near.magnitude(), far.magnitude()
		}
		got, seam, err := Splice(near, far, 220, 600)
		if err != nil {
			t.Fatal(err)
		}
		aligned := func(f float64) complex128 {
			h := driverInBox(f) * bow(f) * complex(FromDB(seam.Shift-3), 0) * cmplx.Exp(complex(0, -2*math.Pi*f*(float64(seam.Delay)+1e-3)))
			if phased {
				return h
			}
			return complex(cmplx.Abs(h), 0)
		}
		truth := func(f float64) complex128 {
			if phased {
				return driverInBox(f)
			}
			return complex(cmplx.Abs(driverInBox(f)), 0)
		}
		at := float64(seam.Frequency)
		lower, upper := at*math.Exp2(-1./12), at*math.Exp2(1./12)
		for i, f := range got.Hz {
			n, w := aligned(f), truth(f)
			share := min(max(math.Log(f/lower)/math.Log(upper/lower), 0), 1)
			want := cmplx.Exp(complex(1-share, 0)*cmplx.Log(n/w)) * w
			if !(cmplx.Abs(got.H[i]/want-1) <= 1e-4) {
				t.Errorf("phased %v: %v Hz: %v, want %v", phased, f, got.H[i], want)
			}
		}
		if r := aligned(at) / truth(at); !(math.Abs(DB(r)-seam.Level) <= 1e-4) || !(math.Abs(Phase(r)-seam.Phase) <= 1e-2) {
			t.Errorf("phased %v: seam %+v, real mismatch %v dB, %v°", phased, seam, DB(r), Phase(r))
		}
		if seam.LevelRMS < 0.01 || phased != (seam.PhaseRMS > 0.01) || seam.LevelRMS > 2 || phased != seam.Inverted {
			t.Errorf("phased %v: %+v", phased, seam)
		}
		// Nowhere in the band would they have met better.
		mean := func(at float64) (sum float64) {
			for i := -50; i <= 50; i++ {
				f := at * math.Exp2(float64(i)/50/12)
				d := cmplx.Abs(aligned(f)/truth(f) - 1)
				sum += d * d
			}
			return sum
		}
		for _, f := range LogGrid(234, 566, 100) {
			if mean(f) < 0.8*mean(at) && mean(at) > 1e-5 {
				t.Errorf("phased %v: at %v Hz the parts differ less than at %v Hz", phased, f, at)
				break
			}
		}
	}
}

// Shift is the mean difference in dB, delay and polarity what is asked of either part:
// changing a part by what Seam can say changes only that.
func TestSpliceIsLinear(t *testing.T) {
	near, far := parts(0, 0, 1)
	rng := rand.New(rand.NewPCG(4, 4))
	near = rough(near, 0.3, rng)
	for i := range near.H {
		near.H[i] *= cmplx.Rect(1, 0.05*rng.NormFloat64())
	}
	base, seam, err := Splice(near, far, 220, 600)
	if err != nil {
		t.Fatal(err)
	}
	moved := near
	moved.H = slices.Clone(near.H)
	for i, f := range near.Hz {
		moved.H[i] *= -2 * cmplx.Exp(complex(0, -2*math.Pi*f*0.7e-3))
	}
	louder := far
	louder.H = slices.Clone(far.H)
	for i := range far.H {
		louder.H[i] *= 5
	}
	same, other, err := Splice(moved, far, 220, 600)
	if err != nil || !(math.Abs(other.Shift-seam.Shift+20*math.Log10(2)) <= 1e-3) || !(math.Abs(float64(other.Delay-seam.Delay)+0.7e-3) <= 1e-6) || other.Inverted == seam.Inverted {
		t.Errorf("%+v after %+v, %v", other, seam, err)
	}
	loud, third, err := Splice(near, louder, 220, 600)
	if err != nil || !(math.Abs(third.Shift-seam.Shift-20*math.Log10(5)) <= 1e-9) || len(loud.H) != len(base.H) || len(same.H) != len(base.H) {
		t.Fatalf("%+v after %+v, %v", third, seam, err)
	}
	for i, h := range base.H {
		if !(cmplx.Abs(same.H[i]/h-1) <= 2e-3) { // rough phases interpolate otherwise when delayed
			t.Errorf("%v Hz: %v, with the near part moved %v", base.Hz[i], h, same.H[i])
		}
		if !(cmplx.Abs(loud.H[i]/h-5) <= 1e-9) {
			t.Errorf("%v Hz: %v, with the far part louder %v", base.Hz[i], h, loud.H[i])
		}
	}
}

// A level without phase on either side leaves no phase.
func TestSpliceWithoutPhase(t *testing.T) {
	near, far := parts(-4, 1e-3, -1)
	for _, c := range [][2]Curve{{near.magnitude(), far}, {near, far.magnitude()}, {near.magnitude(), far.magnitude()}} {
		got, seam, err := Splice(c[0], c[1], 220, 600)
		if err != nil {
			t.Fatal(err)
		}
		if got.HasPhase || seam.Delay != 0 || seam.Inverted || seam.Phase != 0 || !(math.Abs(seam.Shift-4) <= 1e-3) {
			t.Errorf("%v, %+v", got.HasPhase, seam)
		}
		if err := got.Check(); err != nil {
			t.Error(err)
		}
		for i, f := range got.Hz {
			if want := cmplx.Abs(driverInBox(f)); !(math.Abs(real(got.H[i])/want-1) <= 1e-4) {
				t.Errorf("%v Hz: %v, want %v", f, got.H[i], want)
			}
		}
	}
	if real(near.magnitude().H[0]) != cmplx.Abs(near.H[0]) || imag(near.H[0]) == 0 {
		t.Error("the caller's curve was changed")
	}
}

func TestSpliceRefuses(t *testing.T) {
	near, far := parts(0, 0, 1)
	nan := units.Frequency(math.NaN())
	with := func(c Curve, change func(t *Taken)) Curve { change(&c.Taken); return c }
	mounted := func(c Curve, m Mounting) Curve { c.Taken.Mounting, c.Taken.Panel = m, ""; return c }
	for _, c := range []struct {
		near, far Curve
		lo, hi    units.Frequency
		want      string
	}{
		{mounted(near, HalfSpace), far, 220, 600, "response: splice: near part taken half space: must be multiplied by the panel's effect first, since the far part was taken on a panel"},
		{mounted(near, HalfSpace), with(far, func(t *Taken) { t.Mounting = OnFloor }), 220, 600, "taken on the floor"},
		{mounted(near, NearCone), far, 220, 600, "near part taken near the cone: must be brought to the half space first"},
		{near, mounted(far, NearVent), 220, 600, "far part taken near the vent: must be a far field"},
		{mounted(near, Unsaid), far, 220, 600, "a part does not say how it was taken"},
		{near, mounted(far, Unsaid), 220, 600, "a part does not say how it was taken"},
		{near, mounted(far, HalfSpace), 220, 600, "near part taken on a panel: must be as the far part was, half space"},
		{with(near, func(t *Taken) { t.Panel = "side" }), far, 220, 600, `near part: panel "side": must be that of the far part, "front"`},
		{with(near, func(t *Taken) { t.Box = "" }), far, 220, 600, `near part: box "": must be that of the far part, "30 L"`},
		{near, far, 150, 600, "response: splice: band 150 Hz to 600 Hz: must lie within the 200 Hz to 20000 Hz in which the far part is valid"},
		{near, far, 220, 900, "response: splice: band 220 Hz to 900 Hz: must lie within the 10 Hz to 800 Hz in which the near part is valid"},
		{near, far, 500, 300, "must run upward and be a third of an octave wide at least"},
		{near, far, 300, 370, "must run upward and be a third of an octave wide at least"},
		{near, far, nan, 600, "must run upward"},
		{near, far, 220, nan, "must run upward"},
		{near, far, 220, units.Frequency(math.Inf(1)), "must run upward"},
		{near, far, 0, 600, "must run upward"},
		{Curve{}, far, 220, 600, "near part: response: a curve of 0 points"},
		{near, Curve{}, 220, 600, "far part: response: a curve of 0 points"},
	} {
		if _, _, err := Splice(c.near, c.far, c.lo, c.hi); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v\n want %s", err, c.want)
		}
	}
	if _, seam, err := Splice(near, far, 300, units.Frequency(300*math.Exp2(1./3))); err != nil || float64(seam.Frequency) < 300*math.Exp2(1./12)-0.01 || float64(seam.Frequency) > 300*math.Exp2(1./4)+0.01 {
		t.Errorf("the narrowest band: %+v, %v", seam, err)
	}
}

// Equal parts meet in the middle of the band, not where rounding says.
func TestSpliceOfEqualParts(t *testing.T) {
	c := Curve{Hz: LogGrid(100, 1600, 41), HasPhase: true, Taken: panelled} // 400 Hz is one of its points
	for _, f := range c.Hz {
		c.H = append(c.H, driverInBox(f))
	}
	near, far := c, c
	far.H = slices.Clone(c.H)
	for i := range far.H {
		far.H[i] *= complex(1+1e-9*math.Sin(float64(i*i)), 0)
	}
	got, seam, err := Splice(near, far, 200, 800)
	if err != nil || !(math.Abs(float64(seam.Frequency)-400) <= 1e-6) || len(got.Hz) != len(c.Hz) {
		t.Errorf("%+v, %d of %d points, %v", seam, len(got.Hz), len(c.Hz), err)
	}
}

// The delay is that of brute force, for either polarity, from a narrow and rough band.
func TestSpliceDelayAgainstBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 4))
	for range 10 {
		near, far := parts(0, 0.5e-3, -1)
		for i := range near.H {
			near.H[i] *= cmplx.Rect(1, 0.1*rng.NormFloat64())
		}
		_, seam, err := Splice(near, far, 250, 500)
		if err != nil {
			t.Fatal(err)
		}
		hz := LogGrid(250, 500, 480)
		n, f := make([]complex128, len(hz)), make([]complex128, len(hz))
		if near.Resample(n, hz) != nil || far.Resample(f, hz) != nil {
			t.Fatal("not resampled")
		}
		least, delay, inverted := math.Inf(1), 0., false
		for d := -2e-3; d <= 2e-3; d += 1e-6 {
			for _, sign := range []complex128{1, -1} {
				sum := 0.
				for i, v := range hz {
					turn := cmplx.Phase(sign * n[i] / f[i] * cmplx.Exp(complex(0, -2*math.Pi*v*d)))
					sum += turn * turn
				}
				if sum < least {
					least, delay, inverted = sum, d, sign == -1
				}
			}
		}
		if seam.Inverted != inverted || !(math.Abs(float64(seam.Delay)-delay) <= 2e-6) {
			t.Errorf("%v, %v; by brute force %v s, %v", seam.Delay, seam.Inverted, delay, inverted)
		}
	}
}

func BenchmarkSplice(b *testing.B) {
	near, far := parts(-3, 1e-3, 1)
	for b.Loop() {
		if _, _, err := Splice(near, far, 220, 600); err != nil {
			b.Fatal(err)
		}
	}
}
