package box

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A System is a driver in an enclosure; the zero air is standard air.
type System struct {
	Driver    ts.Driver
	Enclosure Enclosure
	Air       air.Air
}

// Check reports the first figure with which nothing can be computed. The other
// methods expect a System that passes; they return NaN for one that does not.
func (s System) Check() error {
	if s.Enclosure == nil {
		return &units.RangeError{Field: "box: enclosure", Value: "none", Want: "must be given; InfiniteBaffle is one"}
	}
	return cmp.Or(s.Driver.Check(), s.Enclosure.Check(), s.Air.OrStandard().Check())
}

// A Point is the state at one frequency. What [System.At] returns is per volt;
// [Point.Times] gives it at a voltage.
type Point struct {
	Hz        float64
	Pressure  complex128 // Pa, RMS, at 1 m in half space; flight time left out
	Travel    complex128 // of the cone, m, peak, outward
	AirSpeed  complex128 // in the vent, m/s, peak, outward; 0 without vent or vent area
	RearSpeed complex128 // in the vent of a rear chamber, likewise
	Radiator  complex128 // travel of the passive radiator, m, peak, outward; 0 without one
	Current   complex128 // A, RMS
	Impedance complex128 // Ω; Times leaves it as it is
}

// Times returns p at a voltage (RMS) instead of 1 V.
func (p Point) Times(v units.Voltage) Point {
	k := complex(float64(v), 0)
	p.Pressure *= k
	p.Travel *= k
	p.AirSpeed *= k
	p.RearSpeed *= k
	p.Radiator *= k
	p.Current *= k
	return p
}

// Level returns the pressure as a level re 20 µPa.
func (p Point) Level() units.PressureLevel {
	return units.PressureLevel(20 * math.Log10(cmplx.Abs(p.Pressure)/20e-6))
}

// At solves the circuit at one frequency above zero, per volt. With s = jω and
// the enclosure's acoustic impedance Za on the cone:
//
//	Ze  = Re + Zcoil(s)
//	Zm  = s Mms + Zs + Sd² Za, Zs = Rms + 1/(s Cms) or, with creep, ts.Driver.Suspension
//	u   = Bl E/(Ze Zm + Bl²)
//	Zin = Ze + Bl²/Zm
//	p   = s ρ Sd u Net/(2π r),  r = 1 m
func (s System) At(f units.Frequency) Point {
	return s.at(float64(f), s.Air.OrStandard())
}

func (s *System) at(hz float64, a air.Air) (p Point) {
	c := s.circuit(a)
	c.solve(&p, hz)
	return p
}

// Sweep fills dst with the points at the frequencies hz, all above zero. It
// allocates nothing and panics if the lengths differ.
func (s System) Sweep(dst []Point, hz []float64) {
	if len(dst) != len(hz) {
		panic(fmt.Sprintf("box: %d points for %d frequencies", len(dst), len(hz)))
	}
	c := s.circuit(s.Air.OrStandard())
	for i, f := range hz {
		c.solve(&dst[i], f)
	}
}

// A circuit is what solving a system at many frequencies needs, with its quotients
// taken beforehand.
type circuit struct {
	enclosure Enclosure
	air       air.Air
	coil      ts.Coil
	inductive bool // whether there is anything in coil
	creeping  bool // whether the suspension is more than a spring with losses
	driver    ts.Driver

	re, bl, mms, stiffness, rms, sd float64
	far                             float64 // pressure at 1 m per rate of change of the flow
	vent, rear, radiator            float64 // √2 over the areas, peak speed per flow; 0 without
}

func (s *System) circuit(a air.Air) circuit {
	d := &s.Driver
	o := s.Enclosure.Openings()
	return circuit{
		enclosure: s.Enclosure, air: a, coil: d.Coil, inductive: d.Coil != (ts.Coil{}),
		creeping: d.Creep != 0, driver: *d,
		re: float64(d.Re), bl: float64(d.Bl), mms: float64(d.Mms), stiffness: 1 / float64(d.Cms), rms: float64(d.Rms), sd: float64(d.Sd),
		far:  float64(a.Density) / (2 * math.Pi),
		vent: speed(o.Vent), rear: speed(o.Rear), radiator: speed(o.Radiator),
	}
}

// speed returns the peak speed per RMS flow through an area, 0 for none.
func speed(area units.Area) float64 { return math.Sqrt2 * inverse(float64(area)) }

func (c *circuit) solve(p *Point, hz float64) {
	w := 2 * math.Pi * hz
	t := 1 / w
	jw := complex(0, w)
	flow := c.enclosure.Flow(jw, c.air)
	ze := complex(c.re, 0)
	if c.inductive {
		ze += c.coil.Impedance(jw)
	}
	zm := complex(c.rms, float64(w*c.mms)-float64(c.stiffness*t))
	if c.creeping {
		zm = c.driver.Suspension(jw) + complex(0, w*c.mms)
	}
	zm += scale(flow.Za, c.sd*c.sd)
	y := reciprocal(ze*zm + complex(c.bl*c.bl, 0))
	out := scale(y, c.bl*c.sd) // flow of the cone

	p.Hz = hz
	p.Pressure = turned(scale(out*flow.Net, -w*c.far))
	p.Travel = turned(scale(y, c.bl*math.Sqrt2*t))
	p.AirSpeed = scale(out*flow.Vent, c.vent)
	p.RearSpeed, p.Radiator = 0, 0
	if c.rear > 0 {
		p.RearSpeed = scale(out*flow.Rear, c.rear)
	}
	if c.radiator > 0 {
		p.Radiator = turned(scale(out*flow.Radiator, c.radiator*t))
	}
	p.Current = zm * y
	p.Impedance = ze + scale(reciprocal(zm), c.bl*c.bl)
}

// turned returns z/j.
func turned(z complex128) complex128 { return complex(imag(z), -real(z)) }

// Efficiency returns the acoustic power radiated into half space at f over the real
// electrical power taken, 2π|p|²/(ρc) over Re I per volt. It takes the system for
// small against the wavelength. In the mass-controlled band it is that of
// [ts.Driver.Eta0] times 1/(Re·Re(1/Z)), since η0 counts the power E²/Re.
func (s System) Efficiency(f units.Frequency) units.Ratio {
	a := s.Air.OrStandard()
	p := s.at(float64(f), a)
	pressure := cmplx.Abs(p.Pressure)
	return units.Ratio(2 * math.Pi * pressure * pressure / (a.Impedance() * real(p.Current)))
}

// Reference returns the pressure per volt in the mass-controlled band without
// coil inductance, ρ Bl Sd/(2π Re Mms) at 1 m in half space: the 0 dB of
// [System.Gain] and of the literature's G. With leak and absorption both, the
// response ends 20 log(1 + 1/(QL QA)) dB below it.
func (s System) Reference() float64 {
	d := s.Driver
	return float64(s.Air.OrStandard().Density) * float64(d.Bl) * float64(d.Sd) /
		(2 * math.Pi * float64(d.Re) * float64(d.Mms))
}

// Gain returns the response in dB re [System.Reference].
func (s System) Gain(f units.Frequency) float64 {
	return 20 * math.Log10(cmplx.Abs(s.At(f).Pressure)/s.Reference())
}

// GroupDelay returns −dφ/dω of the pressure, flight time left out. It is a
// five-point difference, good to 1e-8 of the delay for Q below 100.
func (s System) GroupDelay(f units.Frequency) units.Time {
	a := s.Air.OrStandard()
	const step = 1e-4
	turn := func(k float64) float64 { // phase from −k to +k steps
		hi := s.at(float64(f)*(1+k*step), a).Pressure
		lo := s.at(float64(f)*(1-k*step), a).Pressure
		return cmplx.Phase(hi / lo)
	}
	return units.Time(-(8*turn(1) - turn(2)) / (12 * step * 2 * math.Pi * float64(f)))
}
