package measure_test

import (
	"math"
	"math/cmplx"
	"math/rand/v2"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/ts"
	"example.com/halfspace/ts/measure"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A subject is a driver to be measured, by the circuit in complex numbers and in
// mechanical terms: another road than the fit's.
type subject struct {
	ts.Driver
	creep float64
	leads complex128
}

// impedance is what a meter shows at f with a mass on the cone, or in a lossless
// closed box that adds a mass of its own.
func (s subject) impedance(f float64, added units.Mass, box units.Volume) complex128 {
	w := 2 * math.Pi * f
	ws := 2 * math.Pi * float64(s.Fs())
	b := math.Pi / (2 * math.Ln10)
	jw := complex(0, w)
	compliance := complex(float64(s.Cms)/(1+s.creep*s.creep*b*b), 0) *
		(1 - complex(s.creep/math.Ln10, 0)*cmplx.Log(jw/complex(ws, 0)))
	viscous := float64(s.Rms) - s.creep*b/(ws*float64(s.Cms))
	zm := jw*complex(float64(s.Mms+added), 0) + complex(viscous, 0) + 1/(jw*compliance)
	if box > 0 {
		cab := float64(box) / float64(air.Standard().BulkModulus())
		zm += complex(float64(s.Sd*s.Sd)/cab, 0) / jw
	}
	return s.leads + complex(float64(s.Re), 0) + s.Coil.Impedance(jw) + complex(float64(s.Bl*s.Bl), 0)/zm
}

// grid has so many points a decade from lo to hi.
func grid(lo, hi float64, perDecade int) []float64 {
	var hz []float64
	for k := 0; ; k++ {
		f := lo * math.Pow(10, float64(k)/float64(perDecade))
		if f > hi*(1+1e-12) {
			return hz
		}
		hz = append(hz, f)
	}
}

func (s subject) curve(hz []float64, added units.Mass, box units.Volume) response.Curve {
	c := response.Curve{Hz: hz, H: make([]complex128, len(hz)), HasPhase: true}
	for i, f := range hz {
		c.H[i] = s.impedance(f, added, box)
	}
	return c
}

// modulus forgets the phase.
func modulus(c response.Curve) response.Curve {
	out := response.Curve{Hz: c.Hz, H: make([]complex128, len(c.H))}
	for i, h := range c.H {
		out.H[i] = complex(cmplx.Abs(h), 0)
	}
	return out
}

// noisy adds Gaussian noise: a share of the modulus, and radians.
func noisy(c response.Curve, share, angle float64, r *rand.Rand) response.Curve {
	out := response.Curve{Hz: c.Hz, H: make([]complex128, len(c.H)), HasPhase: c.HasPhase}
	for i, h := range c.H {
		out.H[i] = h * complex(math.Exp(share*r.NormFloat64()), 0)
		if c.HasPhase {
			out.H[i] *= cmplx.Rect(1, angle*r.NormFloat64())
		}
	}
	return out
}

// A coil for each model.
var coils = map[measure.CoilModel]ts.Coil{
	measure.Plain:          {Leb: 0.6e-3},
	measure.PowerLaw:       {K: 0.0078, N: 0.705},
	measure.TwoBranch:      {Leb: 0.25e-3, Le: 0.8e-3, Rss: 9},
	measure.SemiInductance: {Leb: 0.16e-3, Le: 1.6e-3, Ke: 0.05, Rss: 70},
}

// woofer is that of the table of best precision: Re 5.8, fs 37.8, Qms 4.68, Qes 0.4355.
func woofer(coil ts.Coil) subject {
	s := ts.Sheet{Re: 5.8, Fs: 37.8, Qms: 4.68, Qes: 0.4355, Mms: 0.0142, Sd: 0.0136}
	d, _, err := s.Driver(air.Standard())
	if err != nil {
		panic(err)
	}
	d.Coil = coil
	return subject{Driver: d}
}
