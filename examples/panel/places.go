package main

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box/baffle"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/filter"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// Places are where a driver could be.
type places struct {
	spots     []baffle.Spot // smoothest first
	now       baffle.Spot
	best      baffle.Spot
	near      baffle.Spot // the best within reach of where it is
	step      units.Length
	unchanged bool // nothing better near by
}

// reach is how far a driver is moved when it should stay about where it is.
const reach = 40 * units.Millimetre

// wood is what is left between frames, and at the edge.
const wood = 4 * units.Millimetre

// place looks for smoother places of one driver while the other stays, on axis and at
// the angles where one sits.
func (f *front) place(x, other *part) error {
	_, top := f.panel.Edge.Bounds()
	x.places.step = 10 * units.Millimetre
	p := baffle.Placement{
		Panel: f.panel, Driver: x.driver, Others: []baffle.Driver{other.driver},
		To: outline.Point{X: top.X, Y: top.Y}, Step: x.places.step, Clear: wood, Lo: x.lo, Hi: x.hi,
		Toward: []r3.Vec{toward(0, 0), toward(15, 0), toward(-15, 0)},
	}
	var err error
	if x.places.spots, err = p.Spots(f.air.SpeedOfSound); err != nil {
		return fmt.Errorf("%s: %w", x.key, err)
	}
	p.From, p.To, p.Clear = x.driver.At, x.driver.At, 0
	here, err := p.Spots(f.air.SpeedOfSound)
	if err != nil {
		return fmt.Errorf("%s: %w", x.key, err)
	}
	// Places are alike on both sides of a panel; of equal ones take the nearest.
	far := func(s baffle.Spot) float64 {
		return math.Hypot(float64(s.At.X-x.from.X), float64(s.At.Y-x.from.Y))
	}
	order := slices.Clone(x.places.spots)
	slices.SortStableFunc(order, func(a, b baffle.Spot) int {
		return cmp.Or(cmp.Compare(math.Round(a.Ripple*1e4), math.Round(b.Ripple*1e4)), cmp.Compare(math.Round(far(a)*1e6), math.Round(far(b)*1e6)))
	})
	x.places.now, x.places.best, x.places.near, x.places.unchanged = here[0], order[0], here[0], true
	for _, s := range order {
		if far(s) <= float64(reach)+1e-9 {
			if s.Ripple < here[0].Ripple-0.005 {
				x.places.near, x.places.unchanged = s, false
			}
			break
		}
	}
	return nil
}

// Offsets is what the depth of the acoustic centres does at the crossover.
type offsets struct {
	ahead   units.Length // by which the tweeter's sound comes first at the ear
	within  units.Length // how well that is known
	wave    units.Length // at the crossover
	shift   []float64    // mm, by which the tweeter is set back
	ripple  []float64    // dB RMS from an octave below to an octave above the crossover
	deepest []float64    // dB
	tilt    float64      // degrees backward that make the times equal; NaN: more than 15
	tilted  float64      // ripple with that tilt, panel included
}

// shift finds what setting back and tilting do if the slopes at the ear are ideal but
// for the difference in depth.
func (f *front) shift() error {
	o := &f.offsets
	woofer, tweeter := f.drivers[0], f.drivers[1]
	c := float64(f.air.SpeedOfSound)
	corner := f.project.Crossover.Frequency
	o.wave = units.Length(c / float64(corner))
	known := func(x *part) units.Length { return cmp.Or(x.from.Known, 8*units.Millimetre) }
	o.within = units.Length(math.Hypot(float64(known(woofer)), float64(known(tweeter))))
	centre := func(x *part, tilt float64, back units.Length) r3.Vec {
		at := f.seat(x)
		at.Z = -float64(x.from.Centre + back)
		// Tilting backward turns what is above the ear's height away from the ear.
		sin, cos := math.Sincos(tilt * math.Pi / 180)
		return r3.Vec{X: at.X, Y: at.Y*cos + at.Z*sin, Z: at.Z*cos - at.Y*sin}
	}
	ear := r3.Vec{Z: float64(f.project.Play.Distance)}
	ahead := func(tilt float64, back units.Length) float64 {
		return r3.Norm(r3.Sub(ear, centre(woofer, tilt, 0))) - r3.Norm(r3.Sub(ear, centre(tweeter, tilt, back)))
	}
	o.ahead = units.Length(ahead(0, 0))
	low, err := filter.LinkwitzRiley(4)
	if err != nil {
		return err
	}
	low = low.Scaled(2 * math.Pi * float64(corner))
	sum := func(lead float64, w, t []complex128) (ripple, deepest float64) {
		h := make([]complex128, len(f.hz))
		for i, hz := range f.hz {
			s := complex(0, hz/float64(corner))
			l := low.AtHz(hz)
			h[i] = l*w[i] + l*s*s*s*s*t[i]*cmplx.Rect(1, 2*math.Pi*hz*lead/c)
			if hz >= float64(corner)/2 && hz <= float64(corner)*2 {
				deepest = min(deepest, response.DB(h[i]))
			}
		}
		ripple, _ = spread(f.hz, h, corner/2, corner*2)
		return ripple, deepest
	}
	ones := slices.Repeat([]complex128{1}, len(f.hz))
	for back := 0.0; back <= 40; back += 5 {
		r, deep := sum(ahead(0, units.Length(back)*units.Millimetre), ones, ones)
		o.shift, o.ripple, o.deepest = append(o.shift, back), append(o.ripple, r), append(o.deepest, deep)
	}
	o.tilt = math.NaN()
	for t := 0.0; t < 15; t += 0.1 {
		if a, b := ahead(t, 0), ahead(t+0.1, 0); a*b <= 0 {
			o.tilt = t + 0.1*a/(a-b)
			break
		}
	}
	if math.IsNaN(o.tilt) {
		return nil
	}
	// Slopes are ideal toward the axis of the untilted cabinet; tilted, the ear is below.
	var turned [2][]complex128
	for i, x := range f.drivers {
		straight, below := make([]complex128, len(f.hz)), make([]complex128, len(f.hz))
		path := r3.Sub(ear, f.seat(x))
		sin, cos := math.Sincos(o.tilt * math.Pi / 180)
		if err := x.edge.Toward(straight, f.hz, path); err != nil {
			return err
		}
		if err := x.edge.Toward(below, f.hz, r3.Vec{X: path.X, Y: path.Y*cos - path.Z*sin, Z: path.Z*cos + path.Y*sin}); err != nil {
			return err
		}
		for k := range below {
			turned[i] = append(turned[i], below[k]/straight[k])
		}
	}
	o.tilted, _ = sum(0, turned[0], turned[1])
	return nil
}
