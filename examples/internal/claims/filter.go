package claims

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// A proto is a low-pass with its corner at 1 rad/s.
type proto struct {
	Family string   `in:"family" choice:"Butterworth|Linkwitz-Riley|Bessel|Chebyshev|Legendre|second order"`
	Order  int      `in:"order,optional"`
	Norm   string   `in:"norm,optional" choice:"delay|phase|magnitude" doc:"of Bessel: what is at 1 rad/s; left out: phase"`
	Ripple decibels `in:"ripple,optional" doc:"of Chebyshev"`
	Q      float64  `in:"q,optional" doc:"of second order"`
}

func (p proto) prototype() (rational.Func, error) {
	switch p.Family {
	case "Butterworth":
		return filter.Butterworth(p.Order)
	case "Linkwitz-Riley":
		return filter.LinkwitzRiley(p.Order)
	case "Bessel":
		return filter.Bessel(p.Order, map[string]filter.Norm{"delay": filter.DelayNorm, "": filter.PhaseNorm, "phase": filter.PhaseNorm, "magnitude": filter.MagnitudeNorm}[p.Norm])
	case "Chebyshev":
		return filter.Chebyshev(p.Order, float64(p.Ripple))
	case "Legendre":
		return filter.Legendre(p.Order)
	}
	return filter.SecondOrder(p.Q)
}

// normalised is a prototype, with what picks one of its numbers.
type normalised struct {
	proto
	Real    float64 `in:"real,optional" doc:"real part of the pole that is meant, nearly"`
	Imag    float64 `in:"imag,optional" doc:"imaginary part of the pole that is meant, nearly"`
	Power   int     `in:"power,optional" doc:"of s, of the coefficient"`
	Element int     `in:"element,optional" doc:"counted from 1 at the source"`
}

func ofProto[Q number](name, doc string, f func(x normalised, p rational.Func) (Q, error)) Output {
	return value(name, doc, func(x normalised) (Q, error) {
		p, err := x.prototype()
		if err != nil {
			return 0, err
		}
		return f(x, p)
	})
}

// closest returns the pole that is closest to x in one part.
func closest(p rational.Func, part func(complex128) float64, x float64) complex128 {
	best := p.Poles[0]
	for _, z := range p.Poles {
		if math.Abs(part(z)-x) < math.Abs(part(best)-x) {
			best = z
		}
	}
	return best
}

func re(z complex128) float64 { return real(z) }
func im(z complex128) float64 { return imag(z) }

// nth returns the value of part n of a network, counted from 1.
func nth(network ladder.Network, n int) (ladder.Part, error) {
	i := 0
	for _, p := range network.Parts() {
		if i++; i == n {
			return p, nil
		}
	}
	return ladder.Part{}, fmt.Errorf("no element %d: there are %d", n, i)
}

// halfPower finds by bisection where the gain has fallen to half power.
func halfPower(p rational.Func) float64 {
	lo, hi := 1e-3, 1e3
	for range 100 {
		if m := math.Sqrt(lo * hi); cmplx.Abs(p.At(complex(0, m))) > math.Sqrt2/2 {
			lo = m
		} else {
			hi = m
		}
	}
	return lo
}

// A passive filter is a prototype as a network.
type passive struct {
	proto
	Kind string           `in:"kind" choice:"low-pass|high-pass"`
	F    units.Frequency  `in:"frequency"`
	Load units.Resistance `in:"load"`
}

func (x passive) network() (ladder.Network, error) {
	p, err := x.prototype()
	if err != nil {
		return nil, err
	}
	if x.Kind == "high-pass" {
		return filter.HighPass(p, x.F, x.Load)
	}
	return filter.LowPass(p, x.F, x.Load)
}

// A network of few parts.
type networked interface {
	network() (ladder.Network, error)
}

// partOf finds a part by its letter.
func partOf(n ladder.Network, letter string) (ladder.Part, error) {
	var letters []string
	for l, p := range n.Parts() {
		if l == letter {
			return p, nil
		}
		letters = append(letters, l)
	}
	return ladder.Part{}, errors.New(unknown("part", letter, letters))
}

// partsOf are the outputs of a network's parts.
func partsOf[I networked](more ...Output) []Output {
	part := func(x I, of string, k ladder.Kind) (float64, error) {
		n, err := x.network()
		if err != nil {
			return 0, err
		}
		p, err := partOf(n, of)
		if err == nil && p.Kind != k {
			err = fmt.Errorf("part %s is a %v", of, p.Kind)
		}
		return p.Value, err
	}
	const letters = "by its letter: A is next to the source"
	return append([]Output{
		each("resistor", letters, "part", func(x I, of string) (units.Resistance, error) {
			v, err := part(x, of, ladder.Resistor)
			if err != nil {
				return 0, err
			}
			return units.Resistance(v), nil
		}),
		each("coil", letters, "part", func(x I, of string) (units.Inductance, error) {
			v, err := part(x, of, ladder.Inductor)
			if err != nil {
				return 0, err
			}
			return units.Inductance(v), nil
		}),
		each("capacitor", letters, "part", func(x I, of string) (units.Capacitance, error) {
			v, err := part(x, of, ladder.Capacitor)
			if err != nil {
				return 0, err
			}
			return units.Capacitance(v), nil
		}),
	}, more...)
}

// into is the transfer of a network into a resistance.
func into[I networked](load func(I) units.Resistance) Output {
	return curve[decibels]("response", "voltage at the load over that of the source", func(x I, hz []float64) ([]complex128, error) {
		n, err := x.network()
		if err != nil {
			return nil, err
		}
		h, zin, z := make([]complex128, len(hz)), make([]complex128, len(hz)), make([]complex128, len(hz))
		for i := range z {
			z[i] = complex(float64(load(x)), 0)
		}
		n.Solve(h, zin, hz, z)
		return h, nil
	})
}

type pad struct {
	Kind        string           `in:"kind" choice:"L|T|π|series"`
	Load        units.Resistance `in:"load"`
	Attenuation decibels         `in:"attenuation"`
}

func (x pad) network() (ladder.Network, error) {
	return map[string]func(float64, units.Resistance) (ladder.Network, error){
		"L": filter.Pad, "T": filter.TPad, "π": filter.PiPad, "series": filter.SeriesPad,
	}[x.Kind](float64(x.Attenuation), x.Load)
}

type shelf struct {
	Load units.Resistance `in:"load"`
	Step decibels         `in:"step,optional" doc:"by which it lowers high frequencies; or resistor"`
	R    units.Resistance `in:"resistor,optional"`
	F    units.Frequency  `in:"frequency" doc:"where half of the step is done"`
}

func (x shelf) network() (ladder.Network, error) {
	step := float64(x.Step)
	if x.R != 0 {
		if err := cmp.Or(units.Positive("load", x.Load), units.Positive("resistor", x.R)); err != nil {
			return nil, err
		}
		step = 20 * math.Log10(float64((x.Load+x.R)/x.Load))
	}
	return filter.Shelf(step, x.F, x.Load)
}

func (x shelf) corner(pole bool) (units.Frequency, error) {
	n, err := x.network()
	if err != nil {
		return 0, err
	}
	l, r := n[0].Parts[0].Value, n[0].Parts[1].Value
	f := r / (2 * math.Pi * l)
	if pole {
		f *= float64(x.Load) / (float64(x.Load) + r)
	}
	return units.Frequency(f), nil
}

type notch struct {
	Load  units.Resistance  `in:"load"`
	Depth decibels          `in:"depth,optional" doc:"with frequency and width; or resistor, coil and capacitor"`
	F     units.Frequency   `in:"frequency,optional"`
	Width units.Frequency   `in:"width,optional" doc:"between the frequencies of half the depth"`
	R     units.Resistance  `in:"resistor,optional"`
	L     units.Inductance  `in:"coil,optional"`
	C     units.Capacitance `in:"capacitor,optional"`
}

func (x notch) network() (ladder.Network, error) {
	if x.R != 0 || x.L != 0 || x.C != 0 {
		n := ladder.Network{ladder.Series(ladder.R(x.R), ladder.L(x.L), ladder.C(x.C))}
		return n, cmp.Or(n.Check(), units.Positive("load", x.Load))
	}
	return filter.Notch(float64(x.Depth), x.F, x.Width, x.Load)
}

type movingCoil struct {
	Re    units.Resistance `in:"re"`
	Le    units.Inductance `in:"le,optional"`
	L2    units.Inductance `in:"l2,optional" doc:"with r2 beside it"`
	R2    units.Resistance `in:"r2,optional"`
	Fs    units.Frequency  `in:"fs,optional"`
	Qes   float64          `in:"qes,optional"`
	Qms   float64          `in:"qms,optional"`
	Fb    units.Frequency  `in:"fb,optional" doc:"of a vented box"`
	Alpha float64          `in:"alpha,optional" doc:"Vas/Vb of a vented box"`
	QL    float64          `in:"ql,optional"`
}

func (x movingCoil) model() (filter.MovingCoil, error) {
	m := filter.MovingCoil{Re: x.Re, Le: x.Le, L2: x.L2, R2: x.R2, Fs: x.Fs, Qes: x.Qes, Qms: x.Qms, Fb: x.Fb, Alpha: x.Alpha, QL: x.QL}
	return m, m.Check()
}

func (x movingCoil) network() (ladder.Network, error) {
	m, err := x.model()
	if err != nil {
		return nil, err
	}
	return m.Conjugate()
}

func (x movingCoil) impedance(hz []float64, branch func() (ladder.Network, error)) ([]complex128, error) {
	m, err := x.model()
	if err != nil {
		return nil, err
	}
	z := make([]complex128, len(hz))
	for i, f := range hz {
		z[i] = m.Impedance(f)
	}
	if branch == nil {
		return z, nil
	}
	n, err := branch()
	if err != nil {
		return nil, err
	}
	filter.Across(z, hz, z, n)
	return z, nil
}

// A trap is the branch for the resonance alone, a zobel those for the coil alone.
type (
	trap  struct{ movingCoil }
	zobel struct{ movingCoil }
)

func (x trap) network() (ladder.Network, error) {
	return filter.ResonanceTrap(x.Re, x.Fs, x.Qes, x.Qms)
}

func (x zobel) network() (ladder.Network, error) {
	if x.L2 != 0 || x.R2 != 0 {
		return filter.LossyZobel(x.Re, x.Le, x.L2, x.R2)
	}
	return filter.Zobel(x.Re, x.Le)
}

func across[I interface {
	networked
	driver() movingCoil
}]() Output {
	return curve[units.Resistance]("impedance", "of driver and branch", func(x I, hz []float64) ([]complex128, error) {
		return x.driver().impedance(hz, x.network)
	})
}

func (x movingCoil) driver() movingCoil { return x }

// A section of an equaliser.
type section struct {
	Kind  string          `in:"kind" choice:"low-pass|high-pass|band-pass|band-stop|all-pass|peak|low shelf|high shelf"`
	F0    units.Frequency `in:"f0"`
	Q     float64         `in:"q,optional" doc:"of all but the shelves"`
	Gain  decibels        `in:"gain,optional" doc:"of peak and shelves"`
	Slope float64         `in:"slope,optional" doc:"of shelves; left out: 1"`
	Fs    units.Frequency `in:"fs,optional" doc:"sampling rate, of the digital section"`
}

func (x section) analog() (rational.Func, error) {
	slope := x.Slope
	if slope == 0 {
		slope = 1
	}
	var f rational.Func
	var err error
	switch x.Kind {
	case "low-pass", "high-pass", "all-pass":
		f, err = filter.SecondOrder(x.Q)
		if err == nil && x.Kind == "high-pass" {
			f = f.HighPass()
		}
		if err == nil && x.Kind == "all-pass" {
			f, err = filter.AllPass(f)
		}
	case "band-pass":
		f, err = filter.BandPass(x.Q)
	case "band-stop":
		f, err = filter.BandStop(x.Q)
	case "peak":
		f, err = filter.Peak(float64(x.Gain), x.Q)
	case "low shelf":
		f, err = filter.LowShelf(float64(x.Gain), slope)
	default:
		f, err = filter.HighShelf(float64(x.Gain), slope)
	}
	if err != nil {
		return f, err
	}
	if err := units.Positive("f0", x.F0); err != nil {
		return f, err
	}
	return f.Scaled(2 * math.Pi * float64(x.F0)), nil
}

func (x section) digital() (filter.Biquad, error) {
	f, err := x.analog()
	if err != nil {
		return filter.Biquad{}, err
	}
	b, err := filter.Digital(f, x.Fs, x.F0)
	if err != nil {
		return filter.Biquad{}, err
	}
	return b[0], nil
}

var filters = []Capability{
	define[normalised]("prototype", "A low-pass with its corner at 1 rad/s.",
		ofProto("real pole", "", func(_ normalised, p rational.Func) (float64, error) {
			z := closest(p, im, 0)
			if imag(z) != 0 {
				return 0, errors.New("no pole is real")
			}
			return real(z), nil
		}),
		ofProto("real part of pole", "of the one of this imaginary part", func(x normalised, p rational.Func) (float64, error) {
			return real(closest(p, im, x.Imag)), nil
		}),
		ofProto("imaginary part of pole", "of the one of this real part, positive", func(x normalised, p rational.Func) (float64, error) {
			return math.Abs(imag(closest(p, re, x.Real))), nil
		}),
		ofProto("coefficient", "of a power of s in the denominator, whose leading one is 1", func(x normalised, p rational.Func) (float64, error) {
			_, den := p.Polynomials()
			if x.Power < 0 || x.Power >= len(den) {
				return 0, fmt.Errorf("power %d: want 0 to %d", x.Power, len(den)-1)
			}
			return den[x.Power], nil
		}),
		ofProto("half-power frequency", "in rad/s", func(_ normalised, p rational.Func) (float64, error) { return halfPower(p), nil }),
		ofProto("element", "of the ladder for 1 Ω, in henries or farads", func(x normalised, p rational.Func) (float64, error) {
			g, err := filter.Elements(p)
			if err == nil && (x.Element < 1 || x.Element > len(g)) {
				err = fmt.Errorf("element %d: want 1 to %d", x.Element, len(g))
			}
			if err != nil {
				return 0, err
			}
			return g[x.Element-1], nil
		}),
		ofProto("low-pass constant", "part for 1 Ω at 1 Hz, in henries or farads", func(x normalised, p rational.Func) (float64, error) {
			n, err := filter.LowPass(p, 1, 1)
			if err != nil {
				return 0, err
			}
			part, err := nth(n, x.Element)
			return part.Value, err
		}),
		ofProto("high-pass constant", "part for 1 Ω at 1 Hz, in henries or farads", func(x normalised, p rational.Func) (float64, error) {
			n, err := filter.HighPass(p, 1, 1)
			if err != nil {
				return 0, err
			}
			part, err := nth(n, x.Element)
			return part.Value, err
		}),
	),
	define[passive]("passive filter", "A low-pass or high-pass of a family into a resistance.", partsOf[passive](
		into(func(x passive) units.Resistance { return x.Load }),
		along("group delay", "", func(x passive, f units.Frequency) (units.Time, error) {
			p, err := x.prototype()
			if err != nil {
				return 0, err
			}
			if x.Kind == "high-pass" {
				p = p.HighPass()
			}
			if err := units.Positive("frequency", x.F); err != nil {
				return 0, err
			}
			return units.Time(p.Scaled(2 * math.Pi * float64(x.F)).GroupDelay(float64(f))), nil
		}),
	)...),
	define[pad]("pad", "Resistors that attenuate into a resistance.", append(partsOf[pad]()[:1], into(func(x pad) units.Resistance { return x.Load }))...),
	define[zobel]("Zobel", "The branch that makes up for a voice coil's inductance.", partsOf[zobel](across[zobel]())...),
	define[trap]("resonance trap", "The branch that makes up for a driver's resonance.", partsOf[trap](across[trap]())...),
	define[movingCoil]("conjugate", "A driver as lumped elements, and the one branch that makes its impedance Re.", partsOf[movingCoil](
		curve[units.Resistance]("impedance", "of the driver", func(x movingCoil, hz []float64) ([]complex128, error) { return x.impedance(hz, nil) }),
		curve[units.Resistance]("impedance with branch", "", func(x movingCoil, hz []float64) ([]complex128, error) {
			return x.impedance(hz, x.network)
		}),
		curve[units.Resistance]("impedance with Zobel and trap", "side by side, which undershoots", func(x movingCoil, hz []float64) ([]complex128, error) {
			return x.impedance(hz, func() (ladder.Network, error) {
				a, err := zobel{x}.network()
				if err != nil {
					return nil, err
				}
				b, err := trap{x}.network()
				if err != nil {
					return nil, err
				}
				return append(a, b...), nil
			})
		}),
	)...),
	define[shelf]("shelf", "A coil with a resistor in parallel, in series with the load.", partsOf[shelf](
		into(func(x shelf) units.Resistance { return x.Load }),
		value("zero", "", func(x shelf) (units.Frequency, error) { return x.corner(false) }),
		value("pole", "", func(x shelf) (units.Frequency, error) { return x.corner(true) }),
		value("step", "of the level at high frequencies, negative", func(x shelf) (decibels, error) {
			n, err := x.network()
			if err != nil {
				return 0, err
			}
			return decibels(20 * math.Log10(float64(x.Load)/(float64(x.Load)+n[0].Parts[1].Value))), nil
		}),
	)...),
	define[notch]("notch", "Resistor, coil and capacitor in parallel, in series with the load.", partsOf[notch](
		into(func(x notch) units.Resistance { return x.Load }),
		value("frequency", "", func(x notch) (units.Frequency, error) {
			n, err := x.network()
			if err != nil {
				return 0, err
			}
			l, c := valueOf(n, ladder.Inductor), valueOf(n, ladder.Capacitor)
			return units.Frequency(1 / (2 * math.Pi * math.Sqrt(l*c))), nil
		}),
		value("depth", "of the level, negative", func(x notch) (decibels, error) {
			n, err := x.network()
			if err != nil {
				return 0, err
			}
			return decibels(20 * math.Log10(float64(x.Load)/(float64(x.Load)+valueOf(n, ladder.Resistor)))), nil
		}),
	)...),
	define[section]("equaliser", "A section of an equaliser, analog and digital.",
		curve[decibels]("response", "analog", func(x section, hz []float64) ([]complex128, error) {
			f, err := x.analog()
			dst := make([]complex128, len(hz))
			for i, f0 := range hz {
				dst[i] = f.AtHz(f0)
			}
			return dst, err
		}),
		curve[decibels]("digital response", "by the bilinear transform, matched at f0", func(x section, hz []float64) ([]complex128, error) {
			b, err := x.digital()
			dst := make([]complex128, len(hz))
			for i, f := range hz {
				if err == nil && f > float64(x.Fs)/2 {
					err = fmt.Errorf("%v Hz is above half the sampling rate", f)
				}
				dst[i] = b.At(units.Frequency(f), x.Fs)
			}
			return dst, err
		}),
		each("coefficient", "b0, b1, b2, a1, a2 of (b0 + b1/z + b2/z²)/(1 + a1/z + a2/z²)", "coefficient", func(x section, of string) (float64, error) {
			b, err := x.digital()
			v, ok := map[string]float64{"b0": b.B0, "b1": b.B1, "b2": b.B2, "a1": b.A1, "a2": b.A2}[of]
			if err == nil && !ok {
				err = errors.New(unknown("coefficient", of, []string{"b0", "b1", "b2", "a1", "a2"}))
			}
			return v, err
		}),
	),
}

// valueOf is that of the first part of a kind.
func valueOf(n ladder.Network, k ladder.Kind) float64 {
	for _, p := range n.Parts() {
		if p.Kind == k {
			return p.Value
		}
	}
	return math.NaN()
}
