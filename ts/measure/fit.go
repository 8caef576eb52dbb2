package measure

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A Run is one impedance curve of a driver, in ohms, with or without phase. Added and
// Box are both zero in free air.
type Run struct {
	Curve response.Curve
	Added units.Mass   // on the cone
	Box   units.Volume // net volume of the closed box that the driver is in, its own displacement taken off
}

// A Fit says how the curves of a driver are to be fitted. The zero Fit takes every
// point, a power-law coil and no creep, and finds Re by the fit.
//
// The model, with x = f/fs, is
//
//	Z = Leads + Re + Zcoil + (Re/Qes)/D
//	D = μ jx + l/Qms − λb + (1 + (λb)²)/(jx (1 − λ log10(jx))) + α/(jx),  b = π/(2 ln 10)
//
// μ is 1 in free air and 1 + Added/Mms with a mass on the cone; α is Vas/Box in a
// box and zero outside. In a box μ and the losses l are found besides, since the air
// load there is another one: so the volume rests on fc Qec, as in [VasInClosed].
// Masses are taken not to change losses or compliance.
//
// λ is the creep of the suspension, as in [ts.Driver.Suspension]: fs, Qms and the
// compliance are those at fs. Leaving it out of the model put the Q of woofers 0.3 to 4
// per cent wrong while the fit looked good.
type Fit struct {
	Coil  CoilModel
	Creep bool

	// What is known otherwise; zero is not known.
	Re    units.Resistance // of the coil, by a direct current, without the leads
	Leads units.Resistance // part of every impedance measured
	Sd    units.Area
	Mms   units.Mass

	From, To units.Frequency // band to be fitted; zero: as far as the curves reach

	// Noise of the points, standard deviations; zero: found from the curves. Whoever
	// states it gets back, from a curve without noise, the least deviations that any
	// method can reach with such points (the bound of Cramér and Rao).
	Noise      units.Ratio // of the modulus
	PhaseNoise units.Angle

	Accuracy Accuracy
	Air      air.Air // zero: standard air
}

// Accuracy says how well, as standard deviations, what no point can show is known.
// Zero means the value in brackets; whoever knows one exactly writes a tiny one.
type Accuracy struct {
	Scale       units.Ratio      // of all impedances, the reference resistor of the jig (0.5 %)
	Leads       units.Resistance // (10 mΩ)
	Re          units.Ratio      // if given (0.5 %)
	Temperature float64          // of the coil, K: from 20 °C, for which Re stands, and from curve to curve (2)
	Creep       float64          // λ, if it is not fitted (0.08)
	Drift       units.Ratio      // of the compliance from one curve to the next (1 %)
	Added       units.Ratio      // of all masses (0.5 %)
	Box         units.Ratio      // of all volumes (2 %)
	Sd          units.Ratio      // if given (2 %)
	Mms         units.Ratio      // if given (3 %)
}

func (a Accuracy) orUsual() Accuracy {
	return Accuracy{
		Scale: cmp.Or(a.Scale, 0.005), Leads: cmp.Or(a.Leads, 0.010), Re: cmp.Or(a.Re, 0.005),
		Temperature: cmp.Or(a.Temperature, 2), Creep: cmp.Or(a.Creep, 0.08), Drift: cmp.Or(a.Drift, 0.01),
		Added: cmp.Or(a.Added, 0.005), Box: cmp.Or(a.Box, 0.02), Sd: cmp.Or(a.Sd, 0.02), Mms: cmp.Or(a.Mms, 0.03),
	}
}

func (a Accuracy) check() error {
	const most = 0.5 // beyond it a deviation means nothing
	return cmp.Or(
		units.Within("measure: accuracy of the scale", a.Scale, 0, most),
		units.NotNegative("measure: accuracy of the leads", a.Leads),
		units.Within("measure: accuracy of Re", a.Re, 0, most),
		units.Within("measure: accuracy of the temperature, K,", a.Temperature, 0, 100),
		units.Within("measure: accuracy of the creep", a.Creep, 0, 0.3),
		units.Within("measure: accuracy of the compliance", a.Drift, 0, most),
		units.Within("measure: accuracy of added masses", a.Added, 0, most),
		units.Within("measure: accuracy of box volumes", a.Box, 0, most),
		units.Within("measure: accuracy of Sd", a.Sd, 0, most),
		units.Within("measure: accuracy of Mms", a.Mms, 0, most),
	)
}

// Check refuses figures that cannot be, as a *[units.RangeError].
func (f Fit) Check() error {
	if err := cmp.Or(
		units.NotNegative("measure: Re", f.Re),
		units.NotNegative("measure: leads", f.Leads),
		units.NotNegative("measure: Sd", f.Sd),
		units.NotNegative("measure: Mms", f.Mms),
		units.NotNegative("measure: lower end of the band", f.From),
		units.NotNegative("measure: upper end of the band", f.To),
		units.NotNegative("measure: noise", f.Noise),
		units.NotNegative("measure: noise of the phase", f.PhaseNoise),
		f.Accuracy.check(),
	); err != nil {
		return err
	}
	switch {
	case int(f.Coil) >= len(coilNames):
		return &units.RangeError{Field: "measure: coil", Value: f.Coil.String(), Want: "must be one of CoilModels"}
	case f.To > 0 && !(f.To > f.From):
		return &units.RangeError{Field: "measure: upper end of the band", Value: f.To.String(), Want: fmt.Sprintf("must be above the lower, %v", f.From)}
	}
	return f.Air.OrStandard().Check()
}

// Curves fits one driver to all runs together; at least one must be in free air. An
// added mass gives the moving mass, a box the compliance volume, Sd each from the
// other; a known Mms does what an added mass does. Where curves and what is given say
// the same thing twice, as mass, box and Sd do together, each gives way as far as its
// accuracy allows, and a warning says if that is not enough. The compliance may drift
// and the coil warm from curve to curve.
//
// Residuals are the logarithms of the modulus and the phases in radians, each kind
// weighted by its own noise. Points more than five standard deviations and 3 per cent
// off are left out, at most a fifth, after a fit that they hardly disturb; [Result.Runs]
// tells which.
//
// An error that wraps [ErrNoResonance], [ErrAtEdge], [ErrTwoResonances] or [ErrPhase]
// says which curve cannot be fitted, and why.
func (f Fit) Curves(runs ...Run) (Result, error) {
	if err := f.Check(); err != nil {
		return Result{}, err
	}
	f.Air = f.Air.OrStandard()
	f.Accuracy = f.Accuracy.orUsual()
	free := false
	var curves []curve
	for i, r := range runs {
		c, err := f.take(r)
		if err != nil {
			return Result{}, fmt.Errorf("curve %d: %w", i+1, err)
		}
		free = free || c.free()
		curves = append(curves, c)
	}
	if !free {
		return Result{}, errors.New("measure: none of the curves is in free air, without added mass: one must be")
	}
	r, err := f.solve(curves)
	if err != nil {
		return Result{}, err
	}
	for i, c := range curves {
		// A second peak that the fit does not explain away as bad points.
		if c.second != nil && r.model.around(i) > doubled {
			return Result{}, fmt.Errorf("curve %d: %w", i+1, c.second)
		}
	}
	return r, nil
}

// A curve is what of a run is fitted.
type curve struct {
	Run
	hz, modulus, phase []float64 // phase is nil if unknown
	log, logW          []float64 // of the modulus and of the angular frequency
	index              []int     // of each point in the run's curve
	read               Reading
	second             error // if it seems to have another peak
}

func (c curve) free() bool { return c.Added == 0 && c.Box == 0 }

// take checks a run and cuts it to the band.
func (f Fit) take(r Run) (curve, error) {
	c := curve{Run: r}
	if err := cmp.Or(
		r.Curve.Check(),
		units.NotNegative("measure: added mass", r.Added),
		units.NotNegative("measure: box volume", r.Box),
	); err != nil {
		return c, err
	}
	if r.Added > 0 && r.Box > 0 {
		return c, &units.RangeError{Field: "measure: added mass", Value: r.Added.String(), Want: "must be left out in a box: one change at a time"}
	}
	// A cone as deep as its radius takes a third of that cylinder.
	if cone := units.Volume(math.Sqrt(float64(f.Sd)/math.Pi) * float64(f.Sd) / 3); r.Box > 0 && !(r.Box > cone) {
		return c, &units.RangeError{Field: "measure: box volume", Value: r.Box.String(), Want: fmt.Sprintf("must be above that of the cone itself, about %v", cone)}
	}
	from := max(f.From, r.Curve.From)
	for i, hz := range r.Curve.Hz {
		if hz < float64(from) || f.To > 0 && hz > float64(f.To) {
			continue
		}
		c.hz = append(c.hz, hz)
		c.modulus = append(c.modulus, cmplx.Abs(r.Curve.H[i]))
		c.log = append(c.log, math.Log(cmplx.Abs(r.Curve.H[i])))
		c.logW = append(c.logW, math.Log(2*math.Pi*hz))
		if r.Curve.HasPhase {
			c.phase = append(c.phase, cmplx.Phase(r.Curve.H[i]))
		}
		c.index = append(c.index, i)
	}
	re := f.Re
	if re > 0 {
		re += f.Leads
	}
	var err error
	if c.read, c.second, err = readPeak(c.hz, c.modulus, float64(re)); err != nil {
		return c, err
	}
	return c, c.checkPhase()
}

// checkPhase names what is wrong with a phase that no driver can have.
func (c curve) checkPhase() error {
	if c.phase == nil {
		return nil
	}
	refuse := func(format string, args ...any) error {
		return fmt.Errorf("measure: %w: %s", ErrPhase, fmt.Sprintf(format, args...))
	}
	most, beyond, below, above := 0.0, 0, 0.0, 0.0
	fs := float64(c.read.Fs)
	for i, p := range c.phase {
		most = max(most, math.Abs(p))
		if math.Abs(p) > 1.75 { // 100°: a passive impedance stays within 90°
			beyond++
		}
		if r := c.hz[i] / fs; r > 0.6 && r < 0.95 {
			below += p
		} else if r > 1/0.95 && r < 1/0.6 {
			above += p
		}
	}
	rad := math.Pi / 180
	switch {
	case most == 0:
		return refuse("it is zero everywhere; leave it out if it is not known")
	case most <= 1.001*math.Pi*rad/2:
		return refuse("it stays within %.3g° while the modulus has a peak: radians read as degrees?", most/rad)
	case beyond > len(c.phase)/5:
		return refuse("%d of %d points are beyond ±100°, which nothing passive is: degrees read as radians, a delay, or the wrong column?", beyond, len(c.phase))
	case above > below:
		return refuse("it rises through the resonance near %.3g Hz: its sign is turned, e^{+jωt} makes it fall", fs)
	}
	return nil
}
