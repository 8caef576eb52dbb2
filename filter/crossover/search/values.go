package search

import (
	"math"
	"slices"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/filter/parts"
	"example.com/halfspace/units"
)

// Values are the least and the largest values of parts. Zero is 0.05 mH to 5 mH,
// 0.47 µF to 68 µF and 0.47 Ω to 47 Ω, which is what builders use between a woofer and
// a tweeter.
type Values struct {
	L [2]units.Inductance
	C [2]units.Capacitance
	R [2]units.Resistance
}

func (v Values) check() error {
	for _, r := range []struct {
		name      string
		least     string
		most      string
		lo, hi    float64
		untouched bool
	}{
		{"coils", v.L[0].String(), v.L[1].String(), float64(v.L[0]), float64(v.L[1]), v.L == [2]units.Inductance{}},
		{"capacitors", v.C[0].String(), v.C[1].String(), float64(v.C[0]), float64(v.C[1]), v.C == [2]units.Capacitance{}},
		{"resistors", v.R[0].String(), v.R[1].String(), float64(v.R[0]), float64(v.R[1]), v.R == [2]units.Resistance{}},
	} {
		if !r.untouched && !(r.lo > 0 && r.hi > r.lo && !math.IsInf(r.hi, 0)) {
			return &units.RangeError{Field: "search: values of " + r.name, Value: "from " + r.least + " to " + r.most, Want: "must be positive, finite and ascending"}
		}
	}
	return nil
}

func (v Values) filled() Values {
	if v.L == [2]units.Inductance{} {
		v.L = [2]units.Inductance{0.05 * units.Millihenry, 5 * units.Millihenry}
	}
	if v.C == [2]units.Capacitance{} {
		v.C = [2]units.Capacitance{0.47 * units.Microfarad, 68 * units.Microfarad}
	}
	if v.R == [2]units.Resistance{} {
		v.R = [2]units.Resistance{0.47, 47}
	}
	return v
}

// span returns the least and the largest value of a kind.
func (v Values) span(k ladder.Kind) (lo, hi float64) {
	switch k {
	case ladder.Inductor:
		return float64(v.L[0]), float64(v.L[1])
	case ladder.Capacitor:
		return float64(v.C[0]), float64(v.C[1])
	}
	return float64(v.R[0]), float64(v.R[1])
}

// of returns the items whose values are allowed.
func (v Values) of(c parts.Catalogue) parts.Catalogue {
	return slices.DeleteFunc(slices.Clone(c), func(i parts.Item) bool {
		lo, hi := v.span(i.Part.Kind)
		const hair = 1e-9
		return !(i.Part.Value >= lo*(1-hair) && i.Part.Value <= hi*(1+hair))
	})
}
