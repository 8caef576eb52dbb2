package measure

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/ts"
	"example.com/halfspace/units"
)

// A Result is the driver that fits the curves best. What does not follow from them is
// zero: without a mass, or a volume with Sd, everything mechanical; without Sd and a
// mass or volume, the rest.
type Result struct {
	Re            Estimate[units.Resistance]
	Fs            Estimate[units.Frequency]
	Qms, Qes, Qts Estimate[float64]

	Mms Estimate[units.Mass]
	Cms Estimate[units.Compliance]
	Rms Estimate[units.MechanicalResistance]
	Bl  Estimate[units.ForceFactor]
	Vas Estimate[units.Volume]
	Sd  Estimate[units.Area]

	Coil        ts.Coil // its parts,
	CoilScatter ts.Coil // and their standard deviations by scatter, in the same places
	Creep       Estimate[float64]

	Noise      units.Ratio // of the modulus about the fit, standard deviation of a point
	PhaseNoise units.Angle // of the phase; zero without
	Runs       []Fitted    // one for each run, in their order
	Warnings   []Warning

	model *solver
}

// Fitted says how one run was fitted.
type Fitted struct {
	Reading   Reading // what the three-frequency method reads off the curve, with Re and leads together
	LeftOut   []int   // points of the run's curve that stood out, by index
	MassRatio float64 // of the moving mass to that in free air
	Resonance units.Frequency
	Modulus   units.Ratio // RMS residual of the points kept
	Phase     units.Angle
}

// A Warning tells what the data cannot carry, or what looks wrong.
type Warning struct {
	About string // the figure or the curve, as "Rss" or "curve 2"
	Text  string
}

func (w Warning) String() string { return w.About + ": " + w.Text }

// Driver returns the driver. The error says what else must be measured or given when
// it does not follow, or that the fitted creep loses more than there is.
func (r Result) Driver() (ts.Driver, error) {
	if r.Mms.Value == 0 || r.Sd.Value == 0 {
		return ts.Driver{}, fmt.Errorf("measure: no driver follows from Re, fs and Q alone: two of these must be measured or given: the mass (by a curve with a mass on the cone), the volume (by a curve in a box), Sd; known are %s", cmp.Or(r.have(), "none"))
	}
	d := ts.Driver{
		Re: r.Re.Value, Bl: r.Bl.Value, Mms: r.Mms.Value, Cms: r.Cms.Value, Rms: r.Rms.Value,
		Sd: r.Sd.Value, Creep: r.Creep.Value, Coil: r.Coil,
	}
	return d, d.Check()
}

func (r Result) have() string {
	switch {
	case r.Sd.Value > 0:
		return "Sd"
	case r.Vas.Value > 0:
		return "the volume"
	case r.Mms.Value > 0:
		return "the mass"
	}
	return ""
}

// Sheet returns what follows from the curves as a sheet prints it, in so many
// significant digits; zero keeps them all. Inductances are those of the fitted coil, left
// out where they lie above the band that was fitted.
func (r Result) Sheet(digits int) ts.Sheet {
	round := func(v float64) float64 { return significant(v, digits) }
	inductance := func(f units.Frequency) units.Inductance {
		for _, c := range r.model.curves {
			if c.hz[len(c.hz)-1] >= float64(f) {
				return units.Inductance(round(float64(r.Coil.Inductance(f))))
			}
		}
		return 0
	}
	return ts.Sheet{
		Re: units.Resistance(round(float64(r.Re.Value))), Fs: units.Frequency(round(float64(r.Fs.Value))),
		Qms: round(r.Qms.Value), Qes: round(r.Qes.Value), Qts: round(r.Qts.Value),
		Vas: units.Volume(round(float64(r.Vas.Value))), Sd: units.Area(round(float64(r.Sd.Value))),
		Mms: units.Mass(round(float64(r.Mms.Value))), Cms: units.Compliance(round(float64(r.Cms.Value))),
		Rms: units.MechanicalResistance(round(float64(r.Rms.Value))), Bl: units.ForceFactor(round(float64(r.Bl.Value))),
		Le1k: inductance(1000 * units.Hertz), Le10k: inductance(10000 * units.Hertz),
		Creep: round(r.Creep.Value), Digits: digits,
	}
}

func significant(v float64, digits int) float64 {
	if digits <= 0 || v == 0 {
		return v
	}
	scale := math.Pow10(digits - 1 - int(math.Floor(math.Log10(math.Abs(v)))))
	return math.Round(v*scale) / scale
}

// Impedance writes the fitted impedance of a run, counted from 0, with the leads, at
// the frequencies hz. It panics if the lengths of z and hz differ or there is no such
// run.
func (r Result) Impedance(z []complex128, hz []float64, run int) {
	if len(z) != len(hz) {
		panic(fmt.Sprintf("measure: %d values for %d frequencies", len(z), len(hz)))
	}
	st := state{parts: make([]part, len(r.Runs))}
	r.model.layout.state(&st, r.model.x, &r.model.nominal)
	for i, f := range hz {
		w := 2 * math.Pi * f
		re, im := st.impedance(&st.parts[run], w, math.Log(w))
		z[i] = complex(re+r.model.nominal.leads, im)
	}
}

// Figures of a result in one row of numbers, for their deviations.
const (
	figRe = iota
	figFs
	figQms
	figQes
	figQts
	figMms
	figCms
	figRms
	figBl
	figVas
	figSd
	figLeb
	figLe
	figRss
	figKe
	figK
	figN
	figCreep
	figures
)

// figures returns them for variables x.
func (s *solver) figures(x []float64, k *known) [figures]float64 {
	st := &s.state
	s.layout.state(st, x, k)
	var f [figures]float64
	warm := 1 + k.warm // Re and the electrical Q at 20 °C over those while measuring
	f[figRe], f[figFs] = st.re*warm, st.ws/(2*math.Pi)
	f[figQms], f[figQes] = st.qms, st.qes*warm
	f[figQts] = 1 / (1/st.qms + 1/f[figQes])
	if st.mms > 0 {
		f[figMms] = st.mms
		f[figCms] = 1 / (st.ws * st.ws * st.mms)
		f[figRms] = st.ws * st.mms / st.qms
		f[figBl] = math.Sqrt(st.ws * st.mms * st.re / st.qes)
	}
	f[figVas], f[figSd] = st.vas, st.sd
	c := st.coil
	f[figLeb], f[figLe], f[figRss], f[figKe] = float64(c.Leb), float64(c.Le), float64(c.Rss), c.Ke
	f[figK], f[figN] = c.K, c.N
	f[figCreep] = st.lambda
	return f
}

func estimate[Q ~float64](e *Estimate[Q], fig int, d deviations) {
	e.Value, e.Scatter, e.Systematic = Q(d.value[fig]), Q(d.scatter[fig]), Q(d.systematic[fig])
	e.Cause = d.cause[fig]
}

func (s *solver) result() Result {
	d := s.deviations()
	r := Result{model: s, PhaseNoise: units.Angle(s.noise[1]), Noise: units.Ratio(s.noise[0])}
	if s.counts[1] == 0 {
		r.PhaseNoise = 0
	}
	estimate(&r.Re, figRe, d)
	estimate(&r.Fs, figFs, d)
	estimate(&r.Qms, figQms, d)
	estimate(&r.Qes, figQes, d)
	estimate(&r.Qts, figQts, d)
	estimate(&r.Mms, figMms, d)
	estimate(&r.Cms, figCms, d)
	estimate(&r.Rms, figRms, d)
	estimate(&r.Bl, figBl, d)
	estimate(&r.Vas, figVas, d)
	estimate(&r.Sd, figSd, d)
	if s.creep >= 0 {
		estimate(&r.Creep, figCreep, d)
	}
	r.Coil, r.CoilScatter = coil(d.value), coil(d.scatter)
	s.layout.state(&s.state, s.x, &s.nominal)
	for i, c := range s.curves {
		p := s.state.parts[i]
		r.Runs = append(r.Runs, Fitted{Reading: c.read, MassRatio: p.mass,
			Resonance: units.Frequency(s.state.ws / (2 * math.Pi) * math.Sqrt((p.stiff+p.box)/p.mass))})
	}
	s.report(&r)
	r.Warnings = s.warnings(&r, d)
	return r
}

func coil(f [figures]float64) ts.Coil {
	return ts.Coil{Leb: units.Inductance(f[figLeb]), Le: units.Inductance(f[figLe]), Rss: units.Resistance(f[figRss]),
		Ke: f[figKe], K: f[figK], N: f[figN]}
}

// report fills in what was left out and how far off the rest is, curve by curve.
func (s *solver) report(r *Result) {
	s.residuals(s.r, &s.state, &s.nominal)
	point, n := 0, 0
	for i, c := range s.curves {
		var sum [2]float64
		kept := 0.0
		for j := range c.hz {
			out := s.out[point]
			if out {
				r.Runs[i].LeftOut = append(r.Runs[i].LeftOut, c.index[j])
			} else {
				kept++
			}
			for kind := range 2 {
				if kind == 1 && c.phase == nil {
					continue
				}
				if !out {
					sum[kind] += s.r[n] * s.r[n]
				}
				n++
			}
			point++
		}
		r.Runs[i].Modulus = units.Ratio(math.Sqrt(sum[0] / kept))
		r.Runs[i].Phase = units.Angle(math.Sqrt(sum[1] / kept))
	}
}
