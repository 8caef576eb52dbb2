package ladder

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"example.com/halfspace/internal/nodal"
	"example.com/halfspace/units"
)

func gradientAt(n Network, hz float64, load complex128) *Gradient {
	var g Gradient
	n.Gradient(&g, []float64{hz}, []complex128{load})
	return &g
}

// each calls f with every part of a copy of n that may be changed, and its number.
func each(n Network, f func(row int, changed Network, p *Part)) {
	row := 0
	for a := range n {
		for j := range n[a].Parts {
			changed := make(Network, len(n))
			for k := range n {
				changed[k] = Arm{n[k].Shunt, append([]Part(nil), n[k].Parts...)}
			}
			f(row, changed, &changed[a].Parts[j])
			row++
		}
	}
}

// TestGradientIsMoebius: every output of a linear circuit is (a + bx)/(c + dx) in
// each part value x, so three values give its derivative without error:
//
//	f' (x0) = f[x0,x1] f[x0,x2] / f[x1,x2]
//
// with the difference quotients f[,].
func TestGradientIsMoebius(t *testing.T) {
	var worst float64
	randomNetworks(20, 500, func(n Network, hz float64, load complex128) {
		g := gradientAt(n, hz, load)
		each(n, func(row int, changed Network, p *Part) {
			value, resistance, loss := p.Derivatives(hz)
			for _, field := range []struct {
				name  string
				slope complex128
				at    *float64
			}{{"value", value, &p.Value}, {"resistance", resistance, (*float64)(&p.Resistance)}, {"loss", loss, &p.Loss}} {
				if field.slope == 0 {
					continue
				}
				// Steps that change the impedance of the part about as much as it is
				// itself, so that differences keep their digits.
				x0 := *field.at
				step := cmplx.Abs(impedanceOf(*p, hz)/field.slope) / 2
				f := func(x float64) (h, zin complex128) {
					*field.at = x
					h, zin = solveAt(changed, hz, load)
					*field.at = x0
					return h, zin
				}
				h0, z0 := f(x0)
				h1, z1 := f(x0 + step)
				h2, z2 := f(x0 + 2*step)
				check := func(what string, got, f0, f1, f2 complex128) {
					s := complex(step, 0)
					want := (f1 - f0) * (f2 - f0) / (2 * s * (f2 - f1))
					if f1 == f0 || f2 == f0 || f2 == f1 {
						want = 0
					}
					// Small effects drown in the rounding of what they change.
					scale := cmplx.Abs(got)*step + 1e-3*cmplx.Abs(f0)
					d := cmplx.Abs(got-want) * step / scale
					if !(d < 1e-10) {
						t.Errorf("%vat %g Hz into %g: d%s/d%s of %s: %v, three values give %v (off by %.2g)",
							n, hz, load, what, field.name, Letter(row), got, want, d)
					}
					worst = max(worst, d)
				}
				check("h", g.DH[row][0]*field.slope, h0, h1, h2)
				check("zin", g.DZin[row][0]*field.slope, z0, z1, z2)
			}
		})
	})
	t.Logf("largest difference %.2g", worst)
}

// TestGradientIsTellegen: the dense nodal solution, driven at either end, gives the
// currents whose product is the derivative.
func TestGradientIsTellegen(t *testing.T) {
	var forth, back nodal.Solution
	var worst float64
	randomNetworks(21, 500, func(n Network, hz float64, load complex128) {
		g := gradientAt(n, hz, load)
		count, _, branches := nodes(n, hz, load)
		if err := forth.Solve(count, branches); err != nil {
			t.Fatal(err)
		}
		last := len(branches) - 1
		branches[0].Source, branches[last].Source = 0, -1
		if err := back.Solve(count, branches); err != nil {
			t.Fatal(err)
		}
		largest := func(i []complex128) (m float64) {
			for _, i := range i {
				m = max(m, cmplx.Abs(i))
			}
			return m
		}
		f, b := largest(forth.Branch), largest(back.Branch)
		for row := range g.DH {
			i, j := forth.Branch[row+1], back.Branch[row+1]
			dh := load * i * j
			dz := i / forth.Branch[0] * i / forth.Branch[0]
			d := max(cmplx.Abs(g.DH[row][0]-dh)/(f*b*cmplx.Abs(load)),
				cmplx.Abs(g.DZin[row][0]-dz)*squared(forth.Branch[0])/(f*f))
			if !(d < 1e-12) {
				t.Errorf("%vat %g Hz into %g: part %s: dh %v dzin %v, nodal %v %v (off by %.2g)", n, hz, load, Letter(row), g.DH[row][0], g.DZin[row][0], dh, dz, d)
			}
			worst = max(worst, d)
		}
	})
	t.Logf("largest difference %.2g", worst)
}

// TestInvariants: higher impedances leave H alone, and to make coils and capacitors
// larger is to go up in frequency. So the sensitivities obey, with a constant
// resistive load counted among the resistances,
//
//	sum S_R + sum S_L - sum S_C = 0,   sum S_L + sum S_C = d ln H/d ln ω
//
// The right side of the second is, in its imaginary part, -ω times the group delay.
// A loss factor is a pure number and goes with its capacitor.
func TestInvariants(t *testing.T) {
	var worst float64
	r := rand.New(rand.NewPCG(22, 0))
	randomNetworks(22, 1000, func(n Network, hz float64, _ complex128) {
		load := complex(2+20*r.Float64(), 0)
		// The load becomes a part, with next to nothing behind it.
		loaded := append(append(Network{}, n...), Shunt(R(units.Resistance(real(load)))))
		g := gradientAt(loaded, hz, 1e30)
		s := make([][]complex128, len(g.DH))
		for k := range s {
			s[k] = make([]complex128, 1)
		}
		loaded.Sensitivity(s, g, []float64{hz})
		var resistances, coils, capacitors complex128
		var size float64
		row := 0
		for _, p := range loaded.Parts() {
			size += cmplx.Abs(s[row][0])
			dcr := g.DH[row][0] / g.H[0] * complex(float64(p.Resistance), 0)
			size += cmplx.Abs(dcr)
			resistances += dcr
			switch p.Kind {
			case Resistor:
				resistances += s[row][0]
			case Inductor:
				coils += s[row][0]
			case Capacitor:
				capacitors += s[row][0]
			}
			row++
		}
		if size == 0 { // an output that depends on nothing
			return
		}
		first := cmplx.Abs(resistances+coils-capacitors) / size
		if !(first < 1e-12) {
			t.Errorf("%vat %g Hz into %g: S_R + S_L - S_C = %.2g of their size", n, hz, load, first)
		}
		var tau [1]float64
		n.GroupDelay(tau[:], []float64{hz}, []complex128{load}, nil)
		second := math.Abs(imag(coils+capacitors)+2*math.Pi*hz*tau[0]) / size
		if !(second < 1e-12) {
			t.Errorf("%vat %g Hz into %g: S_L + S_C = %v, ωτ = %g", n, hz, load, coils+capacitors, 2*math.Pi*hz*tau[0])
		}
		worst = max(worst, first, second)
	})
	t.Logf("largest %.2g", worst)
}

// TestGradientIsSolve: the same transfer and impedance to the last bit but one, in
// all blocks, and rows that are used again.
func TestGradientIsSolve(t *testing.T) {
	var g Gradient
	for _, size := range []int{3*blockLen + 7, 1, blockLen, blockLen + 1} {
		hz, load := make([]float64, size), make([]complex128, size)
		for k := range hz {
			hz[k] = 20 + 31*float64(k)
			load[k] = w1Driver.impedance(hz[k])
		}
		h, zin := make([]complex128, size), make([]complex128, size)
		n := append(Network{Series(R(3), L(1*units.Millihenry), C(7*units.Microfarad))}, w1...)
		n.Solve(h, zin, hz, load)
		n.Gradient(&g, hz, load)
		for k := range hz {
			alone := gradientAt(n, hz[k], load[k])
			if !(cmplx.Abs(g.H[k]/h[k]-1) < 1e-15) || !(cmplx.Abs(g.Zin[k]/zin[k]-1) < 1e-15) {
				t.Errorf("point %d: h %v zin %v, Solve %v %v", k, g.H[k], g.Zin[k], h[k], zin[k])
			}
			for p := range g.DH {
				if g.DH[p][k] != alone.DH[p][0] || g.DZin[p][k] != alone.DZin[p][0] {
					t.Errorf("point %d part %d: %v %v, alone %v %v", k, p, g.DH[p][k], g.DZin[p][k], alone.DH[p][0], alone.DZin[p][0])
				}
			}
		}
	}
}

// TestGradientAtResonance: where an ideal resonance leaves nothing for the load, the
// derivatives are those of the neighbourhood.
func TestGradientAtResonance(t *testing.T) {
	hz, l, c := resonant(t)
	load := complex(8, 3)
	r, s := Series(R(5)), Shunt(R(7))
	for name, n := range map[string]Network{
		"short":                 {r, Shunt(l, c)},
		"short between":         {r, s, Shunt(l, c), r, s},
		"short with resistance": {r, Shunt(l, c, R(1e-300))},
		"open":                  {Series(l, c)},
		"open between":          {r, s, Series(l, c), s, r},
		"two shorts":            {r, Shunt(l, c), r, Shunt(l, c), s},
		"two opens":             {r, s, Series(l, c), s, Series(l, c), r},
		"short, then open":      {r, Shunt(l, c), s, Series(l, c), r},
		"open, then short":      {r, s, Series(l, c), s, r, Shunt(l, c), r},
	} {
		g := gradientAt(n, hz, load)
		if cmplx.Abs(g.H[0]) > 1e-290 {
			t.Errorf("%s: h %v", name, g.H[0])
		}
		each(n, func(row int, changed Network, p *Part) {
			value, _, _ := p.Derivatives(hz)
			step := p.Value * 1e-4
			p.Value += step
			up := gradientAt(changed, hz, load)
			p.Value -= 2 * step
			down := gradientAt(changed, hz, load)
			for what, d := range map[string][3]complex128{
				"h":   {g.DH[row][0], up.H[0], down.H[0]},
				"zin": {g.DZin[row][0], up.Zin[0], down.Zin[0]},
			} {
				if name == "open" && what == "zin" {
					if d[0] != 0 {
						t.Errorf("%s: dzin %v, want 0 as zin is infinite", name, d[0])
					}
					continue
				}
				got, want := d[0]*value*complex(p.Value, 0), (d[1]-d[2])/2e-4
				if !(cmplx.Abs(got-want) < 1e-3*max(cmplx.Abs(want), 1e-3)) {
					t.Errorf("%s: d%s/dln of %s: %v, differences %v", name, what, Letter(row), got, want)
				}
			}
		})
	}
	g := gradientAt(Network{Shunt(l, c), Series(R(5))}, hz, load)
	if g.H[0] != 0 || g.DH[0][0] != 0 || g.DH[2][0] != 0 || !(cmplx.Abs(g.DZin[0][0]-1) < 1e-15) || g.DZin[2][0] != 0 {
		t.Errorf("shorted source: %+v", g)
	}
	g = gradientAt(Network{Series(), Series(R(5))}, hz, load)
	if g.H[0] != 0 || g.DH[0][0] != 0 || g.DZin[0][0] != 0 {
		t.Errorf("empty arm: %+v", g)
	}
}

func TestDerivativesOfParts(t *testing.T) {
	for _, p := range []Part{R(3), L(2e-3).WithResistance(0.3), C(5e-6).WithLoss(0.02).WithResistance(0.1)} {
		const hz = 700
		value, resistance, loss := p.Derivatives(hz)
		for _, field := range []struct {
			name string
			at   *float64
			got  complex128
		}{{"value", &p.Value, value}, {"resistance", (*float64)(&p.Resistance), resistance}, {"loss", &p.Loss, loss}} {
			if field.name == "loss" && p.Kind != Capacitor || field.name == "resistance" && p.Kind == Resistor {
				continue
			}
			x := *field.at
			step := x * 1e-5
			*field.at = x + step
			up := impedanceOf(p, hz)
			*field.at = x - step
			down := impedanceOf(p, hz)
			*field.at = x
			if want := (up - down) / complex(2*step, 0); !(cmplx.Abs(field.got-want) < 1e-8*cmplx.Abs(want)) {
				t.Errorf("%v: %s: %v, differences %v", p, field.name, field.got, want)
			}
		}
	}
}

func TestGradientDoesNotAllocate(t *testing.T) {
	hz, woofer, _ := benchGrid()
	n := append(Network{Series(R(3), L(1*units.Millihenry), C(10*units.Microfarad))}, w1...)
	var g Gradient
	n.Gradient(&g, hz, woofer)
	if a := testing.AllocsPerRun(20, func() {
		n.Gradient(&g, hz, woofer)
		n.ByValue(g.DH, g.DH, hz)
	}); a != 0 {
		t.Errorf("%v allocations", a)
	}
}

func TestGradientPanics(t *testing.T) {
	one := [][]complex128{{1}}
	for name, f := range map[string]func(){
		"load":           func() { w1.Gradient(new(Gradient), []float64{1}, nil) },
		"zero frequency": func() { gradientAt(w1, 0, 8) },
		"few parts":      func() { w1.ByValue(one, one, []float64{1}) },
		"many parts":     func() { Network{}.ByValue(one, one, []float64{1}) },
		"points":         func() { Network{Series(R(1))}.ByValue(one, one, []float64{1, 2}) },
		"delay":          func() { w1.GroupDelay(nil, []float64{1}, []complex128{8}, nil) },
		"delay slope":    func() { w1.GroupDelay([]float64{0}, []float64{1}, []complex128{8}, []complex128{}) },
		"delay at 0":     func() { w1.GroupDelay([]float64{0}, []float64{0}, []complex128{8}, nil) },
		"slope":          func() { LoadSlope([]float64{1}, nil) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f()
		}()
	}
}

func BenchmarkGradient(b *testing.B) {
	hz, woofer, tweeter := benchGrid()
	var gw, gt Gradient
	benchWoofer.Gradient(&gw, hz, woofer)
	benchTweeter.Gradient(&gt, hz, tweeter)
	b.ReportAllocs()
	for b.Loop() {
		benchWoofer.Gradient(&gw, hz, woofer)
		benchTweeter.Gradient(&gt, hz, tweeter)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(hz))/5, "ns/point/part")
}
