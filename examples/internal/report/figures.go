package report

import (
	"math"
	"math/cmplx"
	"slices"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/document"
	"example.com/halfspace/examples/internal/plot"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

type Chart = document.Chart

// Charts returns the figures of a design, in the order of a builder's questions.
func Charts(d *design.Design) []Chart {
	s, p := &d.Speaker, d.Project
	n := len(d.Hz)
	level := func(v units.Voltage, z []complex128) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = math.NaN()
			if i < len(z) {
				out[i] = d.Level(z[i], v)
			}
		}
		return out
	}
	way := func(w int) []complex128 {
		out := make([]complex128, n)
		for i, h := range s.Result.Transfer[w] {
			out[i] = h * s.Field.Pressure(w, 0)[i]
		}
		return out
	}
	each := func(f func(i int) float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = f(i)
		}
		return out
	}
	sum := s.Result.Sum[0]
	full := p.Volts(p.Play.Amplifier)
	top := math.Ceil((float64(s.Sensitivity)+6)/5) * 5

	charts := []Chart{{
		Name: "response", Title: "The finished speaker, on its panel in free field",
		Question: "Flat from the bass to the top? Level at 1 m for 2.83 V, on the axis of the ear.",
		Decimals: 4,
		Figure: plot.Figure{X: d.Hz, Unit: "level, dB", Lo: top - 50, Hi: top, Step: 10, Lines: []plot.Line{
			{Name: "both ways", Y: level(2.83, sum)},
			{Name: "woofer", Y: level(2.83, way(0))},
			{Name: "tweeter", Y: level(2.83, way(1))},
		}},
	}}
	charts = append(charts, tolerance(d, level(2.83, sum)))
	if s.HalfSpace != nil {
		near := level(2.83, s.NearWall)
		for i, f := range d.Hz {
			if f > float64(s.NearTop) {
				near[i] = math.NaN()
			}
		}
		charts = append(charts, Chart{
			Name: "places", Title: "The same speaker elsewhere",
			Question: "What do walls do? Free field is outdoors on a pole; half space is flush in an endless wall; near a wall is an estimate, shown up to 500 Hz.",
			Decimals: 4,
			Figure: plot.Figure{X: d.Hz, Unit: "level, dB", Lo: top - 40, Hi: top + 5, Step: 10, Lines: []plot.Line{
				{Name: "on its panel in free field", Y: level(2.83, sum)},
				{Name: "half space", Y: level(2.83, s.HalfSpace)},
				{Name: "on its panel, wall " + p.Play.Wall.String() + " behind the panel", Y: near},
			}},
		})
	}
	if len(s.Result.Sum) > 1 {
		lines := []plot.Line{{Name: "at the ear", Y: level(2.83, sum)}}
		for i, name := range design.Beside() {
			lines = append(lines, plot.Line{Name: name, Y: level(2.83, s.Result.Sum[i+1])})
		}
		window := make([]complex128, n)
		for i, power := range s.Window {
			window[i] = complex(math.Sqrt(power), 0)
		}
		lines = slices.Insert(lines, 1, plot.Line{Name: "listening window", Y: level(2.83, window)})
		charts = append(charts, Chart{
			Name: "beside", Title: "Beside the axis", Decimals: 4,
			Question: "Does it hold together when the listener moves? The window is the mean power on axis, 10° up and down, 15° and 30° to the sides, weighted; on its panel in free field, at 1 m for 2.83 V.",
			Figure:   plot.Figure{X: d.Hz, Unit: "level, dB", Lo: top - 40, Hi: top, Step: 10, Lines: lines},
		})
	}

	ceiling := each(func(i int) float64 {
		v, _ := d.Ceiling(i)
		return d.Level(sum[i], v)
	})
	charts = append(charts, Chart{
		Name: "loudest", Title: "How loud a tone can get", Decimals: 4,
		Question: "Where does cone, vent, dome or heat give before the amplifier does? Level at 1 m, on its panel in free field.",
		Figure: plot.Figure{X: d.Hz, Unit: "level, dB", Lo: 70, Hi: 120, Step: 10, Lines: []plot.Line{
			{Name: "until something in the speaker gives", Y: ceiling},
			{Name: "with all of the amplifier, " + p.Play.Amplifier.String(), Y: level(full, sum)},
		}},
	})

	charts = append(charts, Chart{
		Name: "travel", Title: "Travel of the woofer's cone", Decimals: 5,
		Question: "Does it stay within its travel? Peak, with a tone at all of the amplifier, " + p.Play.Amplifier.String() + ".",
		Figure: nice(plot.Figure{X: d.Hz, Unit: "travel, mm peak", Lines: []plot.Line{
			{Name: "cone", Y: each(func(i int) float64 {
				return 1000 * cmplx.Abs(d.Bass.Points[i].Travel*s.Result.Transfer[0][i]) * float64(full)
			})},
		}, Marks: []plot.Mark{{Name: "xmax", Y: d.Woofer.Model.Xmax.In(units.Millimetre)}}}),
	})
	if p.Box.Tuning > 0 {
		c := Chart{
			Name: "airspeed", Title: "Air in the vent", Decimals: 5,
			Question: "Will it chuff? Peak speed, with a tone at all of the amplifier, " + p.Play.Amplifier.String() + ".",
			Figure: plot.Figure{X: d.Hz, Unit: "air speed, m/s peak", Lines: []plot.Line{
				{Name: "air", Y: each(func(i int) float64 {
					return cmplx.Abs(d.Bass.Points[i].AirSpeed*s.Result.Transfer[0][i]) * float64(full)
				})},
			}},
		}
		if p.Vent.AirSpeed > 0 {
			c.Marks = []plot.Mark{{Name: "limit", Y: float64(p.Vent.AirSpeed)}}
		}
		c.Figure = nice(c.Figure)
		charts = append(charts, c)
	}

	load := plot.Figure{X: d.Hz, Unit: "impedance, Ω", Lines: []plot.Line{
		{Name: "modulus", Y: each(func(i int) float64 { return cmplx.Abs(s.Result.Load[i]) })},
	}}
	if p.Rules.Load > 0 {
		load.Marks = []plot.Mark{{Name: "least allowed", Y: float64(p.Rules.Load)}}
	}
	charts = append(charts, Chart{
		Name: "load", Title: "The load on the amplifier", Decimals: 5,
		Question: "Is it safe? The modulus must stay above what the amplifier and the rules allow.",
		Figure:   nice(load),
	}, Chart{
		Name: "loadphase", Title: "Phase of the load", Decimals: 4,
		Question: "How hard is it on the output stage? Large angles at a low modulus are.",
		Figure: plot.Figure{X: d.Hz, Unit: "phase, degrees", Lo: -90, Hi: 90, Step: 30, Lines: []plot.Line{
			{Name: "phase", Y: each(func(i int) float64 { return response.Phase(s.Result.Load[i]) })},
		}},
	})

	delay := groupDelay(d)
	hi := 5.0
	for _, t := range delay {
		if hi < t {
			hi = 5 * math.Ceil(t/5)
		}
	}
	charts = append(charts, Chart{
		Name: "delay", Title: "Group delay", Decimals: 5,
		Question: "Is the bass late? Flight time to the ear left out.",
		Figure: plot.Figure{X: d.Hz, Unit: "delay, ms", Lo: 0, Hi: hi, Step: hi / 5, Lines: []plot.Line{
			{Name: "both ways", Y: delay},
		}},
	})
	return charts
}

// tolerance shows the level on axis close to, with the speakers that come of parts and
// drivers as they are sold.
func tolerance(d *design.Design, sum []float64) Chart {
	s := &d.Speaker
	lo, hi := slices.Clone(sum), slices.Clone(sum)
	for i := range sum {
		lo[i] += s.Spread.Lo[i]
		hi[i] += s.Spread.Hi[i]
	}
	middle := 2 * math.Round(float64(s.Sensitivity)/2)
	return Chart{
		Name: "tolerance", Title: "As built, close to", Decimals: 4,
		Question: "How far may mine be off? Parts within their tolerance, drivers ± 0.5 dB (common practice). Level at 1 m for 2.83 V, on the axis of the ear.",
		Figure: plot.Figure{X: d.Hz, Unit: "level, dB", Lo: middle - 8, Hi: middle + 6, Step: 2, Lines: []plot.Line{
			{Name: "the design", Y: sum},
		}, Marks: []plot.Mark{{Name: "its mean over the band", Y: float64(s.Sensitivity)}},
			Bands: []plot.Band{{Name: "nine of ten speakers", Lo: lo, Hi: hi}}},
	}
}

// nice fits the vertical axis of a figure of positive values around its lines
// and marks.
func nice(f plot.Figure) plot.Figure {
	hi := 0.0
	for _, l := range f.Lines {
		for _, y := range l.Y {
			hi = math.Max(hi, y)
		}
	}
	for _, m := range f.Marks {
		hi = math.Max(hi, 1.2*m.Y)
	}
	if hi == 0 {
		hi = 1
	}
	step := math.Pow(10, math.Floor(math.Log10(hi)))
	for _, k := range []float64{0.2, 0.5, 1, 2} {
		if hi/(k*step) <= 6 {
			step *= k
			break
		}
	}
	f.Step, f.Hi = step, step*math.Ceil(hi/step*1.001)
	return f
}

// groupDelay returns −dφ/dω in ms from the phase step between neighbours of the
// grid, the flight time to the ear taken out first.
func groupDelay(d *design.Design) []float64 {
	sum := d.Speaker.Result.Sum[0]
	flight := float64(d.Project.Play.Distance) / float64(d.Air.SpeedOfSound)
	near := make([]complex128, len(sum))
	for i, p := range sum {
		near[i] = p * cmplx.Rect(1, 2*math.Pi*d.Hz[i]*flight)
	}
	out := make([]float64, len(sum))
	for i := range out {
		a, b := max(i-1, 0), min(i+1, len(out)-1)
		out[i] = -cmplx.Phase(near[b]/near[a]) / (2 * math.Pi * (d.Hz[b] - d.Hz[a])) * 1000
	}
	return out
}
