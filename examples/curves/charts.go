package main

import (
	"math"
	"math/cmplx"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/document"
	"example.com/halfspace/examples/internal/plot"
	"example.com/halfspace/filter/response"
)

func charts(d *design.Design) []document.Chart {
	var out []document.Chart
	for _, x := range drivers(d) {
		out = append(out, parts(d, x)...)
		out = append(out, stages(d, x), phase(d, x), directions(d, x))
	}
	return append(out, sweeps(d)...)
}

// levels shows lines of levels from 5 dB above the highest, 50 dB down.
func levels(grid []float64, lines ...plot.Line) plot.Figure {
	top := math.Inf(-1)
	for _, l := range lines {
		for _, y := range l.Y {
			if !math.IsNaN(y) {
				top = math.Max(top, y)
			}
		}
	}
	top = 5 * math.Ceil(top/5+0.5)
	return plot.Figure{X: grid, Unit: "level, dB", Lo: top - 50, Hi: top, Step: 10, Lines: lines}
}

// on returns a curve's levels on the grid, NaN where it does not reach.
func on(grid []float64, c response.Curve, gain float64) []float64 {
	out := make([]float64, len(grid))
	h := make([]complex128, 1)
	for i := range grid {
		out[i] = math.NaN()
		if c.Resample(h, grid[i:i+1]) == nil {
			out[i] = response.DB(h[0] * complex(gain/20e-6, 0))
		}
	}
	return out
}

// parts are what a response was joined from; none if it is one piece.
func parts(d *design.Design, x driver) []document.Chart {
	if x.Seam == nil {
		return nil
	}
	var lines []plot.Line
	for _, r := range x.Read {
		lines = append(lines, plot.Line{Name: r.Name, Y: on(d.Hz, r.Curve, 1)})
	}
	// The joined curve is what matters: first.
	lines = append(lines[len(lines)-1:], lines[:len(lines)-1]...)
	f := levels(d.Hz, lines...)
	f.Lo = f.Hi - 70
	return []document.Chart{{
		Name: x.key + "_parts", Title: "The " + x.key + "'s near and far curves", Decimals: 4,
		Question: "Do they lie on each other where they meet? As taken, near fields are far louder.",
		Figure:   f,
	}}
}

func stages(d *design.Design, x driver) document.Chart {
	var lines []plot.Line
	for i := len(x.Stages) - 1; i >= 0; i-- {
		s := x.Stages[i]
		y := make([]float64, len(d.Hz))
		for k, p := range s.P {
			y[k] = level(p)
		}
		lines = append(lines, plot.Line{Name: s.Taken.String(), Y: y})
	}
	smooth, err := response.Curve{Hz: d.Hz, H: x.Stages[len(x.Stages)-1].P, HasPhase: true}.Smooth(3)
	if err == nil {
		lines = append(lines, plot.Line{Name: "the same, smoothed by a third of an octave", Y: on(d.Hz, smooth, 2.83)})
	}
	return document.Chart{
		Name: x.key + "_stages", Title: "The " + x.key + ", stage by stage", Decimals: 4,
		Question: "What do box and panel change? Level at 1 m for 2.83 V, on axis.",
		Figure:   levels(d.Hz, lines...),
	}
}

func phase(d *design.Design, x driver) document.Chart {
	last := x.Stages[len(x.Stages)-1].P
	y := make([]float64, len(d.Hz))
	for i, p := range last {
		y[i] = response.Phase(p)
		if i > 0 && math.Abs(y[i]-y[i-1]) > 180 {
			y[i] = math.NaN() // where it wraps, a gap instead of a stroke across
		}
	}
	return document.Chart{
		Name: x.key + "_phase", Title: "Phase of the " + x.key + " on its panel", Decimals: 3,
		Question: "Is it smooth? Referred to its own acoustic centre, flight time left out.",
		Figure:   plot.Figure{X: d.Hz, Unit: "phase, degrees", Lo: -180, Hi: 180, Step: 60, Lines: []plot.Line{{Name: "phase", Y: y}}},
	}
}

func directions(d *design.Design, x driver) document.Chart {
	var lines []plot.Line
	for _, dir := range x.Directions {
		y := make([]float64, len(d.Hz))
		for i, p := range dir.P {
			y[i] = level(p)
		}
		lines = append(lines, plot.Line{Name: direction(dir.Toward.X, dir.Toward.Y), Y: y})
	}
	return document.Chart{
		Name: x.key + "_beside", Title: "The " + x.key + " beside its axis", Decimals: 4,
		Question: "How does it beam? Level at 1 m for 2.83 V, on its panel, as measured.",
		Figure:   levels(d.Hz, lines...),
	}
}

// sweeps shows the sweep of both drivers beside the sum of the two alone.
func sweeps(d *design.Design) []document.Chart {
	o := d.Centres.Offset
	if o == nil {
		return nil
	}
	woofer, tweeter, both := d.Centres.Sweeps[0], d.Centres.Sweeps[1], d.Centres.Sweeps[2]
	grid := both.Hz
	a, b := make([]complex128, len(grid)), make([]complex128, len(grid))
	sum := make([]float64, len(grid))
	if woofer.Resample(a, grid) != nil || tweeter.Resample(b, grid) != nil {
		return nil
	}
	sign := complex(1, 0)
	if o.Inverted {
		sign = -1
	}
	for i, f := range grid {
		turn := cmplx.Rect(1, -2*math.Pi*f*float64(o.Delay))
		sum[i] = response.DB((a[i]+sign*b[i]*turn)/20e-6) + o.Gain
	}
	return []document.Chart{{
		Name: "sweeps", Title: "Three sweeps from one place", Decimals: 4,
		Question: "Does the sum of the two alone, the tweeter moved as found, lie on the sweep of both? As taken.",
		Figure: levels(grid, plot.Line{Name: "both, measured", Y: on(grid, both, 1)},
			plot.Line{Name: "sum of the two alone", Y: sum},
			plot.Line{Name: "woofer", Y: on(grid, woofer, 1)},
			plot.Line{Name: "tweeter", Y: on(grid, tweeter, 1)}),
	}}
}
