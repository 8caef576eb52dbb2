package ladder

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"example.com/halfspace/units"
)

// randomNetworks yields networks with parts, losses, loads and frequencies as they
// occur in crossovers, the same in every run.
func randomNetworks(seed uint64, count int, test func(n Network, hz float64, load complex128)) {
	r := rand.New(rand.NewPCG(seed, 0))
	between := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, r.Float64()) }
	for range count {
		var n Network
		for range r.IntN(7) {
			a := Arm{Shunt: r.IntN(2) == 0}
			for range 1 + r.IntN(3) {
				var p Part
				switch r.IntN(3) {
				case 0:
					p = Part{Kind: Resistor, Value: between(0.5, 50)}
				case 1:
					p = Part{Kind: Inductor, Value: between(0.05e-3, 5e-3), Resistance: units.Resistance(between(0.05, 1))}
				case 2:
					p = Part{Kind: Capacitor, Value: between(0.5e-6, 100e-6), Loss: between(1e-4, 0.1)}
					if r.IntN(2) == 0 {
						p.Resistance = units.Resistance(between(0.01, 0.2))
					}
				}
				a.Parts = append(a.Parts, p)
			}
			n = append(n, a)
		}
		test(n, between(10, 40e3), complex(between(2, 30), 40*r.Float64()-20))
	}
}

func TestEnergyBalance(t *testing.T) {
	worst := 0.0
	randomNetworks(1, 3000, func(n Network, hz float64, load complex128) {
		if err := n.Check(); err != nil {
			t.Fatal(err)
		}
		s, err := n.State(hz, load)
		if err != nil {
			t.Fatal(err)
		}
		// Heat: the powers add up to what the source delivers. Tellegen's theorem:
		// so does V I* of all parts, reactive power included.
		heat, all := s.Load.Power, s.Load.Voltage*cmplx.Conj(s.Load.Current)
		for _, p := range s.Parts {
			if !(p.Power >= 0) {
				t.Errorf("%vat %g Hz into %g: a part gives %g W", n, hz, load, p.Power)
			}
			heat += p.Power
			all += p.Voltage * cmplx.Conj(p.Current)
		}
		apparent := cmplx.Abs(s.Current)
		errHeat := math.Abs(heat-real(s.Current)) / apparent
		errAll := cmplx.Abs(all-cmplx.Conj(s.Current)) / apparent
		if !(errHeat < 1e-12 && errAll < 1e-12) {
			t.Errorf("%vat %g Hz into %g: power off by %.2g, V I* by %.2g of the apparent power", n, hz, load, errHeat, errAll)
		}
		worst = max(worst, errHeat, errAll)
	})
	t.Logf("largest error %.2g of the apparent power", worst)
}

// TestStateIsSolve ties the two walks together.
func TestStateIsSolve(t *testing.T) {
	randomNetworks(2, 1000, func(n Network, hz float64, load complex128) {
		h, zin := solveAt(n, hz, load)
		s, err := n.State(hz, load)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmplx.Abs(s.Load.Voltage/h - 1); !(d < 1e-13) {
			t.Errorf("%vat %g Hz into %g: h %v, load voltage %v", n, hz, load, h, s.Load.Voltage)
		}
		if d := cmplx.Abs(s.Current*zin - 1); !(d < 1e-13) {
			t.Errorf("%vat %g Hz into %g: zin %v, current %v", n, hz, load, zin, s.Current)
		}
	})
}

func TestPassive(t *testing.T) {
	randomNetworks(3, 3000, func(n Network, hz float64, load complex128) {
		if _, zin := solveAt(n, hz, load); !(real(zin) >= 0) {
			t.Errorf("%vat %g Hz into %g: zin %v", n, hz, load, zin)
		}
	})
}

// TestReciprocity: the current that 1 V at one end drives into a resistor at the
// other end is the same from either end.
func TestReciprocity(t *testing.T) {
	randomNetworks(4, 1000, func(n Network, hz float64, load complex128) {
		near, far := R(units.Resistance(real(load))), R(4.7)
		forth := append(Network{Series(near)}, n...)
		back := Network{Series(far)}
		for k := len(n) - 1; k >= 0; k-- {
			back = append(back, n[k])
		}
		h1, _ := solveAt(forth, hz, complex(far.Value, 0))
		h2, _ := solveAt(back, hz, complex(near.Value, 0))
		if d := cmplx.Abs(h1/complex(far.Value, 0)*complex(near.Value, 0)/h2 - 1); !(d < 1e-12) {
			t.Errorf("%vat %g Hz between %v and %v: forth %v, back %v", n, hz, near, far, h1, h2)
		}
	})
}

// TestScaling: higher impedances leave h alone; smaller coils and capacitors move
// it up in frequency.
func TestScaling(t *testing.T) {
	randomNetworks(5, 1000, func(n Network, hz float64, load complex128) {
		h, zin := solveAt(n, hz, load)
		const a, b = 3.7, 1.9
		scaled := make(Network, len(n))
		for i, arm := range n {
			scaled[i].Shunt = arm.Shunt
			for _, p := range arm.Parts {
				switch p.Kind {
				case Resistor:
					p.Value *= a
				case Inductor:
					p.Value *= a / b
				case Capacitor:
					p.Value /= a * b
				}
				p.Resistance *= a
				scaled[i].Parts = append(scaled[i].Parts, p)
			}
		}
		hs, zs := solveAt(scaled, b*hz, a*load)
		if d := cmplx.Abs(hs/h - 1); !(d < 1e-12) {
			t.Errorf("%vat %g Hz into %g: h %v, scaled %v", n, hz, load, h, hs)
		}
		if d := cmplx.Abs(zs/zin/a - 1); !(d < 1e-12) {
			t.Errorf("%vat %g Hz into %g: zin %v, scaled %v", n, hz, load, zin, zs)
		}
	})
}
