package measure_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/halfspace/examples/projects"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/ts"
	"example.com/halfspace/ts/measure"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

func fit(t *testing.T, f measure.Fit, runs ...measure.Run) measure.Result {
	t.Helper()
	r, err := f.Curves(runs...)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// off returns by how much a figure differs, as a share.
func off[Q ~float64](got, want Q) float64 { return math.Abs(float64(got/want) - 1) }

// worst returns the largest error of Re, fs and the three Q.
func worst(r measure.Result, s subject) float64 {
	return max(off(r.Re.Value, s.Re), off(r.Fs.Value, s.Fs()), off(r.Qms.Value, s.Qms()), off(r.Qes.Value, s.Qes()), off(r.Qts.Value, s.Qts()))
}

// A curve without noise gives the driver back, for every coil, with phase and without,
// with Re and without, with leads and creep.
func TestCleanCurves(t *testing.T) {
	for _, m := range measure.CoilModels() {
		for _, creep := range []bool{false, true} {
			for _, phase := range []bool{false, true} {
				for _, given := range []bool{false, true} {
					s := woofer(coils[m])
					s.leads = 0.15
					f := measure.Fit{Coil: m, Creep: creep, Leads: 0.15}
					if creep {
						s.creep = 0.09
					}
					if given {
						f.Re = s.Re
					}
					c := s.curve(grid(15, 20000, 77), 0, 0)
					if !phase {
						c = modulus(c)
					}
					r := fit(t, f, measure.Run{Curve: c})
					name := fmt.Sprintf("%v, creep %v, phase %v, Re given %v", m, creep, phase, given)
					if !(worst(r, s) <= 1e-6) {
						t.Errorf("%s: off by %g", name, worst(r, s))
					}
					if creep && !(off(r.Creep.Value, s.creep) <= 1e-6) {
						t.Errorf("%s: creep %v", name, r.Creep)
					}
					for part, v := range map[string][2]float64{
						"Leb": {float64(r.Coil.Leb), float64(s.Coil.Leb)}, "Le": {float64(r.Coil.Le), float64(s.Coil.Le)},
						"Rss": {float64(r.Coil.Rss), float64(s.Coil.Rss)}, "Ke": {r.Coil.Ke, s.Coil.Ke},
						"K": {r.Coil.K, s.Coil.K}, "N": {r.Coil.N, s.Coil.N},
					} {
						if !(math.Abs(v[0]-v[1]) <= 1e-6*v[1]) {
							t.Errorf("%s: %s is %g, want %g", name, part, v[0], v[1])
						}
					}
					if n := len(r.Runs[0].LeftOut); n > 0 {
						t.Errorf("%s: %d points left out", name, n)
					}
				}
			}
		}
	}
}

// Drivers of all sorts come back too, from wherever the fit starts.
func TestRandomDrivers(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 7))
	between := func(a, b float64) float64 { return a * math.Pow(b/a, random.Float64()) }
	for _, m := range measure.CoilModels() {
		for i := range 12 {
			sheet := ts.Sheet{
				Re: units.Resistance(between(3, 12)), Fs: units.Frequency(between(20, 900)),
				Qms: between(1.5, 15), Qes: between(0.2, 1.5), Mms: 0.0142, Sd: 0.0136,
			}
			d, _, err := sheet.Driver(air.Standard())
			if err != nil {
				t.Fatal(err)
			}
			l := between(0.1, 2) * 1e-3 * float64(d.Re) / 6 * math.Sqrt(40/float64(sheet.Fs))
			switch m {
			case measure.Plain:
				d.Coil.Leb = units.Inductance(l)
			case measure.PowerLaw:
				n := between(0.5, 0.9)
				d.Coil = ts.Coil{N: n, K: l * math.Pow(6283, 1-n) / math.Sin(n*math.Pi/2)}
			case measure.TwoBranch:
				d.Coil = ts.Coil{Leb: units.Inductance(l * 0.4), Le: units.Inductance(l * between(0.7, 4)), Rss: units.Resistance(between(2, 20))}
			default:
				d.Coil = ts.Coil{Leb: units.Inductance(l * between(0.1, 0.4)), Le: units.Inductance(l * between(2, 6)), Ke: l * between(60, 160), Rss: units.Resistance(between(20, 150))}
			}
			s := subject{Driver: d}
			c := s.curve(grid(max(5, float64(sheet.Fs)/4), 20000, 40+int(between(1, 60))), 0, 0)
			if i%2 == 0 {
				c = modulus(c)
			}
			if r := fit(t, measure.Fit{Coil: m}, measure.Run{Curve: c}); !(worst(r, s) <= 1e-6) {
				t.Errorf("%v, %+v: off by %g", m, sheet, worst(r, s))
			}
		}
	}
}

// Mass, volume and area follow from any two of an added mass or a known one, a box,
// and Sd; each alone gives its part.
func TestMassAndVolume(t *testing.T) {
	s := woofer(coils[measure.SemiInductance])
	s.creep = 0.07
	hz := grid(10, 20000, 60)
	free := measure.Run{Curve: s.curve(hz, 0, 0)}
	heavy := measure.Run{Curve: s.curve(hz, 0.012, 0), Added: 12 * units.Gram}
	heavier := measure.Run{Curve: modulus(s.curve(hz, 0.02, 0)), Added: 20 * units.Gram}
	// In the box the air load adds 3 per cent of mass, and there are leaks.
	inBox := s
	inBox.Mms *= 1.03
	inBox.Rms *= 1.4
	box := measure.Run{Box: 15 * units.Litre, Curve: response.Curve{Hz: hz, H: make([]complex128, len(hz)), HasPhase: true}}
	for i, f := range hz {
		w := complex(0, 2*math.Pi*f)
		b := math.Pi / (2 * math.Ln10)
		ws := 2 * math.Pi * float64(s.Fs())
		q := complex(1-s.creep*math.Log10(2*math.Pi*f/ws), -s.creep*b)
		zm := w*complex(float64(s.Mms)*1.03, 0) + complex(float64(s.Rms)*1.4-s.creep*b/(ws*float64(s.Cms)), 0) +
			complex((1+s.creep*s.creep*b*b)/float64(s.Cms), 0)/(w*q) +
			complex(float64(air.Standard().BulkModulus())*float64(s.Sd*s.Sd)/0.015, 0)/w
		box.Curve.H[i] = complex(float64(s.Re), 0) + s.Coil.Impedance(w) + complex(float64(s.Bl*s.Bl), 0)/zm
	}
	vas := s.Vas(air.Standard())
	for name, c := range map[string]struct {
		fit           measure.Fit
		runs          []measure.Run
		mass, vas, sd bool
	}{
		"free air alone":       {measure.Fit{}, []measure.Run{free}, false, false, false},
		"area alone":           {measure.Fit{Sd: s.Sd}, []measure.Run{free}, false, false, true},
		"added mass":           {measure.Fit{}, []measure.Run{free, heavy}, true, false, false},
		"masses and area":      {measure.Fit{Sd: s.Sd, Re: s.Re}, []measure.Run{heavy, free, heavier}, true, true, true},
		"box":                  {measure.Fit{}, []measure.Run{free, box}, false, true, false},
		"box and area":         {measure.Fit{Sd: s.Sd}, []measure.Run{free, box}, true, true, true},
		"mass and box":         {measure.Fit{}, []measure.Run{box, free, heavy}, true, true, true},
		"mass, box and area":   {measure.Fit{Sd: s.Sd}, []measure.Run{free, heavy, box}, true, true, true},
		"known mass":           {measure.Fit{Mms: s.Mms}, []measure.Run{free}, true, false, false},
		"known mass, and area": {measure.Fit{Mms: s.Mms, Sd: s.Sd}, []measure.Run{free}, true, true, true},
		"known mass, and box":  {measure.Fit{Mms: s.Mms}, []measure.Run{free, box}, true, true, true},
	} {
		c.fit.Coil, c.fit.Creep = measure.SemiInductance, true
		r := fit(t, c.fit, c.runs...)
		if !(worst(r, s) <= 1e-6) {
			t.Errorf("%s: off by %g", name, worst(r, s))
		}
		want := func(figure string, follows bool, got, truth, sd float64) {
			t.Helper()
			switch {
			case !follows && (got != 0 || sd != 0):
				t.Errorf("%s: %s is %g ± %g, but nothing tells it", name, figure, got, sd)
			case follows && !(math.Abs(got/truth-1) <= 1e-6 && sd > 0):
				t.Errorf("%s: %s is %g ± %g, want %g", name, figure, got, sd, truth)
			}
		}
		want("Mms", c.mass, float64(r.Mms.Value), float64(s.Mms), float64(r.Mms.SD()))
		want("Cms", c.mass, float64(r.Cms.Value), float64(s.Cms), float64(r.Cms.SD()))
		want("Rms", c.mass, float64(r.Rms.Value), float64(s.Rms), float64(r.Rms.SD()))
		want("Bl", c.mass, float64(r.Bl.Value), float64(s.Bl), float64(r.Bl.SD()))
		want("Vas", c.vas, float64(r.Vas.Value), float64(vas), float64(r.Vas.SD()))
		want("Sd", c.sd, float64(r.Sd.Value), float64(s.Sd), float64(r.Sd.SD()))
		d, err := r.Driver()
		if whole := c.mass && c.sd; whole != (err == nil) {
			t.Errorf("%s: driver: %v", name, err)
		} else if whole && !(off(d.Bl, s.Bl) <= 1e-6 && off(d.Vas(air.Standard()), vas) <= 1e-6 && math.Abs(d.Creep-s.creep) <= 1e-6) {
			t.Errorf("%s: driver %+v, want %+v", name, d, s.Driver)
		}
		for i, run := range c.runs {
			// The fitted curve is the measured one, and the mass in the box as made.
			z := make([]complex128, len(hz))
			r.Impedance(z, hz, i)
			for k := range hz {
				if d := math.Hypot(real(z[k]-run.Curve.H[k]), imag(z[k]-run.Curve.H[k])); run.Curve.HasPhase && !(d <= 1e-7*math.Hypot(real(z[k]), imag(z[k]))) {
					t.Fatalf("%s: curve %d: fitted %v at %g Hz, measured %v", name, i+1, z[k], hz[k], run.Curve.H[k])
				}
			}
			resonance := float64(s.Fs()) * math.Sqrt(float64(s.Mms/(s.Mms+run.Added)))
			if run.Box > 0 {
				resonance *= math.Sqrt((1 + float64(vas/run.Box)) / 1.03)
			}
			if !(off(float64(r.Runs[i].Resonance), resonance) <= 1e-6) {
				t.Errorf("%s: curve %d: resonance %v, want %g Hz", name, i+1, r.Runs[i].Resonance, resonance)
			}
			if run.Box > 0 && !(off(r.Runs[i].MassRatio, 1.03) <= 1e-6) {
				t.Errorf("%s: mass in the box %.9f", name, r.Runs[i].MassRatio)
			}
		}
	}
}

// The classic methods agree with the fit where inductance does not spoil them.
func TestClassicAgrees(t *testing.T) {
	s := woofer(ts.Coil{Leb: 1e-9})
	hz := grid(5, 500, 2000)
	free, heavy := s.curve(hz, 0, 0), s.curve(hz, 0.012, 0)
	heavier, box := s.curve(hz, 0.025, 0), s.curve(hz, 0, 0.015)
	p, q, q2, b := reading(t, free, 5.8), reading(t, heavy, 5.8), reading(t, heavier, 5.8), reading(t, box, 5.8)
	qms, qes, qts, err := p.Q()
	if err != nil || !(off(qms, s.Qms()) <= 5e-6 && off(qes, s.Qes()) <= 5e-6 && off(qts, s.Qts()) <= 5e-6 && off(p.Fs, s.Fs()) <= 1e-8) {
		t.Errorf("Q %v %v %v, %v", qms, qes, qts, err)
	}
	if x := p.Symmetry(); !(math.Abs(x-1) <= 1e-6) {
		t.Errorf("symmetry %v", x)
	}
	if !(math.Abs(float64(p.ClassicLevel())*float64(p.ClassicLevel())/float64(p.Re*p.Zmax)-1) <= 1e-15) {
		t.Errorf("level %v", p.ClassicLevel())
	}
	lower := p
	lower.F1 = 0
	if again, _, _, err := lower.Q(); err != nil || !(off(again, qms) <= 1e-6) || lower.Symmetry() != 1 {
		t.Errorf("without f1: %v, %v", again, err)
	}
	m, err := measure.MassByAdded(p.Fs, q.Fs, 0.012)
	if err != nil || !(off(m, s.Mms) <= 1e-6) {
		t.Errorf("mass %v, %v", m, err)
	}
	// Two readings: the line is the formula. Three, off the line: deviations.
	mms, cms, err := measure.MassLine(measure.Loaded{Fs: p.Fs}, measure.Loaded{Added: 0.012, Fs: q.Fs})
	if err != nil || !(off(mms.Value, m) <= 1e-12 && off(cms.Value, s.Cms) <= 1e-6) || mms.Scatter != 0 {
		t.Errorf("line %v %v, %v", mms, cms, err)
	}
	if mms, _, err = measure.MassLine(measure.Loaded{Fs: p.Fs}, measure.Loaded{Added: 0.012, Fs: q.Fs * 1.003}, measure.Loaded{Added: 0.025, Fs: q2.Fs}); err != nil || !(mms.Scatter > 0 && off(mms.Value, s.Mms) < 3*float64(mms.Scatter/mms.Value)) {
		t.Errorf("three masses: %v, %v", mms, err)
	}
	// The gain is the derivative.
	up, _ := measure.MassByAdded(p.Fs*1.00001, q.Fs, 0.012)
	down, _ := measure.MassByAdded(p.Fs/1.00001, q.Fs, 0.012)
	if g := math.Log(float64(down/up)) / (2 * math.Log(1.00001)); !(off(g, measure.MassGain(p.Fs, q.Fs)) <= 1e-6) {
		t.Errorf("gain %v, want %v", measure.MassGain(p.Fs, q.Fs), g)
	}
	_, qec, _, err := b.Q()
	if err != nil {
		t.Fatal(err)
	}
	vas, err := measure.VasInClosed(p.Fs, qes, b.Fs, qec, 0.015)
	if err != nil || !(off(vas, s.Vas(air.Standard())) <= 1e-5) {
		t.Errorf("Vas %v, %v", vas, err)
	}
}

// The frequencies of a vented box by its circuit: poles of the lossless impedance are
// the roots of (1 − x²)(h² − x²) = α x² with x = f/fs, h = fb/fs.
func TestVentedBox(t *testing.T) {
	for _, c := range [][3]float64{{40, 30, 2}, {25, 40, 0.7}, {60, 60, 1}} { // fs, fb, Vas/V
		h2 := c[1] * c[1] / (c[0] * c[0])
		sum := 1 + h2 + c[2]
		root := math.Sqrt(sum*sum - 4*h2)
		fh := c[0] * math.Sqrt((sum+root)/2)
		fl := c[0] * math.Sqrt((sum-root)/2)
		vas, fs, err := measure.VasInVented(units.Frequency(fl), units.Frequency(c[1]), units.Frequency(fh), 0.02)
		if err != nil || !(off(vas, units.Volume(c[2]*0.02)) <= 1e-9 && off(fs, units.Frequency(c[0])) <= 1e-12) {
			t.Errorf("%v: %v, %v, %v", c, vas, fs, err)
		}
	}
}

// The demo woofer's curve holds resonances of its cone, which no fit knows. The sheet
// comes back within a third of a per cent.
func TestDemoWoofer(t *testing.T) {
	file, err := projects.Files.Open("buildnight/woofer_b_impedance.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	table, err := response.Read(file)
	if err != nil {
		t.Fatal(err)
	}
	c, err := table.Curve(response.Form{Frequency: "frequency_Hz", Level: "magnitude_ohm", Phase: "phase_deg", Linear: true})
	if err != nil {
		t.Fatal(err)
	}
	r := fit(t, measure.Fit{Coil: measure.SemiInductance, Creep: true, Re: 5.8}, measure.Run{Curve: c})
	if !(off(r.Fs.Value, 37.777) <= 0.003 && off(r.Qms.Value, 4.681) <= 0.003 && off(r.Qes.Value, 0.43549) <= 0.003 && math.Abs(r.Creep.Value-0.09) <= 0.005) {
		t.Errorf("fs %v, Qms %v, Qes %v, creep %v", r.Fs, r.Qms, r.Qes, r.Creep)
	}
	without := fit(t, measure.Fit{Coil: measure.SemiInductance, Re: 5.8}, measure.Run{Curve: c})
	// Its systematic deviation covers what leaving out the creep does.
	if d := math.Abs(without.Qms.Value - 4.681); !(d <= 3*without.Qms.SD() && d > 2*r.Qms.SD()) {
		t.Errorf("without creep Qms is %v, with %v", without.Qms, r.Qms)
	}
}
