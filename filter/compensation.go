package filter

import (
	"cmp"
	"math"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// Zobel returns the branch across a driver that makes the impedance of its
// coil, re + jωle, the resistance re at all frequencies:
//
//	R = re, C = le/re²
//
// It is the dual of the coil: whatever stands in series with re as Zx is made
// up for by re in series with re²/Zx. The inductance of a real coil falls with
// frequency, so a resistor somewhat larger than re usually serves better. The
// rule of thumb R = 1.25·re is in use with two capacitors, le/re² and le/R²,
// which differ by a factor of 1.56: say which.
func Zobel(re units.Resistance, le units.Inductance) (ladder.Network, error) {
	if err := units.Positive("filter: coil resistance", re); err != nil {
		return nil, err
	}
	if err := units.Positive("filter: coil inductance", le); err != nil {
		return nil, err
	}
	c := units.Capacitance(float64(le) / (float64(re) * float64(re)))
	return ladder.Network{ladder.Shunt(ladder.R(re), ladder.C(c))}, nil
}

// LossyZobel returns the two branches across a driver that make the impedance of a
// coil with eddy currents, re + jωle + (r2 beside jωl2), the resistance re at all
// frequencies. The dual of that coil is re in series with C₁ = le/re², beside which
// stand re²/r2 and C₂ = l2/re² in series. Like any network of resistors and
// capacitors it equals a row of branches of one resistor and one capacitor each, here
// two, which are what is returned. Their conductances add up to 1/re, their
// capacitances to C₁ + C₂.
//
// For the idea of two such branches see W. M. Leach, "Impedance compensation networks
// for the lossy voice-coil inductance of loudspeaker drivers", Journal of the Audio
// Engineering Society 52 (2004), who fits them to another model of the coil.
func LossyZobel(re units.Resistance, le, l2 units.Inductance, r2 units.Resistance) (ladder.Network, error) {
	if err := cmp.Or(
		units.Positive("filter: coil resistance", re),
		units.Positive("filter: coil inductance", le),
		units.Positive("filter: coil inductance L2", l2),
		units.Positive("filter: coil resistance R2", r2),
	); err != nil {
		return nil, err
	}
	// The admittance is s(c₁ + c₂ + c₁c₂ρs)/(1 + bs + as²) with ρ = re²/r2. Over s it
	// splits into k/(s + σ), which is a resistor 1/k and a capacitor k/σ each.
	r := float64(re)
	c1, c2, rho := float64(le)/(r*r), float64(l2)/(r*r), r*r/float64(r2)
	a, b := r*c1*c2*rho, r*(c1+c2)+c2*rho
	// b² − 4a, as a sum of squares.
	root := math.Sqrt(float64((r*(c1+c2)-c2*rho)*(r*(c1+c2)-c2*rho)) + 4*r*rho*c2*c2)
	fast := (b + root) / (2 * a)
	slow := 2 / (b + root)
	var n ladder.Network
	for _, sigma := range []float64{slow, fast} {
		k := math.Abs(c1+c2-c1*c2*rho*sigma) / root
		n = append(n, ladder.Shunt(ladder.R(units.Resistance(1/k)), ladder.C(units.Capacitance(k/sigma))))
	}
	return n, nil
}

// ResonanceTrap returns the branch across a driver that makes its impedance
// with the peak of the resonance, without coil inductance, the resistance re at
// all frequencies:
//
//	R = re(1 + qes/qms), L = re·qes/(2πfs), C = 1/(2πfs·re·qes)
//
// fs, qes and qms are those of the driver as mounted, so of the closed box for
// a driver in one. A driver with coil inductance needs more than this trap
// beside a [Zobel]: each branch brings its own re, and together they undershoot
// (by 14 per cent for 6 Ω, 0.08 mH, 900 Hz, qes 0.9, qms 3.6).
// [MovingCoil.Conjugate] is the exact branch for both, with one re.
//
// The relations are exact by duality. Published short cuts are not all: one
// in circulation lacks the 2π in L; another, from the nominal impedance, tunes
// the trap 6 per cent above fs.
func ResonanceTrap(re units.Resistance, fs units.Frequency, qes, qms float64) (ladder.Network, error) {
	if err := cmp.Or(
		units.Positive("filter: coil resistance", re),
		units.Positive("filter: resonance", fs),
		units.Positive("filter: qes", qes),
		units.Positive("filter: qms", qms),
	); err != nil {
		return nil, err
	}
	w := 2 * math.Pi * float64(fs)
	return ladder.Network{ladder.Shunt(
		ladder.R(re*units.Resistance(1+qes/qms)),
		ladder.L(units.Inductance(float64(re)*qes/w)),
		ladder.C(units.Capacitance(1/(w*float64(re)*qes))),
	)}, nil
}

// Shelf returns a coil with a resistor in parallel, in series with the load r.
// It passes low frequencies unchanged and lowers high ones by db decibels; at f
// it has done half of the step in decibels. With k = 10^(−db/20) it is
//
//	R = r(1/k − 1), L = R√k/(2πf)
//
// which puts a zero at f/√k and a pole at f√k.
func Shelf(db float64, f units.Frequency, r units.Resistance) (ladder.Network, error) {
	k, err := attenuation(db, r)
	if err != nil {
		return nil, err
	}
	if err := units.Positive("filter: frequency", f); err != nil {
		return nil, err
	}
	rs := float64(r) * (1 - k) / k
	return ladder.Network{ladder.Series(
		ladder.L(units.Inductance(rs*math.Sqrt(k)/(2*math.Pi*float64(f)))),
		ladder.R(units.Resistance(rs)),
	)}, nil
}

// Notch returns resistor, coil and capacitor in parallel, in series with the
// load r. It lowers the response by db decibels at f; width is the distance in
// hertz between the two frequencies where it lowers by half as many decibels.
// With k = 10^(−db/20) and Q = f/(width·√k) it is
//
//	R = r(1/k − 1), L = R/(2πfQ), C = Q/(2πfR)
//
// The resistance of the coil detunes the depth a little.
func Notch(db float64, f, width units.Frequency, r units.Resistance) (ladder.Network, error) {
	k, err := attenuation(db, r)
	if err != nil {
		return nil, err
	}
	if err := units.Positive("filter: frequency", f); err != nil {
		return nil, err
	}
	if err := units.Positive("filter: width", width); err != nil {
		return nil, err
	}
	rp := float64(r) * (1 - k) / k
	w := 2 * math.Pi * float64(f)
	q := float64(f) / (float64(width) * math.Sqrt(k))
	return ladder.Network{ladder.Series(
		ladder.R(units.Resistance(rp)),
		ladder.L(units.Inductance(rp/(w*q))),
		ladder.C(units.Capacitance(q/(w*rp))),
	)}, nil
}
