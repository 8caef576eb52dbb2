package claims

import (
	"cmp"
	"errors"
	"math"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

type pressureOf struct {
	Pressure units.Pressure `in:"pressure,optional" doc:"RMS"`
	Ratio    float64        `in:"magnitude,optional"`
}

type nearPiston struct {
	medium
	Diameter units.Length    `in:"diameter,optional" doc:"of the cone; or area"`
	Radius   units.Length    `in:"radius,optional"`
	Area     units.Area      `in:"area,optional"`
	Ka       float64         `in:"ka,optional" doc:"wave number times radius, instead of a frequency"`
	F        units.Frequency `in:"f,optional"`
}

func (x nearPiston) area() units.Area {
	switch r := float64(x.Radius + x.Diameter/2); {
	case x.Area != 0:
		return x.Area
	case r != 0:
		return units.Area(math.Pi * r * r)
	}
	return 0.01
}

func (x nearPiston) piston() (complex128, error) {
	f := x.F
	if x.Ka != 0 {
		f = units.Frequency(x.Ka * float64(x.air.SpeedOfSound) / (2 * math.Pi * math.Sqrt(float64(x.area())/math.Pi)))
	}
	return response.NearPiston(x.area(), f, x.air.SpeedOfSound)
}

type bands struct {
	Fraction int `in:"fraction" doc:"1 is an octave, 3 a third"`
	Band     int `in:"band" doc:"0 is that at or next above 1 kHz"`
}

func (x bands) band() (response.Band, error) {
	if err := cmp.Or(units.Within("fraction", float64(x.Fraction), 1, 1000), units.Within("band", float64(x.Band), -10_000, 10_000)); err != nil {
		return response.Band{}, err
	}
	// As IEC 61260-1 has it: odd fractions have a midband at 1 kHz, even ones an edge.
	b := float64(x.Fraction)
	n := float64(x.Band)
	mid := 1000 * math.Pow(10, 0.3*n/b)
	if x.Fraction%2 == 0 {
		mid = 1000 * math.Pow(10, 0.3*(2*n+1)/(2*b))
	}
	if err := units.Within("midband", units.Frequency(mid), 1e-6, 1e9); err != nil {
		return response.Band{}, err
	}
	return response.Bands(x.Fraction, mid, mid*(1+1e-9))[0], nil
}

type measured struct {
	Curve    table           `in:"curve"`
	Fraction int             `in:"fraction,optional" doc:"of an octave, for smoothing"`
	Lo       units.Frequency `in:"lowest,optional" doc:"of the mean"`
	Hi       units.Frequency `in:"highest,optional" doc:"of the mean"`
	Low      float64         `in:"low slope,optional" doc:"dB per octave below the table, 12 is second order"`
	High     float64         `in:"high slope,optional" doc:"dB per octave above the table"`
	Delay    units.Time      `in:"delay,optional" doc:"to be taken out of the phase"`
}

// derived is an output that is a curve on the table's own frequencies.
func derived(name, doc string, f func(x measured) (response.Curve, error)) Output {
	return curve[decibels](name, doc+"; between the points of the table interpolated over log f", func(x measured, hz []float64) ([]complex128, error) {
		c, err := f(x)
		if err != nil {
			return nil, err
		}
		return resample(c, hz)
	})
}

type nearSource struct {
	Curve table      `in:"curve" doc:"close to the middle of the cone or vent"`
	Area  units.Area `in:"area"`
	Vent  bool       `in:"vent,optional"`
}

type nearField struct {
	Sources []nearSource `in:"sources"`
}

func (x nearField) far() (response.Curve, error) {
	var all []response.Source
	for _, s := range x.Sources {
		c := s.Curve.curve
		c.Taken.Mounting = response.NearCone
		if s.Vent {
			c.Taken.Mounting = response.NearVent
		}
		all = append(all, response.Source{Curve: c, Area: s.Area})
	}
	if all == nil {
		return response.Curve{}, errors.New("no sources")
	}
	return response.NearField(all...)
}

type spliced struct {
	Near table           `in:"near" doc:"right at low frequencies, in half space"`
	Far  table           `in:"far" doc:"right at high frequencies, likewise"`
	Lo   units.Frequency `in:"lowest" doc:"of the band where both are right"`
	Hi   units.Frequency `in:"highest"`
}

func (x spliced) splice() (response.Curve, response.Seam, error) {
	near, far := x.Near.curve, x.Far.curve
	near.Taken.Mounting, far.Taken.Mounting = response.HalfSpace, response.HalfSpace
	return response.Splice(near, far, x.Lo, x.Hi)
}

type centre struct {
	Apex  units.Length `in:"apex" doc:"of the cone behind the front of the flange"`
	Proud units.Length `in:"proud,optional" doc:"front of the flange ahead of the panel"`
}

type offset struct {
	A      table           `in:"a" doc:"one driver alone, with its minimum phase"`
	B      table           `in:"b" doc:"the other alone, likewise"`
	Both   table           `in:"both" doc:"level of both together"`
	Lo     units.Frequency `in:"lowest"`
	Hi     units.Frequency `in:"highest"`
	Within units.Time      `in:"within,optional" doc:"largest delay; left out: 300 µs"`
}

var curves = []Capability{
	define[pressureOf]("level", "Levels of pressures and ratios.",
		value("sound pressure level", "re 20 µPa", func(x pressureOf) (units.PressureLevel, error) {
			if err := units.Positive("pressure", x.Pressure); err != nil {
				return 0, err
			}
			return units.PressureLevel(response.DB(complex(float64(x.Pressure)/20e-6, 0))), nil
		}),
		value("level", "of the magnitude re 1", func(x pressureOf) (decibels, error) {
			if err := units.Positive("magnitude", x.Ratio); err != nil {
				return 0, err
			}
			return decibels(response.DB(complex(x.Ratio, 0))), nil
		}),
	),
	define[nearPiston]("near reading", "A microphone close to the middle of a cone.",
		value("limit", "frequency at which ka = 1", func(x nearPiston) (units.Frequency, error) {
			return response.NearLimit(x.area(), x.air.SpeedOfSound)
		}),
		value("error", "of the level of a rigid piston", func(x nearPiston) (decibels, error) {
			h, err := x.piston()
			if err != nil {
				return 0, err
			}
			return decibels(response.DB(h)), nil
		}),
		value("phase", "of a rigid piston", func(x nearPiston) (units.Angle, error) {
			h, err := x.piston()
			if err != nil {
				return 0, err
			}
			return units.Angle(response.Phase(h)) * units.Degree, nil
		}),
		value("near to far", "level at 1 m in half space less that of the reading", func(x nearPiston) (decibels, error) {
			c := response.Curve{Hz: []float64{20, 200}, H: []complex128{1, 1}, Taken: response.Taken{Mounting: response.NearCone}}
			far, err := response.NearField(response.Source{Curve: c, Area: x.area()})
			if err != nil {
				return 0, err
			}
			return decibels(response.DB(far.H[0])), nil
		}),
	),
	define[nearField]("near field", "The far pressure from readings close to cones and vents.",
		curve[decibels]("pressure", "at 1 m in half space, re 1 Pa where the readings are; between their points interpolated over log f", func(x nearField, hz []float64) ([]complex128, error) {
			c, err := x.far()
			if err != nil {
				return nil, err
			}
			return resample(c, hz)
		}),
	),
	define[bands]("fractional octave", "Bands of IEC 61260-1.",
		value("midband frequency", "", func(x bands) (units.Frequency, error) {
			b, err := x.band()
			if err != nil {
				return 0, err
			}
			return units.Frequency(b.Mid), nil
		}),
		value("lower edge", "", func(x bands) (units.Frequency, error) {
			b, err := x.band()
			if err != nil {
				return 0, err
			}
			return units.Frequency(b.Lo), nil
		}),
		value("upper edge", "", func(x bands) (units.Frequency, error) {
			b, err := x.band()
			if err != nil {
				return 0, err
			}
			return units.Frequency(b.Hi), nil
		}),
	),
	define[measured]("measured curve", "What becomes of a table of levels.",
		derived("curve", "as it stands", func(x measured) (response.Curve, error) { return x.Curve.curve, nil }),
		derived("smoothed", "over the fraction of an octave, power over log f", func(x measured) (response.Curve, error) { return x.Curve.curve.Smooth(x.Fraction) }),
		derived("minimum phase", "level and the phase that belongs to it", func(x measured) (response.Curve, error) {
			return x.Curve.curve.MinimumPhase(response.Slopes{Low: x.Low, High: x.High})
		}),
		derived("excess phase", "what is left of the phase without the minimum phase", func(x measured) (response.Curve, error) {
			return x.Curve.curve.ExcessPhase(response.Slopes{Low: x.Low, High: x.High})
		}),
		derived("delayed", "earlier by the delay", func(x measured) (response.Curve, error) { return x.Curve.curve.Delay(-x.Delay) }),
		value("mean", "level in the band, power over log f", func(x measured) (decibels, error) {
			m, err := x.Curve.curve.Mean(x.Lo, x.Hi)
			if err != nil {
				return 0, err
			}
			return decibels(20 * math.Log10(m)), nil
		}),
		value("excess delay", "of the excess phase in the band", func(x measured) (units.Time, error) {
			l, err := x.Curve.curve.ExcessDelay(x.Lo, x.Hi, response.Slopes{Low: x.Low, High: x.High}, response.Slopes{})
			return l.Delay, err
		}),
	),
	define[spliced]("spliced curve", "A near part joined to a far part.",
		curve[decibels]("curve", "between the points of its parts interpolated over log f", func(x spliced, hz []float64) ([]complex128, error) {
			c, _, err := x.splice()
			if err != nil {
				return nil, err
			}
			return resample(c, hz)
		}),
		value("shift", "given to the near part", func(x spliced) (decibels, error) {
			_, s, err := x.splice()
			if err != nil {
				return 0, err
			}
			return decibels(s.Shift), nil
		}),
	),
	define[centre]("acoustic centre", "How far behind the panel a cone radiates from.",
		value("depth", "", func(x centre) (units.Length, error) { return response.CentreDepth(x.Apex, x.Proud) }),
	),
	define[offset]("acoustic offset", "How much later one driver sounds, from three sweeps.",
		value("delay", "of b against a", func(x offset) (units.Time, error) {
			within := x.Within
			if within == 0 {
				within = 300 * units.Microsecond
			}
			both := x.Both.curve
			o, err := response.RelativeDelay(x.A.curve, x.B.curve, both, x.Lo, x.Hi, within)
			return o.Delay, err
		}),
	),
}
