package claims

import (
	"fmt"
	"math"
	"math/bits"

	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A sheet is a driver: any figures that a maker prints.
type sheet struct {
	medium
	Re       units.Resistance           `in:"Re,optional" doc:"to direct current"`
	Zmax     units.Resistance           `in:"Zmax,optional" doc:"height of the peak at fs"`
	Zmin     units.Resistance           `in:"Zmin,optional" doc:"least modulus above fs"`
	Fs       units.Frequency            `in:"fs,optional" doc:"resonance in free air"`
	Qms      float64                    `in:"Qms,optional"`
	Qes      float64                    `in:"Qes,optional"`
	Qts      float64                    `in:"Qts,optional"`
	Vas      units.Volume               `in:"Vas,optional"`
	Sd       units.Area                 `in:"Sd,optional"`
	Diameter units.Length               `in:"diameter,optional" doc:"of the piston, instead of Sd"`
	Mms      units.Mass                 `in:"Mms,optional" doc:"with air load"`
	Mmd      units.Mass                 `in:"Mmd,optional" doc:"without air load"`
	Cms      units.Compliance           `in:"Cms,optional"`
	Rms      units.MechanicalResistance `in:"Rms,optional"`
	Bl       units.ForceFactor          `in:"Bl,optional"`
	Le1k     units.Inductance           `in:"Le at 1 kHz,optional"`
	Le10k    units.Inductance           `in:"Le at 10 kHz,optional"`
	Eta0     units.Ratio                `in:"eta0,optional" doc:"reference efficiency into half space"`
	SPL1W    units.PressureLevel        `in:"SPL 1 W,optional" doc:"at 1 m in half space, 1 W in Re"`
	SPL283   units.PressureLevel        `in:"SPL 2.83 V,optional" doc:"at 1 m in half space"`
	Xmax     units.Length               `in:"xmax,optional" doc:"peak, one way"`
	Power    units.Power                `in:"power,optional" doc:"what the coil bears as heat"`

	filling int
}

func (s sheet) printed() ts.Sheet {
	return ts.Sheet{
		Re: s.Re, Zmax: s.Zmax, Zmin: s.Zmin, Fs: s.Fs, Qms: s.Qms, Qes: s.Qes, Qts: s.Qts, Vas: s.Vas, Sd: s.Sd, Diameter: s.Diameter,
		Mms: s.Mms, Mmd: s.Mmd, Cms: s.Cms, Rms: s.Rms, Bl: s.Bl, Le1k: s.Le1k, Le10k: s.Le10k,
		Eta0: s.Eta0, SPL1W: s.SPL1W, SPL283: s.SPL283, Xmax: s.Xmax, Power: s.Power,
	}
}

func (s *sheet) fill(how int) { s.filling = how }

func (s sheet) lacks() []string {
	_, missing, _ := s.complete()
	return missing
}

// complete returns the driver. Of the figures that neither stand there nor follow, as
// few as will do are filled in, one way or another, and named.
func (s sheet) complete() (ts.Driver, []string, error) {
	printed := s.printed()
	d, _, first := printed.Driver(s.air)
	if first == nil {
		return d, nil, nil
	}
	if err := printed.Check(); err != nil {
		return d, nil, err
	}
	k := float64(1 + s.filling) // 1 or 2
	q := 3 + 2*k                // above any Qes that is filled in
	if most := max(printed.Qts, printed.Qes); most > 0 {
		q = most * (3 + 4*k)
	}
	fills := []struct {
		name string
		free bool
		put  func(p *ts.Sheet)
	}{
		{"Qms", printed.Qms == 0 && printed.Rms == 0, func(p *ts.Sheet) { p.Qms = q }},
		{"Re", printed.Re == 0, func(p *ts.Sheet) { p.Re = units.Resistance(3 * k) }},
		{"Sd", printed.Sd == 0 && printed.Diameter == 0, func(p *ts.Sheet) { p.Sd = units.Area(0.02 * k) }},
		{"fs", printed.Fs == 0, func(p *ts.Sheet) { p.Fs = units.Frequency(35 * k) }},
		{"Qes", printed.Qes == 0 && printed.Qts == 0, func(p *ts.Sheet) { p.Qes = 0.3 * k }},
		{"Mms", printed.Mms == 0 && printed.Mmd == 0, func(p *ts.Sheet) { p.Mms = units.Mass(0.02 * k) }},
	}
	free := 0
	for i, f := range fills {
		if f.free {
			free |= 1 << i
		}
	}
	for n := 1; n <= len(fills); n++ {
		for set := range 1 << len(fills) {
			if bits.OnesCount(uint(set)) != n || set&^free != 0 {
				continue
			}
			p := printed
			var missing []string
			for i, f := range fills {
				if set>>i&1 == 1 {
					f.put(&p)
					missing = append(missing, f.name)
				}
			}
			if d, _, err := p.Driver(s.air); err == nil {
				return d, missing, nil
			}
		}
	}
	return d, nil, first
}

func (s sheet) driver() (ts.Driver, error) {
	d, _, err := s.complete()
	return d, err
}

// figure is an output of the driver alone.
func figure[Q number](name, doc string, f func(d ts.Driver, a air.Air) Q) Output {
	return value(name, doc, func(s sheet) (Q, error) {
		d, err := s.driver()
		if err != nil {
			return 0, err
		}
		return f(d, s.air), nil
	})
}

// several is how a number of drivers are connected.
type several struct {
	sheet
	N        int    `in:"n,optional" doc:"zero is two"`
	Wiring   string `in:"wiring" choice:"parallel|series|series-parallel" doc:"series-parallel: pairs in series, in parallel"`
	Mounting string `in:"mounting,optional" choice:"compound" doc:"two as one, one behind the other"`
}

// over is an output of several over one.
func over[Q number](name, doc string, f func(all, one ts.Driver, a air.Air) Q) Output {
	return value(name, doc, func(s several) (Q, error) {
		one, err := s.driver()
		if err != nil {
			return 0, err
		}
		n := s.N
		if n == 0 {
			n = 2
		}
		var all ts.Driver
		switch {
		case n < 1 || n > 1000:
			return 0, fmt.Errorf("%d drivers: want 1 to 1000", n)
		case s.Mounting == "compound" && n != 2:
			return 0, fmt.Errorf("%d compound drivers: want 2", n)
		case s.Mounting == "compound" && s.Wiring == "parallel":
			all = one.CompoundParallel()
		case s.Mounting == "compound" && s.Wiring == "series":
			all = one.CompoundSeries()
		case s.Wiring == "parallel":
			all = one.Parallel(n)
		case s.Wiring == "series":
			all = one.Series(n)
		case n%2 == 0 && s.Mounting == "":
			all = one.Series(2).Parallel(n / 2)
		default:
			return 0, fmt.Errorf("%d drivers cannot be wired in series-parallel", n)
		}
		return f(all, one, s.air), nil
	})
}

// The impedance of a voice coil beyond Re.
type voiceCoil struct {
	Leb units.Inductance `in:"Leb,optional"`
	Le  units.Inductance `in:"Le,optional"`
	Ke  float64          `in:"Ke,optional" doc:"semi-inductance, in Ω·√s"`
	Rss units.Resistance `in:"Rss,optional"`
	K   float64          `in:"K,optional" doc:"power law, in Ω·s^N"`
	N   float64          `in:"N,optional" doc:"exponent of the power law"`
}

func (c voiceCoil) coil() (ts.Coil, error) {
	x := ts.Coil{Leb: c.Leb, Le: c.Le, Ke: c.Ke, Rss: c.Rss, K: c.K, N: c.N}
	return x, x.Check()
}

func (c voiceCoil) impedance(f units.Frequency) (complex128, error) {
	x, err := c.coil()
	if err != nil {
		return 0, err
	}
	return x.Impedance(complex(0, 2*math.Pi*float64(f))), nil
}

// Heat of a voice coil at a voltage.
type heated struct {
	E     units.Voltage    `in:"E,optional" doc:"RMS, with Re; or P"`
	Re    units.Resistance `in:"Re,optional" doc:"cold"`
	P     units.Power      `in:"P,optional" doc:"heat while cold"`
	Alpha perKelvin        `in:"alpha" doc:"of the wire, at 20 °C"`
	Rth   thermal          `in:"Rth" doc:"from the coil to the room"`
}

func (h heated) rise() (float64, units.Power, error) {
	p := h.P
	if (p == 0) == (h.E == 0) {
		return 0, 0, fmt.Errorf("want either E and Re, or P")
	}
	if p == 0 {
		if err := units.Positive("Re", h.Re); err != nil {
			return 0, 0, err
		}
		p = units.Power(float64(h.E) * float64(h.E) / float64(h.Re))
	}
	for _, err := range []error{units.Positive("P", p), units.Within("alpha", float64(h.Alpha), 1e-9, 1), units.Positive("Rth", float64(h.Rth))} {
		if err != nil {
			return 0, 0, err
		}
	}
	t := ts.Thermal{Rtv: float64(h.Rth) / 2, Ctv: 1, Rtm: float64(h.Rth) / 2, Ctm: 1}
	return t.SteadyRise(p, ts.Metal(h.Alpha)), p, nil
}

type warmWire struct {
	R     units.Resistance `in:"R" doc:"at 20 °C"`
	Alpha perKelvin        `in:"alpha"`
	Rise  rise             `in:"rise" doc:"above 20 °C"`
}

// Two bodies, coil and magnet.
type warming struct {
	Rtv  thermal      `in:"Rtv" doc:"from coil to magnet"`
	Ctv  heatCapacity `in:"Ctv" doc:"of the coil"`
	Rtm  thermal      `in:"Rtm" doc:"from magnet to room"`
	Ctm  heatCapacity `in:"Ctm" doc:"of the magnet"`
	Heat units.Power  `in:"heat,optional" doc:"constant, into the coil"`
}

func (w warming) thermal() (ts.Thermal, error) {
	t := ts.Thermal{Rtv: float64(w.Rtv), Ctv: float64(w.Ctv), Rtm: float64(w.Rtm), Ctm: float64(w.Ctm)}
	return t, t.Check()
}

var drivers = []Capability{
	define[sheet]("driver", "The figures of a driver from others on its sheet.",
		figure("Re", "", func(d ts.Driver, _ air.Air) units.Resistance { return d.Re }),
		figure("Bl", "", func(d ts.Driver, _ air.Air) units.ForceFactor { return d.Bl }),
		figure("Mms", "moving mass with air load", func(d ts.Driver, _ air.Air) units.Mass { return d.Mms }),
		figure("Cms", "", func(d ts.Driver, _ air.Air) units.Compliance { return d.Cms }),
		figure("Rms", "", func(d ts.Driver, _ air.Air) units.MechanicalResistance { return d.Rms }),
		figure("Sd", "", func(d ts.Driver, _ air.Air) units.Area { return d.Sd }),
		figure("air mass", "air that moves with a piston baffled on both sides", func(d ts.Driver, a air.Air) units.Mass { return ts.AirMass(d.Sd, a) }),
		figure("fs", "", func(d ts.Driver, _ air.Air) units.Frequency { return d.Fs() }),
		figure("Qms", "", func(d ts.Driver, _ air.Air) float64 { return d.Qms() }),
		figure("Qes", "", func(d ts.Driver, _ air.Air) float64 { return d.Qes() }),
		figure("Qts", "", func(d ts.Driver, _ air.Air) float64 { return d.Qts() }),
		figure("Vas", "", func(d ts.Driver, a air.Air) units.Volume { return d.Vas(a) }),
		figure("Vd", "Sd xmax", func(d ts.Driver, _ air.Air) units.Volume { return d.Vd() }),
		figure("eta0", "reference efficiency into half space", func(d ts.Driver, a air.Air) units.Ratio { return d.Eta0(a) }),
		figure("SPL 1 W", "at 1 m in half space for 1 W in Re", func(d ts.Driver, a air.Air) units.PressureLevel { return d.SPL1W(a) }),
		figure("SPL 2.83 V", "at 1 m in half space", func(d ts.Driver, a air.Air) units.PressureLevel { return d.SPL283(a) }),
		figure("SPL 2.83 V less SPL 1 W", "", func(d ts.Driver, a air.Air) decibels { return decibels(d.SPL283(a) - d.SPL1W(a)) }),
		figure("EBP", "efficiency bandwidth product fs/Qes", func(d ts.Driver, _ air.Air) units.Frequency { return d.EBP() }),
		figure("Res", "motional resistance", func(d ts.Driver, _ air.Air) units.Resistance { return d.Res() }),
		figure("Cmes", "", func(d ts.Driver, _ air.Air) units.Capacitance { return d.Cmes() }),
		figure("Lces", "", func(d ts.Driver, _ air.Air) units.Inductance { return d.Lces() }),
		figure("Zmax", "height of the impedance peak", func(d ts.Driver, _ air.Air) units.Resistance { return d.Zmax() }),
		Output{Name: "verdict", Doc: "what an audit says of a printed figure: agrees, noteworthy, doubtful, contradiction", Word: true, Of: "figure",
			word: func(input any, q query) (string, error) { return input.(sheet).verdict(q.of) }},
	),
	define[several]("several drivers", "Drivers on one volume of air, as one driver.",
		over("Sd over one", "", func(all, one ts.Driver, _ air.Air) float64 { return float64(all.Sd / one.Sd) }),
		over("Vas over one", "", func(all, one ts.Driver, a air.Air) float64 { return float64(all.Vas(a) / one.Vas(a)) }),
		over("Mms over one", "", func(all, one ts.Driver, _ air.Air) float64 { return float64(all.Mms / one.Mms) }),
		over("Cms over one", "", func(all, one ts.Driver, _ air.Air) float64 { return float64(all.Cms / one.Cms) }),
		over("Re over one", "", func(all, one ts.Driver, _ air.Air) float64 { return float64(all.Re / one.Re) }),
		over("Bl over one", "", func(all, one ts.Driver, _ air.Air) float64 { return float64(all.Bl / one.Bl) }),
		over("fs over one", "", func(all, one ts.Driver, _ air.Air) float64 { return float64(all.Fs() / one.Fs()) }),
		over("Qts over one", "", func(all, one ts.Driver, _ air.Air) float64 { return all.Qts() / one.Qts() }),
		over("eta0 over one", "", func(all, one ts.Driver, a air.Air) float64 { return float64(all.Eta0(a) / one.Eta0(a)) }),
		over("level at equal power", "less that of one", func(all, one ts.Driver, a air.Air) decibels { return decibels(all.SPL1W(a) - one.SPL1W(a)) }),
		over("level at equal voltage", "less that of one", func(all, one ts.Driver, a air.Air) decibels { return decibels(all.SPL283(a) - one.SPL283(a)) }),
		over("SPL 2.83 V", "of all", func(all, _ ts.Driver, a air.Air) units.PressureLevel { return all.SPL283(a) }),
		over("Re", "of all", func(all, _ ts.Driver, _ air.Air) units.Resistance { return all.Re }),
		over("Vas", "of all", func(all, _ ts.Driver, a air.Air) units.Volume { return all.Vas(a) }),
	),
	define[voiceCoil]("voice coil", "Impedance of a voice coil beyond Re: inductance, semi-inductance, power law.",
		curve[units.Resistance]("impedance", "", func(c voiceCoil, hz []float64) ([]complex128, error) {
			dst := make([]complex128, len(hz))
			for i, f := range hz {
				z, err := c.impedance(units.Frequency(f))
				if err != nil {
					return nil, err
				}
				dst[i] = z
			}
			return dst, nil
		}),
		along("resistance", "real part of the impedance", func(c voiceCoil, f units.Frequency) (units.Resistance, error) {
			z, err := c.impedance(f)
			if err != nil {
				return 0, err
			}
			return units.Resistance(real(z)), nil
		}),
		along("reactance", "imaginary part of the impedance", func(c voiceCoil, f units.Frequency) (units.Resistance, error) {
			z, err := c.impedance(f)
			if err != nil {
				return 0, err
			}
			return units.Resistance(imag(z)), nil
		}),
		along("inductance", "reactance over ω", func(c voiceCoil, f units.Frequency) (units.Inductance, error) {
			x, err := c.coil()
			if err != nil {
				return 0, err
			}
			return x.Inductance(f), nil
		}),
	),
	define[heated]("hot voice coil", "A voice coil at a constant voltage for so long that nothing changes any more.",
		value("rise", "above the room", func(h heated) (rise, error) {
			r, _, err := h.rise()
			if err != nil {
				return 0, err
			}
			return rise(r), nil
		}),
		value("Re", "warm", func(h heated) (units.Resistance, error) {
			r, _, err := h.rise()
			if err == nil {
				err = units.Positive("Re", h.Re)
			}
			return ts.Driver{Re: h.Re}.Heated(r, ts.Metal(h.Alpha)).Re, err
		}),
		value("heat", "warm", func(h heated) (units.Power, error) {
			r, p, err := h.rise()
			if err != nil {
				return 0, err
			}
			return p / units.Power(ts.Metal(h.Alpha).Ratio(r)), nil
		}),
		value("compression", "loss of level where Re rules the impedance", func(h heated) (decibels, error) {
			r, _, err := h.rise()
			if err != nil {
				return 0, err
			}
			return decibels(ts.Metal(h.Alpha).Compression(r)), nil
		}),
	),
	define[warmWire]("warm wire", "Resistance of a warm wire.",
		plain("resistance", "", func(w warmWire) units.Resistance {
			return ts.Driver{Re: w.R}.Heated(float64(w.Rise), ts.Metal(w.Alpha)).Re
		}),
	),
	define[warming]("warming voice coil", "Coil and magnet as two bodies that warm from cold.",
		value("fast time constant", "", func(w warming) (units.Time, error) {
			t, err := w.thermal()
			fast, _ := t.TimeConstants()
			return fast, err
		}),
		value("slow time constant", "", func(w warming) (units.Time, error) {
			t, err := w.thermal()
			_, slow := t.TimeConstants()
			return slow, err
		}),
		along("rise of the coil", "after a time at constant heat", func(w warming, at units.Time) (rise, error) {
			t, err := w.thermal()
			coil, _ := t.Rise(w.Heat, at)
			return rise(coil), err
		}),
		along("rise of the magnet", "after a time at constant heat", func(w warming, at units.Time) (rise, error) {
			t, err := w.thermal()
			_, magnet := t.Rise(w.Heat, at)
			return rise(magnet), err
		}),
	),
}

// verdict is that of the audit on a figure, the worst if there are several.
func (s sheet) verdict(figure string) (string, error) {
	findings, err := s.printed().Audit(s.air)
	if err != nil {
		return "", err
	}
	worst := ts.Verdict(0)
	var audited []string
	found := false
	for _, f := range findings {
		audited = append(audited, f.Figure)
		if f.Figure == figure {
			worst, found = max(worst, f.Verdict), true
		}
	}
	if !found {
		return "", fmt.Errorf("%s", unknown("audited figure", figure, audited))
	}
	return worst.String(), nil
}
