package filter

import (
	"math"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// LowPass returns the network that gives the prototype with its 1 rad/s at f,
// from a source without resistance into the resistance r: a series coil, a
// shunt capacitor and so on. See [Elements] for what a prototype must be.
//
//	L = gr/(2πf)   C = g/(2πfr)
//
// A driver is not a resistance: put a [Zobel] across it, or optimise.
func LowPass(proto rational.Func, f units.Frequency, r units.Resistance) (ladder.Network, error) {
	g, w, err := elements(proto, f, r)
	if err != nil {
		return nil, err
	}
	n := make(ladder.Network, len(g))
	for i, g := range g {
		if i%2 == 0 {
			n[i] = ladder.Series(ladder.L(units.Inductance(g * float64(r) / w)))
		} else {
			n[i] = ladder.Shunt(ladder.C(units.Capacitance(g / (w * float64(r)))))
		}
	}
	return n, nil
}

// HighPass returns the network for the mirrored prototype, proto.HighPass(),
// as [LowPass] does for the prototype itself: a series capacitor, a shunt coil
// and so on.
//
//	C = 1/(2πfgr)   L = r/(2πfg)
//
// Beware of the fourth-order Bessel high-pass in a much reprinted table of
// constants (C and L as k/(rf) and kr/f: 0.0702, 0.0862, 0.0719, 0.4983). It is
// wrong: the phase norm has 0.0700, 0.1075, 0.1715, 0.4972, and the pair built
// as printed dips by 5.6 dB.
func HighPass(proto rational.Func, f units.Frequency, r units.Resistance) (ladder.Network, error) {
	g, w, err := elements(proto, f, r)
	if err != nil {
		return nil, err
	}
	n := make(ladder.Network, len(g))
	for i, g := range g {
		if i%2 == 0 {
			n[i] = ladder.Series(ladder.C(units.Capacitance(1 / (g * w * float64(r)))))
		} else {
			n[i] = ladder.Shunt(ladder.L(units.Inductance(float64(r) / (g * w))))
		}
	}
	return n, nil
}

// elements returns the prototype's elements and the angular frequency of f.
func elements(proto rational.Func, f units.Frequency, r units.Resistance) (g []float64, w float64, err error) {
	if err := units.Positive("filter: frequency", f); err != nil {
		return nil, 0, err
	}
	if err := units.Positive("filter: load", r); err != nil {
		return nil, 0, err
	}
	g, err = Elements(proto)
	return g, 2 * math.Pi * float64(f), err
}
