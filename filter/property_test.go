package filter

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// randomSections yields a number generator with what every section needs, the same
// in every run.
func randomSections(seed uint64, test func(f, r float64, u func(lo, hi float64) float64)) {
	rng := rand.New(rand.NewPCG(seed, 5))
	u := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
	for range 200 {
		test(u(50, 10e3), u(1, 30), u)
	}
}

// randomPrototype returns a stable low-pass of up to six poles.
func randomPrototype(u func(lo, hi float64) float64) rational.Func {
	p := rational.Func{Gain: 1}
	if u(1, 4) < 2 {
		p = must(Butterworth(1)).Scaled(u(0.5, 2))
	}
	for n := int(u(1, 3.99)); n > 0; n-- {
		p = p.Mul(must(SecondOrder(u(0.3, 4))).Scaled(u(0.5, 2)))
	}
	return p
}

// A ladder of coils and capacitors loses nothing: what the source gives at 1 V, the
// load takes, and the load alone.
func TestLaddersLoseNothing(t *testing.T) {
	randomSections(1, func(f, r float64, u func(lo, hi float64) float64) {
		proto := randomPrototype(u)
		for _, n := range []ladder.Network{
			must(LowPass(proto, units.Frequency(f), units.Resistance(r))), must(HighPass(proto, units.Frequency(f), units.Resistance(r))),
		} {
			if err := n.Check(); err != nil {
				t.Fatal(err)
			}
			hz := f * u(0.1, 10)
			h, zin := solve(n, hz, complex(r, 0))
			given, taken := real(1/zin), real(h*cmplx.Conj(h))/r
			if !(math.Abs(given-taken) <= 1e-11*cmplx.Abs(1/zin)) {
				t.Errorf("%vat %g Hz into %g Ω: %g W given, %g W taken", n, hz, r, given, taken)
			}
		}
	})
}

// The high-pass is the low-pass in a mirror, and both do the same at another corner
// and impedance.
func TestLaddersMirrorAndScale(t *testing.T) {
	randomSections(2, func(f, r float64, u func(lo, hi float64) float64) {
		proto := randomPrototype(u)
		low := must(LowPass(proto, units.Frequency(f), units.Resistance(r)))
		high := must(HighPass(proto, units.Frequency(f), units.Resistance(r)))
		k, z, x := u(0.1, 10), u(0.1, 10), u(0.1, 10)
		moved := must(LowPass(proto, units.Frequency(f*k), units.Resistance(r*z)))
		h, zin := solve(low, f*x, complex(r, 0))
		mirrored, zm := solve(high, f/x, complex(r, 0))
		scaled, zs := solve(moved, f*k*x, complex(r*z, 0))
		for name, pair := range map[string][2]complex128{
			"mirrored gain": {cmplx.Conj(mirrored), h}, "mirrored impedance": {cmplx.Conj(zm), zin},
			"scaled gain": {scaled, h}, "scaled impedance": {zs / complex(z, 0), zin},
		} {
			if !(cmplx.Abs(pair[0]-pair[1]) <= 1e-10*cmplx.Abs(pair[1])) {
				t.Errorf("%vat %g times the corner: %s %v, want %v", low, x, name, pair[0], pair[1])
			}
		}
	})
}

// Any driver with its compensation is a resistance.
func TestCompensationOfAnyDriver(t *testing.T) {
	randomSections(3, func(fs, re float64, u func(lo, hi float64) float64) {
		qes, qms, le, hz := u(0.2, 3), u(0.5, 12), u(1e-5, 5e-3), u(5, 50e3)
		trap := must(ResonanceTrap(units.Resistance(re), units.Frequency(fs), qes, qms))
		_, peak := solve(trap, hz, resonant(re, fs, qes, qms, hz))
		zobel := must(Zobel(units.Resistance(re), units.Inductance(le)))
		_, rise := solve(zobel, hz, complex(re, 2*math.Pi*hz*le))
		for name, z := range map[string]complex128{"trap": peak, "Zobel": rise} {
			if !(cmplx.Abs(z-complex(re, 0)) <= 1e-11*re) {
				t.Errorf("%s for %g Ω, %g Hz, Qes %g, Qms %g, %g H: %v at %g Hz", name, re, fs, qes, qms, le, z, hz)
			}
		}
	})
}

// Pads, shelves and notches lower by something between nothing and what they are
// made for, and a pad by just that in front of anything resistive.
func TestSectionsStayWithinTheirDepth(t *testing.T) {
	randomSections(4, func(f, r float64, u func(lo, hi float64) float64) {
		db, hz := u(0.1, 59), f*u(0.01, 100)
		shelf := must(Shelf(db, units.Frequency(f), units.Resistance(r)))
		notch := must(Notch(db, units.Frequency(f), units.Frequency(f*u(0.02, 5)), units.Resistance(r)))
		for name, n := range map[string]ladder.Network{"shelf": shelf, "notch": notch} {
			h, zin := solve(n, hz, complex(r, 0))
			if g := decibel(cmplx.Abs(h)); !(g <= 1e-12 && g >= -db-1e-9) || !(real(zin) >= r*(1-1e-12)) {
				t.Errorf("%s of %g dB at %g Hz into %g Ω: %g dB at %g Hz, input %v", name, db, f, r, g, hz, zin)
			}
		}
		// Pads in a row add up, whatever kinds they are of.
		a, b := db/2, u(0.1, 30)
		row := append(must(TPad(a, units.Resistance(r))), must(Pad(b, units.Resistance(r)))...)
		row = append(row, must(PiPad(a, units.Resistance(r)))...)
		h, zin := solve(row, hz, complex(r, 0))
		if got := decibel(cmplx.Abs(h)); !(math.Abs(got+2*a+b) <= 1e-9) || !(cmplx.Abs(zin-complex(r, 0)) <= 1e-11*r) {
			t.Errorf("T %g dB, L %g dB, π %g dB: %g dB into %v", a, b, a, got, zin)
		}
	})
}
