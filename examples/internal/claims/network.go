package claims

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"example.com/halfspace/filter/circuit"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

func (x quotient) function() (rational.Func, error) {
	if len(x.Numerator) > 30 || len(x.Denominator) > 30 {
		return rational.Func{}, errors.New("more than 30 coefficients")
	}
	f, err := rational.FromPolynomials(x.Numerator, x.Denominator)
	if err == nil && len(f.Zeros) > len(f.Poles) {
		err = errors.New("the numerator has a higher degree than the denominator")
	}
	return f, err
}

var functions = []Capability{
	define[quotient]("transfer function", "A quotient of polynomials in s.",
		curve[decibels]("response", "", func(x quotient, hz []float64) ([]complex128, error) {
			f, err := x.function()
			dst := make([]complex128, len(hz))
			for i, f0 := range hz {
				dst[i] = f.AtHz(f0)
			}
			return dst, err
		}),
		along("magnitude", "", func(x quotient, at units.Frequency) (float64, error) {
			f, err := x.function()
			if err != nil {
				return 0, err
			}
			return cmplx.Abs(f.AtHz(float64(at))), nil
		}),
		along("group delay", "", func(x quotient, at units.Frequency) (units.Time, error) {
			f, err := x.function()
			if err != nil {
				return 0, err
			}
			return units.Time(f.GroupDelay(float64(at))), nil
		}),
		value("group delay at 0 Hz", "", func(x quotient) (units.Time, error) {
			f, err := x.function()
			if err != nil {
				return 0, err
			}
			return units.Time(f.GroupDelay(0)), nil
		}),
		along("step", "", func(x quotient, at units.Time) (float64, error) {
			f, err := x.function()
			if err != nil {
				return 0, err
			}
			return f.Step(float64(at)), nil
		}),
		along("impulse", "in 1/s", func(x quotient, at units.Time) (float64, error) {
			f, err := x.function()
			if err != nil {
				return 0, err
			}
			return f.Impulse(float64(at)), nil
		}),
	),
}

// A partText is a part with its losses: "L 1.2 mH; 0.35 Ω", "C 15 µF; 0.05 Ω; tan δ 0.002".
type partText struct{ part ladder.Part }

func (p *partText) UnmarshalText(text []byte) error {
	for _, c := range string(text) {
		if c < ' ' || c == '#' {
			return errors.New("want a part, as L 1.2 mH; 0.35 Ω")
		}
	}
	var c circuit.Circuit
	err := c.UnmarshalText([]byte("in 0 " + string(text) + "\nin 0 load x"))
	var e interface{ Unwrap() error }
	if errors.As(err, &e) && e.Unwrap() != nil {
		err = e.Unwrap()
	}
	if err != nil {
		return fmt.Errorf("want a part, as L 1.2 mH; 0.35 Ω: %s", quoteLines(err.Error()))
	}
	if len(c.Branches) != 1 {
		return errors.New("want a part, as L 1.2 mH; 0.35 Ω")
	}
	p.part = c.Branches[0].Part
	return nil
}

// An arm of a ladder.
type arm struct {
	Series []partText `in:"series,optional" doc:"parts in parallel, in the signal path"`
	Shunt  []partText `in:"shunt,optional" doc:"parts in series, across the signal path"`
}

type arms []arm

func (a arms) ladder() (ladder.Network, error) {
	var n ladder.Network
	for _, x := range a {
		if (x.Series == nil) == (x.Shunt == nil) {
			return nil, errors.New("an arm is either series or shunt")
		}
		arm := ladder.Arm{Shunt: x.Shunt != nil}
		for _, p := range slices.Concat(x.Series, x.Shunt) {
			arm.Parts = append(arm.Parts, p.part)
		}
		n = append(n, arm)
	}
	return n, n.Check()
}

// A driver as a load: Re + jωLe + (Res ∥ Lces ∥ Cmes), or a measured curve.
type load struct {
	Re    units.Resistance  `in:"Re,optional" doc:"or table"`
	Le    units.Inductance  `in:"Le,optional"`
	Res   units.Resistance  `in:"Res,optional"`
	Lces  units.Inductance  `in:"Lces,optional"`
	Cmes  units.Capacitance `in:"Cmes,optional"`
	Table *table            `in:"table,optional" doc:"of the impedance in Ω, with its phase"`
}

func (l load) check() error {
	if l.Table != nil {
		if l.Re != 0 || l.Table.Value == "" || l.Table.Phase == "" {
			return errors.New("load: a table has value in Ω and phase, and stands instead of Re")
		}
		return nil
	}
	if (l.Res == 0) != (l.Lces == 0) || (l.Res == 0) != (l.Cmes == 0) {
		return errors.New("load: Res, Lces and Cmes belong together")
	}
	return cmp.Or(units.NotNegative("load: Re", l.Re), units.NotNegative("load: Le", l.Le),
		units.NotNegative("load: Res", l.Res), units.NotNegative("load: Lces", l.Lces), units.NotNegative("load: Cmes", l.Cmes))
}

func (l load) impedance(hz []float64) ([]complex128, error) {
	if err := l.check(); err != nil {
		return nil, err
	}
	if l.Table != nil {
		return resample(l.Table.curve, hz)
	}
	z := make([]complex128, len(hz))
	for i, f := range hz {
		w := 2 * math.Pi * f
		z[i] = complex(float64(l.Re), w*float64(l.Le))
		if l.Res > 0 {
			z[i] += 1 / complex(1/float64(l.Res), w*float64(l.Cmes)-1/(w*float64(l.Lces)))
		}
	}
	return z, nil
}

// slope is dZ/dω in Ω s, by differences of the model; a table's by its spline.
func (l load) slope(hz []float64) ([]complex128, error) {
	const h = 1e-4
	d := make([]complex128, len(hz))
	for i, f := range hz {
		z, err := l.impedance([]float64{f * (1 - 2*h), f * (1 - h), f * (1 + h), f * (1 + 2*h)})
		if err != nil {
			return nil, err
		}
		d[i] = (8*(z[2]-z[1]) - (z[3] - z[0])) / complex(12*h*f*2*math.Pi, 0)
	}
	return d, nil
}

// A line of a programme.
type line struct {
	F      units.Frequency `in:"f"`
	Weight float64         `in:"weight" doc:"share of the mean square of the voltage"`
}

type loaded struct {
	Network   arms            `in:"network" doc:"arms from the source to the load"`
	Load      load            `in:"load"`
	V         units.Voltage   `in:"V,optional" doc:"RMS, of the source; left out: 1 V"`
	Programme []line          `in:"programme,optional" doc:"for the outputs from programme; weights add up to 1"`
	Lo        units.Frequency `in:"lowest,optional" doc:"of the rated range; left out: 20 Hz"`
	Hi        units.Frequency `in:"highest,optional" doc:"of the rated range; left out: 20 kHz"`
}

func (x loaded) volts() float64 {
	if x.V == 0 {
		return 1
	}
	return float64(x.V)
}

func (x loaded) solve(hz []float64) (n ladder.Network, h, zin, z []complex128, err error) {
	if n, err = x.Network.ladder(); err != nil {
		return nil, nil, nil, nil, err
	}
	if z, err = x.Load.impedance(hz); err != nil {
		return nil, nil, nil, nil, err
	}
	h, zin = make([]complex128, len(hz)), make([]complex128, len(hz))
	n.Solve(h, zin, hz, z)
	return n, h, zin, z, nil
}

func (x loaded) state(f units.Frequency) (ladder.Network, ladder.State, error) {
	n, _, _, z, err := x.solve([]float64{float64(f)})
	if err != nil {
		return nil, ladder.State{}, err
	}
	s, err := n.State(float64(f), z[0])
	return n, s, err
}

// index is the number of a part among the letters, -1 for the load.
func index(n ladder.Network, of string) (int, error) {
	if of == "load" {
		return -1, nil
	}
	var letters []string
	for l := range n.Parts() {
		if l == of {
			return len(letters), nil
		}
		letters = append(letters, l)
	}
	return 0, errors.New(unknown("part", of, append(letters, "load")))
}

func (x loaded) stress(f units.Frequency, of string) (ladder.Stress, error) {
	n, s, err := x.state(f)
	if err != nil {
		return ladder.Stress{}, err
	}
	i, err := index(n, of)
	if err != nil || i < 0 {
		return s.Load, err
	}
	return s.Parts[i], nil
}

func (x loaded) duty(of string) (ladder.Duty, error) {
	p := ladder.Programme{Volts: units.Voltage(x.volts()), Crest: 2}
	for _, l := range x.Programme {
		if err := cmp.Or(units.Positive("programme: f", l.F), units.NotNegative("programme: weight", l.Weight)); err != nil {
			return ladder.Duty{}, err
		}
		p.Hz, p.Weight = append(p.Hz, float64(l.F)), append(p.Weight, l.Weight)
	}
	if p.Hz == nil {
		return ladder.Duty{}, errors.New("the programme is not given")
	}
	n, _, _, z, err := x.solve(p.Hz)
	if err != nil {
		return ladder.Duty{}, err
	}
	d, err := n.Duty(p, z)
	if err != nil {
		return ladder.Duty{}, err
	}
	i, err := index(n, of)
	if err != nil || i < 0 {
		return d.Load, err
	}
	return d.Parts[i], nil
}

// sensitivity is of ln H and of ln Zin to a relative change of a part.
func (x loaded) sensitivity(of string, f float64) (h, zin complex128, err error) {
	hz := []float64{f}
	n, _, _, z, err := x.solve(hz)
	if err != nil {
		return 0, 0, err
	}
	i, err := index(n, of)
	if err == nil && i < 0 {
		err = errors.New("sensitivity is to parts, not to the load")
	}
	if err != nil {
		return 0, 0, err
	}
	var g ladder.Gradient
	n.Gradient(&g, hz, z)
	s := make([][]complex128, len(g.DH))
	for k := range s {
		s[k] = make([]complex128, 1)
	}
	n.Sensitivity(s, &g, hz)
	n.ByValue(g.DZin, g.DZin, hz)
	return s[i][0], g.DZin[i][0] / g.Zin[0], nil
}

func (x loaded) rated() ([]float64, []complex128, error) {
	lo, hi := x.Lo, x.Hi
	if lo == 0 {
		lo = 20
	}
	if hi == 0 {
		hi = 20_000
	}
	if err := cmp.Or(units.Within("lowest", lo, 1, 1e5), units.Within("highest", hi, 1, 1e5)); err != nil {
		return nil, nil, err
	}
	if !(lo < hi) {
		return nil, nil, errors.New("lowest must be below highest")
	}
	var hz []float64
	for f := float64(lo); f < float64(hi); f *= math.Pow(2, 1.0/96) {
		hz = append(hz, f)
	}
	hz = append(hz, float64(hi))
	_, _, zin, _, err := x.solve(hz)
	return hz, zin, err
}

type impedancePoint struct {
	Z     units.Resistance `in:"Z,optional" doc:"modulus"`
	Phase units.Angle      `in:"phase,optional"`
	Zmin  units.Resistance `in:"Zmin,optional" doc:"least modulus in the rated range"`
}

type lossy struct {
	C    units.Capacitance `in:"C"`
	Loss float64           `in:"loss" doc:"tan δ"`
}

// A netList is a circuit of any shape.
type netList struct {
	Circuit circuit.Circuit `in:"circuit" doc:"a net list: one part or load on a line, as: in mid C 10 µF; 0.02 Ω"`
	Loads   []namedLoad     `in:"loads"`
	V       units.Voltage   `in:"V,optional" doc:"RMS, of the source; left out: 1 V"`
}

type namedLoad struct {
	Name string `in:"name"`
	load
}

func (x netList) solve(hz []float64) (circuit.Response, [][]complex128, error) {
	var r circuit.Response
	if len(x.Circuit.Branches)+len(x.Circuit.Loads) > 60 {
		return r, nil, errors.New("more than 60 parts and loads")
	}
	z := make([][]complex128, len(x.Circuit.Loads))
	for k, l := range x.Circuit.Loads {
		i := slices.IndexFunc(x.Loads, func(n namedLoad) bool { return n.Name == l.Name })
		if i < 0 {
			return r, nil, fmt.Errorf("load %s stands in the circuit and not among the loads", quote(l.Name))
		}
		var err error
		if z[k], err = x.Loads[i].impedance(hz); err != nil {
			return r, nil, err
		}
	}
	return r, z, x.Circuit.Solve(&r, hz, z...)
}

var networks = []Capability{
	define[loaded]("ladder", "A passive network of series and shunt arms into a driver.",
		curve[decibels]("response", "voltage at the load over that of the source", func(x loaded, hz []float64) ([]complex128, error) {
			_, h, _, _, err := x.solve(hz)
			return h, err
		}),
		curve[units.Resistance]("input impedance", "", func(x loaded, hz []float64) ([]complex128, error) {
			_, _, zin, _, err := x.solve(hz)
			return zin, err
		}),
		along("group delay", "of the voltage at the load", func(x loaded, f units.Frequency) (units.Time, error) {
			hz := []float64{float64(f)}
			n, _, _, z, err := x.solve(hz)
			if err != nil {
				return 0, err
			}
			slope, err := x.Load.slope(hz)
			if err != nil {
				return 0, err
			}
			tau := make([]float64, 1)
			n.GroupDelay(tau, hz, z, slope)
			return units.Time(tau[0]), nil
		}),
		eachAlong("power", "in a part, or taken by the load, at V", "part", func(x loaded, of string, f units.Frequency) (units.Power, error) {
			s, err := x.stress(f, of)
			if err != nil {
				return 0, err
			}
			return units.Power(s.Power * x.volts() * x.volts()), nil
		}),
		eachAlong("voltage", "across a part or the load at V, RMS", "part", func(x loaded, of string, f units.Frequency) (units.Voltage, error) {
			s, err := x.stress(f, of)
			if err != nil {
				return 0, err
			}
			return units.Voltage(cmplx.Abs(s.Voltage) * x.volts()), nil
		}),
		eachAlong("current", "through a part or the load at V, RMS", "part", func(x loaded, of string, f units.Frequency) (units.Current, error) {
			s, err := x.stress(f, of)
			if err != nil {
				return 0, err
			}
			return units.Current(cmplx.Abs(s.Current) * x.volts()), nil
		}),
		along("power in Re", "of the load, at V", func(x loaded, f units.Frequency) (units.Power, error) {
			s, err := x.stress(f, "load")
			i := cmplx.Abs(s.Current) * x.volts()
			return units.Power(i * i * float64(x.Load.Re)), err
		}),
		eachAlong("sensitivity of gain", "relative change of the modulus per relative change of a part", "part", func(x loaded, of string, f units.Frequency) (float64, error) {
			h, _, err := x.sensitivity(of, float64(f))
			if err != nil {
				return 0, err
			}
			return real(h), nil
		}),
		eachAlong("sensitivity of phase", "change in radians per relative change of a part", "part", func(x loaded, of string, f units.Frequency) (float64, error) {
			h, _, err := x.sensitivity(of, float64(f))
			if err != nil {
				return 0, err
			}
			return imag(h), nil
		}),
		eachAlong("sensitivity of input impedance", "relative change of the modulus per relative change of a part", "part", func(x loaded, of string, f units.Frequency) (float64, error) {
			_, z, err := x.sensitivity(of, float64(f))
			if err != nil {
				return 0, err
			}
			return real(z), nil
		}),
		each("power from programme", "", "part", func(x loaded, of string) (units.Power, error) {
			d, err := x.duty(of)
			return d.Power, err
		}),
		each("voltage from programme", "RMS", "part", func(x loaded, of string) (units.Voltage, error) {
			d, err := x.duty(of)
			return d.Voltage, err
		}),
		each("current from programme", "RMS", "part", func(x loaded, of string) (units.Current, error) {
			d, err := x.duty(of)
			return d.Current, err
		}),
		value("least impedance", "modulus in the rated range", func(x loaded) (units.Resistance, error) {
			hz, z, err := x.rated()
			if err != nil {
				return 0, err
			}
			_, least := ladder.RefineMinimum(hz, z)
			return least, nil
		}),
		value("least EPDR", "in the rated range", func(x loaded) (units.Resistance, error) {
			hz, z, err := x.rated()
			if err != nil {
				return 0, err
			}
			a, err := ladder.AssessLoad(hz, z)
			return a.Hardest.EPDR, err
		}),
	),
	define[impedancePoint]("amplifier load", "What an impedance asks of an amplifier.",
		value("EPDR", "equivalent peak dissipation resistance", func(x impedancePoint) (units.Resistance, error) {
			if err := cmp.Or(units.Positive("Z", x.Z), units.Within("phase", x.Phase, -math.Pi/2-1e-12, math.Pi/2+1e-12)); err != nil {
				return 0, err
			}
			return ladder.EPDR(cmplx.Rect(float64(x.Z), float64(x.Phase))), nil
		}),
		value("relative dissipation", "peak, over that of a resistor of the same modulus", func(x impedancePoint) (float64, error) {
			if err := units.Positive("Z", x.Z); err != nil {
				return 0, err
			}
			return float64(x.Z / ladder.EPDR(cmplx.Rect(float64(x.Z), float64(x.Phase)))), nil
		}),
		value("rated impedance", "the largest that the least modulus allows", func(x impedancePoint) (units.Resistance, error) {
			if err := units.Positive("Zmin", x.Zmin); err != nil {
				return 0, err
			}
			return ladder.RatedImpedance(x.Zmin), nil
		}),
	),
	define[lossy]("lossy capacitor", "A capacitor with a loss factor.",
		along("series resistance", "", func(x lossy, f units.Frequency) (units.Resistance, error) {
			p := ladder.C(x.C).WithLoss(x.Loss)
			if err := p.Check(); err != nil {
				return 0, err
			}
			return units.Resistance(real(p.Impedance(float64(f)))), nil
		}),
	),
	define[netList]("circuit", "A passive crossover of any shape.",
		eachCurve[decibels]("response", "voltage at a load over that of the source", "load", func(x netList, of string, hz []float64) ([]complex128, error) {
			r, _, err := x.solve(hz)
			if err != nil {
				return nil, err
			}
			var names []string
			for k, l := range x.Circuit.Loads {
				if l.Name == of {
					return r.H[k], nil
				}
				names = append(names, l.Name)
			}
			return nil, errors.New(unknown("load", of, names))
		}),
		curve[units.Resistance]("input impedance", "", func(x netList, hz []float64) ([]complex128, error) {
			r, _, err := x.solve(hz)
			return r.Zin, err
		}),
		eachAlong("power", "in a part at V, by its letter in the order of the circuit", "part", func(x netList, of string, f units.Frequency) (units.Power, error) {
			_, z, err := x.solve([]float64{float64(f)})
			if err != nil {
				return 0, err
			}
			at := make([]complex128, len(z))
			for k := range z {
				at[k] = z[k][0]
			}
			s, err := x.Circuit.State(float64(f), at...)
			if err != nil {
				return 0, err
			}
			v := float64(x.V)
			if v == 0 {
				v = 1
			}
			var letters []string
			for k, p := range s.Parts {
				if ladder.Letter(k) == of {
					return units.Power(p.Power * v * v), nil
				}
				letters = append(letters, ladder.Letter(k))
			}
			return 0, errors.New(unknown("part", of, letters))
		}),
	),
}
