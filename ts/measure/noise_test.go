package measure_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/ts/measure"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

const (
	share = 0.01          // noise of the modulus
	angle = math.Pi / 180 // and of the phase
)

// bound returns the least relative standard deviations of Re, fs, Qms and Qes that
// any unbiased method can reach (Cramér and Rao), by derivatives of the circuit.
func bound(s subject, hz []float64) [4]float64 {
	variables := []func(s *subject, by float64){
		func(s *subject, by float64) { // Re, with Qes held by the motor
			s.Re *= units.Resistance(by)
			s.Bl *= units.ForceFactor(math.Sqrt(by))
		},
		func(s *subject, by float64) { // fs, with every Q
			s.Mms /= units.Mass(by)
			s.Cms /= units.Compliance(by)
		},
		func(s *subject, by float64) { s.Rms /= units.MechanicalResistance(by) },
		func(s *subject, by float64) { s.Bl /= units.ForceFactor(math.Sqrt(by)) },
		func(s *subject, by float64) { s.Coil.Leb *= units.Inductance(by) },
		func(s *subject, by float64) { s.Coil.Le *= units.Inductance(by) },
		func(s *subject, by float64) { s.Coil.Rss *= units.Resistance(by) },
		func(s *subject, by float64) { s.Coil.Ke *= by },
		func(s *subject, by float64) { s.Coil.K *= by },
		func(s *subject, by float64) { s.Coil.N *= by },
	}
	present := []bool{true, true, true, true, s.Coil.Leb > 0, s.Coil.Le > 0, s.Coil.Rss > 0, s.Coil.Ke > 0, s.Coil.K > 0, s.Coil.N > 0}
	var columns [][]float64
	for k, change := range variables {
		if !present[k] {
			continue
		}
		const h = 1e-6
		up, down := s, s
		change(&up, 1+h)
		change(&down, 1/(1+h))
		var column []float64
		for _, f := range hz {
			q := up.impedance(f, 0, 0) / down.impedance(f, 0, 0)
			column = append(column, math.Log(real(q)*real(q)+imag(q)*imag(q))/2/share, math.Atan2(imag(q), real(q))/angle)
		}
		for i := range column {
			column[i] /= 2 * math.Log1p(h)
		}
		columns = append(columns, column)
	}
	n := len(columns)
	information := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			sum := 0.0
			for k := range columns[i] {
				sum += columns[i][k] * columns[j][k]
			}
			information.SetSym(i, j, sum)
		}
	}
	var chol mat.Cholesky
	var inverse mat.SymDense
	if !chol.Factorize(information) || chol.InverseTo(&inverse) != nil {
		panic("singular")
	}
	var out [4]float64
	for i := range out {
		out[i] = math.Sqrt(inverse.At(i, i))
	}
	return out
}

type trials struct {
	ratio  [4]float64 // RMS error over the bound, of Re, fs, Qms and Qes
	inside [4]float64 // share of truths within two stated deviations
}

// try fits so many curves with noise.
func try(tb testing.TB, m measure.CoilModel, n int) trials {
	tb.Helper()
	s := woofer(coils[m])
	hz := grid(20, 20000, 80)
	clean := s.curve(hz, 0, 0)
	least := bound(s, hz)
	random := rand.New(rand.NewPCG(17, uint64(m)))
	var out trials
	for range n {
		r, err := measure.Fit{Coil: m}.Curves(measure.Run{Curve: noisy(clean, share, angle, random)})
		if err != nil {
			tb.Fatal(err)
		}
		for k, e := range [4][2]float64{
			{float64(r.Re.Value/s.Re) - 1, float64(r.Re.Scatter / s.Re)},
			{float64(r.Fs.Value/s.Fs()) - 1, float64(r.Fs.Scatter / s.Fs())},
			{r.Qms.Value/s.Qms() - 1, r.Qms.Scatter / s.Qms()},
			{r.Qes.Value/s.Qes() - 1, r.Qes.Scatter / s.Qes()},
		} {
			out.ratio[k] += e[0] * e[0] / float64(n)
			if math.Abs(e[0]) <= 2*e[1] {
				out.inside[k] += 1 / float64(n)
			}
		}
	}
	for k := range out.ratio {
		out.ratio[k] = math.Sqrt(out.ratio[k]) / least[k]
	}
	return out
}

// The fit reaches the bound, and its deviations are true. With so few trials the ratio
// of the RMS scatters by 1/√(2n), which three times is allowed here; BenchmarkNoise
// has two thousand.
func TestNoise(t *testing.T) {
	const n = 30
	for _, m := range measure.CoilModels() {
		got := try(t, m, n)
		for k, figure := range []string{"Re", "fs", "Qms", "Qes"} {
			if r := got.ratio[k]; !(math.Abs(r-1) <= 3/math.Sqrt(2*n)) {
				t.Errorf("%v: RMS error of %s is %.3f of the bound", m, figure, r)
			}
			if p := got.inside[k]; !(math.Abs(p-0.9545) <= 3*math.Sqrt(0.9545*0.0455/n)) {
				t.Errorf("%v: truth of %s inside in %.1f %%", m, figure, 100*p)
			}
		}
	}
}

// With the noise stated, a curve without any gives the bound itself.
func TestStatedNoise(t *testing.T) {
	hz := grid(20, 20000, 80)
	for _, m := range measure.CoilModels() {
		s := woofer(coils[m])
		r := fit(t, measure.Fit{Coil: m, Noise: share, PhaseNoise: angle}, measure.Run{Curve: s.curve(hz, 0, 0)})
		least := bound(s, hz)
		for k, got := range []float64{float64(r.Re.Scatter / s.Re), float64(r.Fs.Scatter / s.Fs()), r.Qms.Scatter / s.Qms(), r.Qes.Scatter / s.Qes()} {
			if !(math.Abs(got/least[k]-1) <= 1e-4) {
				t.Errorf("%v: figure %d: %g, bound %g", m, k, got, least[k])
			}
		}
	}
}

// spoil moves a share of the points by 10 dB, up or down.
func spoil(c response.Curve, part float64, random *rand.Rand) []int {
	var spoilt []int
	for i := range c.H {
		if random.Float64() >= part {
			continue
		}
		by := math.Sqrt(10)
		if random.Float64() < 0.5 {
			by = 1 / by
		}
		c.H[i] *= complex(by, 0)
		spoilt = append(spoilt, i)
	}
	return spoilt
}

func badPoints(tb testing.TB, m measure.CoilModel, n int) (fs, qts float64) {
	tb.Helper()
	s := woofer(coils[m])
	clean := s.curve(grid(20, 20000, 80), 0, 0)
	random := rand.New(rand.NewPCG(23, uint64(m)))
	for range n {
		c := noisy(clean, share, angle, random)
		spoil(c, 0.05, random)
		r, err := measure.Fit{Coil: m}.Curves(measure.Run{Curve: c})
		if err != nil {
			tb.Fatal(err)
		}
		fs += sq(float64(r.Fs.Value/s.Fs())-1) / float64(n)
		qts += sq(r.Qts.Value/s.Qts()-1) / float64(n)
	}
	return math.Sqrt(fs), math.Sqrt(qts)
}

func sq(x float64) float64 { return x * x }

// A twentieth of the points 10 dB off does no harm, and they are named.
func TestBadPoints(t *testing.T) {
	for _, m := range measure.CoilModels() {
		if fs, qts := badPoints(t, m, 12); !(fs <= 0.01 && qts <= 0.01) {
			t.Errorf("%v: RMS error of fs %.2f %%, of Qts %.2f %%", m, 100*fs, 100*qts)
		}
	}
	s := woofer(coils[measure.PowerLaw])
	c := noisy(s.curve(grid(20, 20000, 80), 0, 0), share, angle, rand.New(rand.NewPCG(1, 1)))
	for _, i := range []int{30, 100, 101, 200} {
		c.H[i] *= 3
	}
	r := fit(t, measure.Fit{}, measure.Run{Curve: c})
	if got := fmt.Sprint(r.Runs[0].LeftOut); got != "[30 100 101 200]" {
		t.Errorf("left out %s", got)
	}
	// A good meter shows smaller slips.
	c = noisy(s.curve(grid(20, 20000, 80), 0, 0), share/4, angle/4, rand.New(rand.NewPCG(1, 1)))
	c.H[50] *= 1.1
	c.H[150] *= complex(math.Cos(0.1), math.Sin(0.1))
	if got := fmt.Sprint(fit(t, measure.Fit{}, measure.Run{Curve: c}).Runs[0].LeftOut); got != "[50 150]" {
		t.Errorf("left out %s", got)
	}
	// A noisy curve as such loses none.
	r = fit(t, measure.Fit{}, measure.Run{Curve: noisy(s.curve(grid(20, 20000, 80), 0, 0), share, angle, rand.New(rand.NewPCG(1, 2)))})
	if n := len(r.Runs[0].LeftOut); n > 0 {
		t.Errorf("%d points of plain noise left out", n)
	}
}

// What is measured with an error that the fit does not know of moves each figure by
// the systematic deviation stated for it.
func TestSystematic(t *testing.T) {
	s := woofer(coils[measure.PowerLaw])
	hz := grid(10, 20000, 60)
	tiny := measure.Accuracy{Scale: 1e-12, Leads: 1e-12, Re: 1e-12, Temperature: 1e-12, Creep: 1e-12, Drift: 1e-12, Added: 1e-12, Box: 1e-12, Sd: 1e-12, Mms: 1e-12}
	with := func(set func(a *measure.Accuracy)) measure.Accuracy { a := tiny; set(&a); return a }
	free, heavy, box := s.curve(hz, 0, 0), s.curve(hz, 0.012, 0), s.curve(hz, 0, 0.015)
	scaled := response.Curve{Hz: hz, HasPhase: true}
	for _, h := range free.H {
		scaled.H = append(scaled.H, h*1.002)
	}
	leads, creeping, drifted := s, s, s
	leads.leads = 0.02
	creeping.creep = 0.002 // small, since its effect is no straight line
	drifted.Cms *= 1.001
	runs := func(a, b, c response.Curve) []measure.Run {
		return []measure.Run{{Curve: a}, {Curve: b, Added: 0.012}, {Curve: c, Box: 0.015}}
	}
	for name, c := range map[string]struct {
		fit  measure.Fit
		runs []measure.Run
	}{
		"leads":                   {measure.Fit{Accuracy: with(func(a *measure.Accuracy) { a.Leads = 0.02 })}, []measure.Run{{Curve: leads.curve(hz, 0, 0)}}},
		"scale":                   {measure.Fit{Accuracy: with(func(a *measure.Accuracy) { a.Scale = 0.002 })}, []measure.Run{{Curve: scaled}}},
		"creep":                   {measure.Fit{Accuracy: with(func(a *measure.Accuracy) { a.Creep = 0.002 })}, []measure.Run{{Curve: creeping.curve(hz, 0, 0)}}},
		"Re":                      {measure.Fit{Re: s.Re * 1.002, Accuracy: with(func(a *measure.Accuracy) { a.Re = 0.002 })}, []measure.Run{{Curve: free}}},
		"drift of the compliance": {measure.Fit{Noise: 0.02, PhaseNoise: 0.02, Accuracy: with(func(a *measure.Accuracy) { a.Drift = 0.001 })}, []measure.Run{{Curve: free}, {Curve: drifted.curve(hz, 0.012, 0), Added: 0.012}}},
		"added mass":              {measure.Fit{Accuracy: with(func(a *measure.Accuracy) { a.Added = 0.002 })}, runs(free, s.curve(hz, 0.012*1.002, 0), box)},
		"box volume":              {measure.Fit{Accuracy: with(func(a *measure.Accuracy) { a.Box = 0.002 })}, runs(free, heavy, s.curve(hz, 0, 0.015*1.002))},
		"Sd":                      {measure.Fit{Sd: s.Sd * 1.002, Accuracy: with(func(a *measure.Accuracy) { a.Sd = 0.002 })}, []measure.Run{{Curve: free}, {Curve: heavy, Added: 0.012}}},
		"Mms":                     {measure.Fit{Mms: s.Mms * 1.002, Sd: s.Sd, Accuracy: with(func(a *measure.Accuracy) { a.Mms = 0.002 })}, []measure.Run{{Curve: free}}},
	} {
		r := fit(t, c.fit, c.runs...)
		vas := s.Vas(air.Standard())
		moved := false
		for figure, v := range map[string][3]float64{
			"Re":  {float64(r.Re.Value), float64(s.Re), float64(r.Re.Systematic)},
			"fs":  {float64(r.Fs.Value), float64(s.Fs()), float64(r.Fs.Systematic)},
			"Qms": {r.Qms.Value, s.Qms(), r.Qms.Systematic},
			"Qes": {r.Qes.Value, s.Qes(), r.Qes.Systematic},
			"Mms": {float64(r.Mms.Value), float64(s.Mms), float64(r.Mms.Systematic)},
			"Bl":  {float64(r.Bl.Value), float64(s.Bl), float64(r.Bl.Systematic)},
			"Vas": {float64(r.Vas.Value), float64(vas), float64(r.Vas.Systematic)},
		} {
			if v[0] == 0 {
				continue
			}
			if d := math.Abs(v[0] - v[1]); !(math.Abs(d-v[2]) <= 0.05*v[2]+1e-5*v[1]) {
				t.Errorf("%s: %s moved by %g, stated %g", name, figure, d, v[2])
			}
			moved = moved || v[2] > 1e-4*v[1]
		}
		if !moved {
			t.Errorf("%s: nothing moves", name)
		}
	}
	// What is systematic is no scatter.
	r := fit(t, measure.Fit{Re: s.Re, Noise: 1e-5, PhaseNoise: 1e-5}, runs(free, heavy, box)...)
	if !(r.Mms.Scatter > 0 && r.Mms.Scatter < r.Mms.Systematic/50 && r.Vas.Scatter < r.Vas.Systematic/50) {
		t.Errorf("Mms ± %v by scatter, ± %v else; Vas ± %v and ± %v", r.Mms.Scatter, r.Mms.Systematic, r.Vas.Scatter, r.Vas.Systematic)
	}
	// A warm coil: Re and Qes are those at 20 °C within what the temperature allows.
	r = fit(t, measure.Fit{Accuracy: with(func(a *measure.Accuracy) { a.Temperature = 5 })}, measure.Run{Curve: free})
	if x := float64(r.Re.Systematic / r.Re.Value); !(math.Abs(x-5*0.00393) <= 1e-6) || r.Re.Cause != "temperature" || !(math.Abs(r.Qes.Systematic/r.Qes.Value-x) <= 1e-9) {
		t.Errorf("5 K: %v ± %v of Re by %s", r.Re.Value, r.Re.Systematic, r.Re.Cause)
	}
}

// The line through masses says how far it is off: with ten degrees of freedom errors
// are on average √(10/8) of the deviations.
func TestMassLineScatter(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 8))
	const n, mass, compliance = 2000, 0.0142, 0.00125
	var m, c float64
	for range n {
		var readings []measure.Loaded
		for k := range 12 {
			added := float64(k) * 0.002
			f := 1 / (2 * math.Pi * math.Sqrt((mass+added)*compliance))
			readings = append(readings, measure.Loaded{Added: units.Mass(added), Fs: units.Frequency(f * (1 + 0.002*random.NormFloat64()))})
		}
		mms, cms, err := measure.MassLine(readings...)
		if err != nil {
			t.Fatal(err)
		}
		m += sq(float64(mms.Value-mass)/float64(mms.Scatter)) / n
		c += sq(float64(cms.Value-compliance)/float64(cms.Scatter)) / n
	}
	if !(math.Abs(m/1.25-1) <= 0.12 && math.Abs(c/1.25-1) <= 0.12) {
		t.Errorf("mean square error %.3f and %.3f of the variance, want 1.25", m, c)
	}
}

// BenchmarkNoise reports the figures of two thousand trials for each coil: the largest
// ratio to the bound, the smallest and largest share of truths inside two deviations,
// and the RMS errors with bad points.
func BenchmarkNoise(b *testing.B) {
	for _, m := range measure.CoilModels() {
		b.Run(m.String(), func(b *testing.B) {
			for b.Loop() {
				got := try(b, m, 2000)
				for k, figure := range []string{"Re", "fs", "Qms", "Qes"} {
					b.ReportMetric(got.ratio[k], "bounds/"+figure)
					b.ReportMetric(100*got.inside[k], "inside-%/"+figure)
				}
				fs, qts := badPoints(b, m, 500)
				b.ReportMetric(100*fs, "bad-fs-%")
				b.ReportMetric(100*qts, "bad-Qts-%")
			}
		})
	}
}

// BenchmarkFit fits one curve of 241 points, with noise.
func BenchmarkFit(b *testing.B) {
	for _, m := range measure.CoilModels() {
		for _, creep := range []bool{false, true} {
			b.Run(fmt.Sprintf("%v/creep=%v", m, creep), func(b *testing.B) {
				s := woofer(coils[m])
				s.creep = 0.08
				c := noisy(s.curve(grid(20, 20000, 80), 0, 0), share, angle, rand.New(rand.NewPCG(3, 3)))
				f := measure.Fit{Coil: m, Creep: creep}
				for b.Loop() {
					if _, err := f.Curves(measure.Run{Curve: c}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// Errors of everything at once: mass, volume, area, coil and suspension are off as
// Accuracy says, the points are noisy. The truth lies within two deviations nearly
// always, and not because they are idle.
func TestJointDeviations(t *testing.T) {
	s := woofer(coils[measure.PowerLaw])
	hz := grid(12, 20000, 40)
	random := rand.New(rand.NewPCG(11, 12))
	const n = 30
	inside, total := 0, 0
	squares := 0.0
	for range n {
		run := func(added units.Mass, volume units.Volume, later float64) measure.Run {
			d := s
			d.Cms *= units.Compliance(1 + later*0.01*random.NormFloat64())
			d.Re *= units.Resistance(1 + later*0.00393*2*random.NormFloat64())
			return measure.Run{Added: added, Box: volume, Curve: noisy(d.curve(hz,
				added*units.Mass(1+0.005*random.NormFloat64()), volume*units.Volume(1+0.02*random.NormFloat64())), 0.004, 0.005, random)}
		}
		f := measure.Fit{Re: s.Re, Sd: s.Sd * units.Area(1+0.02*random.NormFloat64()), Accuracy: measure.Accuracy{Scale: 1e-9, Leads: 1e-9, Re: 1e-9, Creep: 1e-9}}
		r, err := f.Curves(run(0, 0, 0), run(0.012, 0, 1), run(0, 0.015, 1))
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range [][3]float64{
			{float64(r.Mms.Value), float64(r.Mms.SD()), float64(s.Mms)},
			{float64(r.Vas.Value), float64(r.Vas.SD()), float64(s.Vas(air.Standard()))},
			{float64(r.Sd.Value), float64(r.Sd.SD()), float64(s.Sd)},
			{float64(r.Fs.Value), float64(r.Fs.SD()), float64(s.Fs())},
		} {
			u := (e[0] - e[2]) / e[1]
			squares += u * u
			total++
			if math.Abs(u) <= 2 {
				inside++
			}
		}
	}
	if share, rms := float64(inside)/float64(total), math.Sqrt(squares/float64(total)); !(share >= 0.88 && rms >= 0.75 && rms <= 1.25) {
		t.Errorf("truth inside in %.1f %%, errors %.2f of the deviations", 100*share, rms)
	}
}

// BenchmarkJoint fits three curves of 199 points together.
func BenchmarkJoint(b *testing.B) {
	s := woofer(coils[measure.SemiInductance])
	s.creep = 0.08
	hz := grid(10, 20000, 60)
	random := rand.New(rand.NewPCG(4, 4))
	runs := []measure.Run{
		{Curve: noisy(s.curve(hz, 0, 0), 0.004, 0.005, random)},
		{Curve: noisy(s.curve(hz, 0.012, 0), 0.004, 0.005, random), Added: 0.012},
		{Curve: noisy(s.curve(hz, 0, 0.015), 0.004, 0.005, random), Box: 0.015},
	}
	f := measure.Fit{Coil: measure.SemiInductance, Creep: true, Re: s.Re, Sd: s.Sd}
	for b.Loop() {
		if _, err := f.Curves(runs...); err != nil {
			b.Fatal(err)
		}
	}
}
