package claims

import (
	"errors"
	"fmt"
	"math"

	"example.com/halfspace/box"
	"example.com/halfspace/box/align"
	"example.com/halfspace/units"
)

// familyOf returns the family of a name.
func familyOf(name string) align.Family {
	for f := align.B4; f <= align.BE4; f++ {
		if f.String() == name {
			return f
		}
	}
	return align.TwoPairs
}

type alignment struct {
	Family string  `in:"family" choice:"B4|QB3|C4|SC4|BE4|pairs"`
	QL     float64 `in:"QL,optional" doc:"of a leak; left out: none"`
	Qts    float64 `in:"Qts,optional" doc:"of the driver; or the parameter of the family"`
	B      float64 `in:"B,optional" doc:"of QB3"`
	K      float64 `in:"k,optional" doc:"of C4 and SC4"`
	Q1     float64 `in:"q1,optional" doc:"of pairs"`
	Q2     float64 `in:"q2,optional" doc:"of pairs"`
}

func (x alignment) alignment() (align.Alignment, error) {
	switch {
	case x.Qts != 0:
		return familyOf(x.Family).For(x.Qts, x.QL)
	case x.Family == "B4":
		return align.Butterworth(x.QL)
	case x.Family == "BE4":
		return align.Bessel(x.QL)
	case x.Family == "QB3":
		return align.QuasiButterworth(x.B, x.QL)
	case x.Family == "pairs" && x.Q1 == x.Q2:
		return align.Alignment{}, errors.New("want Qts for equal pairs, or q1 and q2")
	case x.Family == "pairs":
		return align.Pairs(x.Q1, x.Q2, x.QL)
	}
	return align.Chebyshev(x.K, x.QL)
}

func aligned[Q number](name, doc string, f func(a align.Alignment) Q) Output {
	return value(name, doc, func(x alignment) (Q, error) {
		a, err := x.alignment()
		if err != nil {
			return 0, err
		}
		return f(a), nil
	})
}

type alignedDriver struct {
	sheet
	Family string  `in:"family" choice:"B4|QB3|C4|SC4|BE4|pairs"`
	QL     float64 `in:"QL,optional"`
}

func (x alignedDriver) design() (align.VentedDesign, error) {
	d, err := x.driver()
	if err != nil {
		return align.VentedDesign{}, err
	}
	return align.Vented(d, familyOf(x.Family), x.QL, x.air)
}

type ripple struct {
	Ripple decibels `in:"ripple,optional" doc:"or k"`
	K      float64  `in:"k,optional"`
}

type fitted struct {
	Rule  int     `in:"rule,optional" doc:"15 or 20, the factor of its volume"`
	Qts   float64 `in:"Qts"`
	Alpha float64 `in:"alpha,optional" doc:"Vas/Vb of a box that is given, for the off-size outputs"`
}

func (x fitted) fitted() (align.Fitted, error) {
	switch x.Rule {
	case 15:
		return align.Fitted15(x.Qts)
	case 20:
		return align.Fitted20(x.Qts)
	}
	return align.Fitted{}, fmt.Errorf("rule %d: want 15 or 20", x.Rule)
}

// exact is what the rules were fitted to.
func (x fitted) exact() (align.Alignment, error) {
	a, err := align.QB3.For(x.Qts, 7)
	if err != nil {
		a, err = align.C4.For(x.Qts, 7)
	}
	return a, err
}

func fit[Q number](name, doc string, f func(x fitted, a align.Fitted) (Q, error)) Output {
	return value(name, doc, func(x fitted) (Q, error) {
		a, err := x.fitted()
		if err != nil {
			return 0, err
		}
		return f(x, a)
	})
}

func offSize[Q number](name, doc string, f func(a align.Fitted, peak float64) Q) Output {
	return value(name, doc, func(x fitted) (Q, error) {
		if err := units.Positive("alpha", x.Alpha); err != nil {
			return 0, err
		}
		a, peak, err := align.FittedOffSize(x.Qts, 1/x.Alpha)
		if err != nil {
			return 0, err
		}
		return f(a, peak), nil
	})
}

type flatRadiator struct {
	Delta float64 `in:"delta,optional" doc:"Vap/Vb; or Qts"`
	Qts   float64 `in:"Qts,optional" doc:"of the driver"`
}

func radiator[Q number](name, doc string, f func(a align.RadiatorAlignment) Q) Output {
	return value(name, doc, func(x flatRadiator) (Q, error) {
		get, at := align.FlatRadiator, x.Delta
		if x.Qts != 0 {
			get, at = align.FlatRadiatorFor, x.Qts
		}
		a, err := get(at)
		if err != nil {
			return 0, err
		}
		return f(a), nil
	})
}

type symmetric struct {
	S    float64         `in:"S" doc:"damping"`
	Gain decibels        `in:"gain,optional" doc:"at the middle of the band, re the driver's pass band"`
	Fs   units.Frequency `in:"fs,optional"`
	Qts  float64         `in:"Qts,optional"`
	Vas  units.Volume    `in:"Vas,optional"`
	Drop decibels        `in:"drop,optional" doc:"of the edges; left out: half power"`
}

func (x symmetric) drop() float64 {
	if x.Drop == 0 {
		return 10 * math.Log10(2)
	}
	return float64(x.Drop)
}

func bandPass[Q number](name, doc string, f func(x symmetric, a align.BandPassAlignment) Q) Output {
	return value(name, doc, func(x symmetric) (Q, error) {
		if x.Qts == 0 {
			return 0, errors.New("no Qts is given")
		}
		a, err := align.SymmetricBandPass(x.S, float64(x.Gain), x.Qts)
		if err != nil {
			return 0, err
		}
		return f(x, a), nil
	})
}

type wanted struct {
	played
	Box        string          `in:"box" choice:"closed|vented" doc:"without losses but QL"`
	QL         float64         `in:"QL,optional"`
	Objective  string          `in:"objective" choice:"lowest cut-off|smallest box"`
	MostVolume units.Volume    `in:"most volume,optional"`
	LeastTune  units.Frequency `in:"least tuning,optional"`
	Cutoff     units.Frequency `in:"highest cut-off,optional"`
	Peak       decibels        `in:"most peak,optional"`
	Dip        decibels        `in:"most dip,optional"`
	Delay      units.Time      `in:"most group delay,optional"`
}

func (x wanted) best() (align.Best, error) {
	d, err := x.driver()
	if err != nil {
		return align.Best{}, err
	}
	g := align.Goal{
		Box: box.Closed{QL: x.QL}, Cutoff: x.Cutoff, Peak: float64(x.Peak), Dip: float64(x.Dip), Delay: x.Delay,
		Volume: align.Volumes{Most: x.MostVolume},
	}
	if x.Box == "vented" {
		g.Box, g.Tuning = box.Vented{QL: x.QL}, align.Tunings{Least: x.LeastTune}
	}
	if x.Objective == "smallest box" {
		g.Objective = align.SmallestBox
	}
	return g.Solve(d, x.air)
}

func best[Q number](name, doc string, f func(b align.Best) Q) Output {
	return value(name, doc, func(x wanted) (Q, error) {
		b, err := x.best()
		if err != nil {
			return 0, err
		}
		return f(b), nil
	})
}

var alignments = []Capability{
	define[alignment]("vented alignment", "A vented box of a classical family, relative to its driver.",
		aligned("Qts", "of the driver", func(a align.Alignment) float64 { return a.Qts }),
		aligned("Vas/Vb", "", func(a align.Alignment) float64 { return a.Alpha }),
		aligned("fb/fs", "", func(a align.Alignment) float64 { return a.H }),
		aligned("parameter", "B of QB3, k of C4 and SC4", func(a align.Alignment) float64 { return a.Parameter }),
		aligned("ripple", "", func(a align.Alignment) decibels { return decibels(a.Ripple) }),
		aligned("f3/fs", "", align.Alignment.F3),
		aligned("f6/fs", "", func(a align.Alignment) float64 { return a.Cutoff(6) }),
		aligned("f10/fs", "", func(a align.Alignment) float64 { return a.Cutoff(10) }),
		aligned("f3/fb", "", func(a align.Alignment) float64 { return a.F3() / a.H }),
	),
	define[alignedDriver]("vented alignment of a driver", "The vented box of a classical family for a driver.",
		value("Vb", "", func(x alignedDriver) (units.Volume, error) {
			d, err := x.design()
			return d.Box.Vb, err
		}),
		value("fb", "", func(x alignedDriver) (units.Frequency, error) {
			d, err := x.design()
			return d.Box.Fb, err
		}),
		value("f3", "", func(x alignedDriver) (units.Frequency, error) {
			d, err := x.design()
			return d.Cutoff, err
		}),
	),
	define[ripple]("Chebyshev ripple", "Ripple of Chebyshev responses of boxes.",
		value("k", "of the fourth order, from the ripple", func(x ripple) (float64, error) { return align.ChebyshevK(float64(x.Ripple)) }),
		value("ripple", "of the fourth order, from k", func(x ripple) (decibels, error) {
			if err := units.Within("k", x.K, 1e-6, 1); err != nil {
				return 0, err
			}
			return decibels(align.ChebyshevRipple(x.K)), nil
		}),
		value("Qtc", "of a closed box whose response peaks by the ripple", func(x ripple) (float64, error) { return align.ChebyshevQ(float64(x.Ripple)) }),
	),
	define[fitted]("fitted vented box", "Formulas fitted to alignment tables, as calculators have them.",
		fit("Vb/Vas", "", func(_ fitted, a align.Fitted) (float64, error) { return a.Volume, nil }),
		fit("fb/fs", "", func(_ fitted, a align.Fitted) (float64, error) { return a.Tuning, nil }),
		fit("f3/fs", "", func(_ fitted, a align.Fitted) (float64, error) { return a.Cutoff, nil }),
		fit("error of Vb", "against QB3 or C4 at QL 7", func(x fitted, a align.Fitted) (units.Ratio, error) {
			e, err := x.exact()
			if err != nil {
				return 0, err
			}
			return units.Ratio(a.Volume*e.Alpha - 1), nil
		}),
		fit("error of fb", "against QB3 or C4 at QL 7", func(x fitted, a align.Fitted) (units.Ratio, error) {
			e, err := x.exact()
			if err != nil {
				return 0, err
			}
			return units.Ratio(a.Tuning/e.H - 1), nil
		}),
		fit("error of f3", "against QB3 or C4 at QL 7", func(x fitted, a align.Fitted) (units.Ratio, error) {
			e, err := x.exact()
			if err != nil {
				return 0, err
			}
			return units.Ratio(a.Cutoff/e.F3() - 1), nil
		}),
		offSize("off-size fb/fs", "in a box of another volume", func(a align.Fitted, _ float64) float64 { return a.Tuning }),
		offSize("off-size f3/fs", "in a box of another volume", func(a align.Fitted, _ float64) float64 { return a.Cutoff }),
		offSize("off-size peak", "in a box of another volume", func(_ align.Fitted, peak float64) decibels { return decibels(peak) }),
	),
	define[flatRadiator]("passive-radiator alignment", "The flattest lossless box with a passive radiator.",
		radiator("delta", "Vap/Vb", func(a align.RadiatorAlignment) float64 { return a.Delta }),
		radiator("Qts", "of the driver", func(a align.RadiatorAlignment) float64 { return a.Qts }),
		radiator("Vas/Vb", "", func(a align.RadiatorAlignment) float64 { return a.Alpha }),
		radiator("fp/fs", "", func(a align.RadiatorAlignment) float64 { return a.Y }),
		radiator("fb/fs", "", align.RadiatorAlignment.H),
		radiator("f3/fs", "", align.RadiatorAlignment.F3),
	),
	define[symmetric]("band-pass alignment", "The symmetric lossless band-pass box of fourth order.",
		plain("b", "width of the band in fs/Qts", func(x symmetric) float64 { return align.BandPassAlignment{S: x.S}.Width(x.drop()) }),
		plain("ripple", "", func(x symmetric) decibels { return decibels(align.BandPassAlignment{S: x.S}.Ripple()) }),
		bandPass("Qbp", "of the driver with the rear chamber", func(_ symmetric, a align.BandPassAlignment) float64 { return a.Qbp }),
		bandPass("fb", "", func(x symmetric, a align.BandPassAlignment) units.Frequency { return x.Fs * units.Frequency(a.H) }),
		bandPass("Vf", "front chamber", func(x symmetric, a align.BandPassAlignment) units.Volume { return x.Vas * units.Volume(a.Front) }),
		bandPass("Vr", "rear chamber", func(x symmetric, a align.BandPassAlignment) units.Volume { return x.Vas * units.Volume(a.Rear) }),
		bandPass("lower edge", "", func(x symmetric, a align.BandPassAlignment) units.Frequency {
			lo, _ := a.Edges(x.drop())
			return x.Fs * units.Frequency(lo)
		}),
		bandPass("upper edge", "", func(x symmetric, a align.BandPassAlignment) units.Frequency {
			_, hi := a.Edges(x.drop())
			return x.Fs * units.Frequency(hi)
		}),
	),
	define[wanted]("best box", "The lowest cut-off or the smallest box under limits.",
		best("Vb", "", func(b align.Best) units.Volume { return b.Volume }),
		best("fb", "", func(b align.Best) units.Frequency { return b.Tuning }),
		best("f3", "", func(b align.Best) units.Frequency { return b.Cutoff }),
		best("peak", "", func(b align.Best) decibels { return decibels(b.Peak) }),
		best("largest group delay", "from the cut-off upwards", func(b align.Best) units.Time { return b.Delay }),
	),
}
