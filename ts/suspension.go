package ts

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/units"
)

// mostCreep is the largest Creep accepted. Prints run to 0.1; at 0.3 the compliance
// would end three decades above fs, where the law means nothing any more.
const mostCreep = 0.3

// turn is log10(j)/j: what a quarter of a turn adds to the logarithm of creep.
const turn = math.Pi / (2 * math.Ln10)

// Suspension returns the mechanical impedance of the suspension (N·s/m), losses and
// spring, at s in rad/s, not zero and not a negative number. Without creep it is
// Rms + 1/(s Cms). With creep λ it is the logarithmic law of M. H. Knudsen and
// J. G. Jensen 1993, "Low-Frequency Loudspeaker Models that Include Suspension
// Creep", J. Audio Eng. Soc. 41(1/2) (from memory),
//
//	Rv + 1/(s C(s)),  C(s) = C0 (1 − λ log10(s/ωs)),  b = π/(2 ln 10)
//
// with C0 = Cms/(1 + λ²b²) and Rv = Rms − λ b/(ωs Cms), so that at fs the stiffness
// is 1/Cms and the loss is Rms: fs and every Q mean what an impedance curve shows
// there. A decade below fs the suspension is softer by the fraction λ.
//
// Moving mass comes beside it: the whole free driver has Suspension(s) + s Mms.
func (d Driver) Suspension(s complex128) complex128 {
	if d.Creep == 0 {
		return complex(float64(d.Rms), 0) + 1/(s*complex(float64(d.Cms), 0))
	}
	b := d.Creep * turn
	c0 := float64(d.Cms) / (1 + b*b)
	c := complex(c0, 0) * (1 - complex(d.Creep, 0)*cmplx.Log10(s/complex(d.omega(), 0)))
	return complex(float64(d.Rms)-d.creepLoss(), 0) + 1/(s*c)
}

// creepLoss is the part of Rms that creep causes at fs, λ b/(ωs Cms).
func (d Driver) creepLoss() float64 { return d.Creep * turn / (d.omega() * float64(d.Cms)) }

// checkCreep refuses creep that loses more than Rms at fs: what is left to friction
// would be negative, and drive the cone at high frequencies.
func (d Driver) checkCreep() error {
	if err := units.Within("ts: creep", d.Creep, 0, mostCreep); err != nil {
		return err
	}
	if loss := d.creepLoss(); !(loss <= float64(d.Rms)*(1+1e-12)) {
		return &units.RangeError{Field: "ts: creep", Value: number(d.Creep),
			Want: fmt.Sprintf("must be at most %.4g: with Qms = %.4g there would be no other loss", d.Creep*float64(d.Rms)/loss, d.Qms())}
	}
	return nil
}

// Impedance returns the impedance of the driver at its terminals in free air, in
// ohms, at s in rad/s, not zero and not a negative number:
//
//	Re + Zcoil(s) + Bl²/(s Mms + Suspension(s))
func (d Driver) Impedance(s complex128) complex128 {
	moving := d.Suspension(s) + s*complex(float64(d.Mms), 0)
	return complex(float64(d.Re), 0) + d.Coil.Impedance(s) + complex(float64(d.Bl*d.Bl), 0)/moving
}

// BrokenIn returns the driver with ratio times its compliance, for ratio above zero:
// what hours of play do to a suspension. Mass, motor, area and losses stay, so fs and
// every Q change by 1/√ratio and Vas by ratio, while fs/Qts, fs² Vas and the
// efficiency do not move.
//
// A box hardly hears it. A compliance 30 per cent up, which is fs 12 per cent down,
// moves the response of a 165 mm woofer between 20 and 200 Hz by at most 0.40 dB in a
// vented box of 22 L and by 0.49 dB in a closed box of Vas/3; only in one as large as
// Vas it is more, 0.75 dB (first principles; a test holds it). So build, and do not
// wait.
//
// Creep stays a fraction of the compliance at fs.
func (d Driver) BrokenIn(ratio float64) Driver {
	d.Cms *= units.Compliance(ratio)
	return d
}

// withMass returns the driver with a mass more on the same suspension. Creep refers
// to fs, which moves: its law is written anew for the new one,
//
//	C0' = C0 (1 − λ log10(ω'/ω)),  C0' λ' = C0 λ
//
// and ω' is where the new stiffness meets the new mass.
func (d Driver) withMass(more units.Mass) Driver {
	e := d
	e.Mms += more
	if d.Creep == 0 || !(e.Mms > 0) {
		return e
	}
	b := d.Creep * turn
	c0, w, friction := float64(d.Cms)/(1+b*b), d.omega(), float64(d.Rms)-d.creepLoss()
	for range 60 { // each round leaves about λ/5 of the error
		before := e.Cms
		at := 1 - d.Creep*math.Log10(e.omega()/w)
		e.Creep = d.Creep / at
		b = e.Creep * turn
		e.Cms = units.Compliance(c0 * at * (1 + b*b))
		if math.Abs(float64(e.Cms-before)) <= 1e-16*float64(e.Cms) {
			break
		}
	}
	e.Rms = units.MechanicalResistance(friction + e.creepLoss())
	return e
}
