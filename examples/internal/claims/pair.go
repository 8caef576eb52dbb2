package claims

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"example.com/halfspace/filter"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// A crossing is two filters of one prototype that meet.
type crossing struct {
	medium
	proto
	Fc       units.Frequency  `in:"fc"`
	Polarity string           `in:"polarity" choice:"same|inverted"`
	Offset   units.Length     `in:"offset,optional" doc:"by which the path of the high way is longer"`
	Spacing  units.Length     `in:"spacing,optional" doc:"of the high way above the low one; of two low ways from the high one between"`
	Angle    units.Angle      `in:"angle,optional" doc:"above the axis"`
	Load     units.Resistance `in:"load,optional" doc:"of each ladder"`
}

func (x crossing) pair() (filter.Pair, error) {
	p, err := x.prototype()
	if err != nil {
		return filter.Pair{}, err
	}
	// Wider apart there would be more lobes than anybody counts.
	if err := cmp.Or(units.Within("fc", x.Fc, 1e-3, 1e6), units.Within("spacing", x.Spacing, 0, 10)); err != nil {
		return filter.Pair{}, err
	}
	w := 2 * math.Pi * float64(x.Fc)
	return filter.Pair{
		Low: p.Scaled(w), High: p.HighPass().Scaled(w), Inverted: x.Polarity == "inverted",
		Delay: units.Time(float64(x.Offset) / float64(x.air.SpeedOfSound)),
	}, nil
}

func meets(name, doc string, f func(x crossing, p filter.Pair, hz float64) complex128) Output {
	return curve[decibels](name, doc, func(x crossing, hz []float64) ([]complex128, error) {
		p, err := x.pair()
		if err != nil {
			return nil, err
		}
		dst := make([]complex128, len(hz))
		for i, f0 := range hz {
			dst[i] = f(x, p, f0)
		}
		return dst, nil
	})
}

// slowest is where the group delay of the sum is greatest, in units of the corner.
func slowest(p filter.Pair, fc float64) float64 {
	best, at := 0.0, 0.0
	delay := func(x float64) float64 { return p.GroupDelay(x * fc) }
	for x := 0.05; x < 20; x *= 1.01 {
		if d := delay(x); d > best {
			best, at = d, x
		}
	}
	lo, hi := at/1.01, at*1.01
	for range 100 { // golden-section search
		const g = 0.6180339887498949
		a, b := hi-g*(hi-lo), lo+g*(hi-lo)
		if delay(a) > delay(b) {
			hi = b
		} else {
			lo = a
		}
	}
	return (lo + hi) / 2
}

func sum[Q number](name, doc string, f func(x crossing, p filter.Pair) (Q, error)) Output {
	return value(name, doc, func(x crossing) (Q, error) {
		p, err := x.pair()
		if err != nil {
			return 0, err
		}
		return f(x, p)
	})
}

// first is the angle nearest to the axis, its size.
func first(angles []units.Angle) (units.Angle, error) {
	if len(angles) == 0 {
		return 0, errors.New("there is none")
	}
	return slices.MinFunc(sizes(angles), func(a, b units.Angle) int {
		if a < b {
			return -1
		}
		return 1
	}), nil
}

func sizes(angles []units.Angle) []units.Angle {
	all := make([]units.Angle, len(angles))
	for i, a := range angles {
		all[i] = max(a, -a)
	}
	return all
}

type threeWay struct {
	Order int              `in:"order"`
	Low   units.Frequency  `in:"low"`
	High  units.Frequency  `in:"high"`
	Mid   string           `in:"mid" choice:"same|inverted" doc:"polarity of the middle way"`
	Load  units.Resistance `in:"load,optional" doc:"of each way; left out: 1 Ω"`
}

func (x threeWay) networks() (map[string]ladder.Network, error) {
	set, err := filter.AllPassThreeWay(x.Order, x.Low, x.High, x.Mid == "inverted")
	if err != nil {
		return nil, err
	}
	r := x.Load
	if r == 0 {
		r = 1
	}
	l, m, h, err := set.Networks(r, r, r)
	return map[string]ladder.Network{"low": l, "mid": m, "high": h}, err
}

// wayPart is the part of a way: "mid B".
func (x threeWay) wayPart(of string, k ladder.Kind) (float64, error) {
	n, err := x.networks()
	if err != nil {
		return 0, err
	}
	var way, letter string
	if _, err := fmt.Sscan(of, &way, &letter); err != nil || n[way] == nil {
		return 0, fmt.Errorf("part %s: want low, mid or high and a letter, as mid B", quote(of))
	}
	p, err := partOf(n[way], letter)
	if err == nil && p.Kind != k {
		err = fmt.Errorf("part %s is a %v", of, p.Kind)
	}
	return p.Value, err
}

var pairs = []Capability{
	define[crossing]("crossover pair", "A low-pass and a high-pass of one prototype, and what they add up to.",
		meets("sum", "", func(_ crossing, p filter.Pair, hz float64) complex128 { return p.AtHz(hz) }),
		meets("power sum", "where they meet without a common phase", func(_ crossing, p filter.Pair, hz float64) complex128 {
			return complex(math.Sqrt(p.Power(hz)), 0)
		}),
		meets("low over high", "", func(_ crossing, p filter.Pair, hz float64) complex128 { return p.Low.AtHz(hz) / p.High.AtHz(hz) }),
		meets("sum toward the angle", "the high way above the low one", func(x crossing, p filter.Pair, hz float64) complex128 {
			return p.Toward(hz, x.Spacing, x.Angle, x.air.SpeedOfSound)
		}),
		meets("sum toward the angle, low ways above and below", "re the axis", func(x crossing, p filter.Pair, hz float64) complex128 {
			return p.TowardSymmetric(hz, x.Spacing, x.Angle, x.air.SpeedOfSound) / p.TowardSymmetric(hz, x.Spacing, 0, x.air.SpeedOfSound)
		}),
		along("magnitude of sum", "", func(x crossing, f units.Frequency) (float64, error) {
			p, err := x.pair()
			if err != nil {
				return 0, err
			}
			return cmplx.Abs(p.AtHz(float64(f))), nil
		}),
		along("group delay", "of the sum", func(x crossing, f units.Frequency) (units.Time, error) {
			p, err := x.pair()
			if err != nil {
				return 0, err
			}
			return units.Time(p.GroupDelay(float64(f))), nil
		}),
		along("normalised group delay", "of the sum, times 2π fc", func(x crossing, f units.Frequency) (float64, error) {
			p, err := x.pair()
			if err != nil {
				return 0, err
			}
			return 2 * math.Pi * float64(x.Fc) * p.GroupDelay(float64(f)), nil
		}),
		sum("greatest normalised group delay", "of the sum, times 2π fc", func(x crossing, p filter.Pair) (float64, error) {
			fc := float64(x.Fc)
			return 2 * math.Pi * fc * p.GroupDelay(fc*slowest(p, fc)), nil
		}),
		sum("frequency of the greatest group delay", "", func(x crossing, p filter.Pair) (units.Frequency, error) {
			return x.Fc * units.Frequency(slowest(p, float64(x.Fc))), nil
		}),
		sum("lobe", "angle at fc nearest to the axis at which both arrive in phase", func(x crossing, p filter.Pair) (units.Angle, error) {
			lobes, _, err := p.Lobes(float64(x.Fc), x.Spacing, x.air.SpeedOfSound)
			if err != nil {
				return 0, err
			}
			return first(lobes)
		}),
		sum("null", "angle at fc nearest to the axis at which they cancel", func(x crossing, p filter.Pair) (units.Angle, error) {
			_, nulls, err := p.Lobes(float64(x.Fc), x.Spacing, x.air.SpeedOfSound)
			if err != nil {
				return 0, err
			}
			return first(nulls)
		}),
		sum("impedance at fc", "modulus, of both ladders in parallel", func(x crossing, p filter.Pair) (units.Resistance, error) {
			if err := units.Positive("load", x.Load); err != nil {
				return 0, err
			}
			return x.Load / units.Resistance(p.Power(float64(x.Fc))), nil
		}),
		word("polarity", "the louder one at fc: same, inverted, either", func(x crossing) (string, error) {
			p, err := x.pair()
			if err != nil {
				return "", err
			}
			return p.Polarity(float64(x.Fc)).String(), nil
		}),
	),
	define[threeWay]("all-pass three-way", "Three ladders that add up to an all-pass.",
		value("level of the middle", "by which the middle way must be louder", func(x threeWay) (decibels, error) {
			set, err := filter.AllPassThreeWay(x.Order, x.Low, x.High, x.Mid == "inverted")
			if err != nil {
				return 0, err
			}
			return decibels(set.MidLevel), nil
		}),
		each("coil", "by way and letter, as mid B", "part", func(x threeWay, of string) (units.Inductance, error) {
			v, err := x.wayPart(of, ladder.Inductor)
			if err != nil {
				return 0, err
			}
			return units.Inductance(v), nil
		}),
		each("capacitor", "by way and letter, as mid B", "part", func(x threeWay, of string) (units.Capacitance, error) {
			v, err := x.wayPart(of, ladder.Capacitor)
			if err != nil {
				return 0, err
			}
			return units.Capacitance(v), nil
		}),
	),
}

// A quotient is a rational function in s: polynomials in ascending powers.
type quotient struct {
	Numerator   []float64 `in:"numerator" doc:"coefficients in ascending powers of s, in rad/s"`
	Denominator []float64 `in:"denominator" doc:"likewise"`
}
