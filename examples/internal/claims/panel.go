package claims

import (
	"cmp"
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box/baffle"
	"example.com/halfspace/box/cabinet"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

type nearWalls struct {
	medium
	D1         units.Length `in:"d1" doc:"from the source to the wall behind it"`
	D2         units.Length `in:"d2,optional" doc:"to the floor; left out: none"`
	D3         units.Length `in:"d3,optional" doc:"to the wall beside it; left out: none"`
	Absorption float64      `in:"absorption,optional" doc:"share of the energy, of each"`
	R          units.Length `in:"r,optional" doc:"from the source to the listener, straight in front; left out: 1 m"`
}

func (x nearWalls) walls() baffle.Walls {
	w := baffle.Walls{{Toward: r3.Vec{Z: -1}, Distance: x.D1, Absorption: x.Absorption}}
	if x.D2 != 0 {
		w = append(w, baffle.Wall{Toward: r3.Vec{Y: -1}, Distance: x.D2, Absorption: x.Absorption})
	}
	if x.D3 != 0 {
		w = append(w, baffle.Wall{Toward: r3.Vec{X: -1}, Distance: x.D3, Absorption: x.Absorption})
	}
	return w
}

type panelStep struct {
	medium
	Width units.Length `in:"width" doc:"the smaller side"`
}

var panels = []Capability{
	define[nearWalls]("near walls", "What one to three walls do to a small source.",
		curve[decibels]("pressure", "re free field, at the listener", func(x nearWalls, hz []float64) ([]complex128, error) {
			r := x.R
			if r == 0 {
				r = 1
			}
			dst := make([]complex128, len(hz))
			return dst, x.walls().Effect(dst, hz, x.air.SpeedOfSound, r3.Vec{Z: float64(r)})
		}),
		along("power", "radiated, re free field", func(x nearWalls, f units.Frequency) (decibels, error) {
			g, err := x.walls().PowerGain(f, x.air.SpeedOfSound)
			if err != nil {
				return 0, err
			}
			return decibels(10 * math.Log10(g)), nil
		}),
	),
	define[panelStep]("baffle step", "The shelf of first order that stands for a panel.",
		curve[decibels]("response", "full space re half space", func(x panelStep, hz []float64) ([]complex128, error) {
			f, err := baffle.Step(x.Width, x.air.SpeedOfSound)
			dst := make([]complex128, len(hz))
			for i, f0 := range hz {
				dst[i] = f.AtHz(f0)
			}
			return dst, err
		}),
	),
}

type corner struct {
	X     units.Length `in:"x"`
	Y     units.Length `in:"y"`
	Round units.Length `in:"round,optional" doc:"radius"`
	Rise  units.Length `in:"rise,optional" doc:"of the side that leaves the corner, as an arc"`
}

type outlined struct {
	Corners []corner `in:"corners" doc:"in order"`
}

func (x outlined) outline() (outline.Outline, error) {
	var o outline.Outline
	for _, c := range x.Corners {
		o = append(o, outline.Corner{X: c.X, Y: c.Y, Round: c.Round, Rise: c.Rise})
	}
	return o, o.Check()
}

func drawn[Q number](name, doc string, f func(o outline.Outline) Q) Output {
	return value(name, doc, func(x outlined) (Q, error) {
		o, err := x.outline()
		if err != nil {
			return 0, err
		}
		return f(o), nil
	})
}

type stacked struct {
	outlined
	Wall      units.Length  `in:"wall" doc:"of the rings"`
	Layers    int           `in:"layers"`
	Thickness units.Length  `in:"thickness" doc:"of a layer"`
	Cap       units.Length  `in:"cap,optional" doc:"thickness of each end; left out: that of a layer"`
	Density   units.Density `in:"density,optional" doc:"of the sheet"`
	Taken     units.Volume  `in:"displacement,optional" doc:"of driver, vent and bracing"`
}

func (x stacked) stack() (cabinet.Stack, error) {
	o, err := x.outline()
	if err != nil {
		return cabinet.Stack{}, err
	}
	s := cabinet.Stack{Profile: o, Wall: x.Wall, Layers: x.Layers, Thickness: x.Thickness, Cap: x.Cap, Density: x.Density}
	return s, s.Check()
}

func stack[Q number](name, doc string, f func(s cabinet.Stack) Q) Output {
	return value(name, doc, func(x stacked) (Q, error) {
		s, err := x.stack()
		if err != nil {
			return 0, err
		}
		return f(s), nil
	})
}

type room struct {
	medium
	L1 units.Length `in:"l1"`
	L2 units.Length `in:"l2"`
	L3 units.Length `in:"l3"`
	N  string       `in:"n,optional" doc:"half waves along the three edges, as 1 0 0; left out: the lowest"`
}

func (x room) mode() (units.Frequency, error) {
	limit := units.Frequency(1000)
	modes, err := cabinet.Modes([3]units.Length{x.L1, x.L2, x.L3}, x.air.SpeedOfSound, limit)
	if err != nil {
		return 0, err
	}
	n := x.N
	for _, m := range modes {
		if digits := [3]byte{byte('0' + min(m.N[0], 10)), byte('0' + min(m.N[1], 10)), byte('0' + min(m.N[2], 10))}; n == "" || n == string([]byte{digits[0], ' ', digits[1], ' ', digits[2]}) {
			return m.Frequency, nil
		}
	}
	return 0, errors.New("no such mode up to 1 kHz")
}

type frustum struct {
	D1     units.Length `in:"d1"`
	D2     units.Length `in:"d2"`
	Height units.Length `in:"height"`
}

type cutPieces struct {
	Strip units.Length `in:"strip" doc:"length of the sheet"`
	Piece units.Length `in:"piece" doc:"length of each"`
	Kerf  units.Length `in:"kerf,optional" doc:"left out: 3.2 mm"`
}

var cabinets = []Capability{
	define[outlined]("outline", "A closed line of straight and round sides.",
		drawn("area", "", outline.Outline.Area),
		drawn("perimeter", "", outline.Outline.Perimeter),
		drawn("centroid x", "", func(o outline.Outline) units.Length { return o.Centroid().X }),
		drawn("centroid y", "", func(o outline.Outline) units.Length { return o.Centroid().Y }),
	),
	define[stacked]("stacked cabinet", "A cabinet of equal ring layers between two end caps.",
		stack("gross volume", "air inside before anything is put in", cabinet.Stack.Gross),
		value("net volume", "air inside less the displacement", func(x stacked) (units.Volume, error) {
			s, err := x.stack()
			if err != nil {
				return 0, err
			}
			return s.Net(cabinet.Displacement{Name: "displacement", Volume: x.Taken})
		}),
		stack("sheet area", "of all rings and caps, without waste", cabinet.Stack.SheetArea),
		stack("ring area", "", cabinet.Stack.RingArea),
		stack("outside width", "", cabinet.Stack.OutsideWidth),
		stack("mass", "of rings and caps", cabinet.Stack.Mass),
	),
	define[room]("standing wave", "A standing wave of a rectangular inside, up to 1 kHz and 9 half waves an edge.",
		value("frequency", "", room.mode),
	),
	define[frustum]("frustum", "A frustum of a cone.",
		value("volume", "", func(x frustum) (units.Volume, error) {
			if err := cmp.Or(units.NotNegative("d1", x.D1), units.NotNegative("d2", x.D2), units.NotNegative("height", x.Height)); err != nil {
				return 0, err
			}
			return cabinet.Frustum(x.D1, x.D2, x.Height), nil
		}),
	),
	define[cutPieces]("pieces in a strip", "Equal pieces from one length of a sheet, with the width of the saw between.",
		value("count", "", func(x cutPieces) (int, error) {
			s := cabinet.Sheet{Length: x.Strip, Width: 0.1, Kerf: x.Kerf}
			if err := units.Positive("piece", x.Piece); err != nil {
				return 0, err
			}
			most := int(min(float64(x.Strip/x.Piece)+1, 10_001))
			if most > 10_000 {
				return 0, errors.New("more than ten thousand pieces")
			}
			l, err := s.Cut([]cabinet.Piece{{Name: "piece", Count: most, Length: x.Piece, Width: 0.05, Thickness: 0.01}})
			if err != nil {
				return 0, err
			}
			return len(l.Strips[0].Cuts), nil
		}),
	),
}
