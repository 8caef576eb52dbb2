package baffle

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

func demo() Placement {
	return Placement{
		Panel: Panel{outline.Rectangle(0.22, 0.6), 0.35}, Driver: Driver{Radius: 0.015, Outer: 0.098},
		Others: []Driver{{At: at(0.11, 0.362), Radius: 0.066, Outer: 0.172}},
		From:   at(0, 0), To: at(0.22, 0.6), Step: 0.01, Clear: 0.004, Lo: 1700, Hi: 16000,
	}
}

// Every place fits and its ripple is that of its own curve; the middle of a square is
// the worst place in it, since all sides are equally far; places off the middle of the
// panel come in pairs that are alike.
func TestSpots(t *testing.T) {
	p := demo()
	spots, err := p.Spots(345)
	if err != nil {
		t.Fatal(err)
	}
	by := map[[2]int]Spot{}
	for i, s := range spots {
		if i > 0 && s.Ripple < spots[i-1].Ripple-1e-6 {
			t.Fatal("not sorted")
		}
		d := p.Driver
		d.At = s.At
		if err := p.Panel.Fits(append(p.Others, d)...); err != nil {
			t.Errorf("%v: %v", s.At, err)
		}
		by[[2]int{int(math.Round(float64(s.At.X) * 1000)), int(math.Round(float64(s.At.Y) * 1000))}] = s
	}
	for at, s := range by {
		if other, ok := by[[2]int{220 - at[0], at[1]}]; !ok || !(math.Abs(other.Ripple-s.Ripple) <= 1e-9) {
			t.Errorf("%v: %v, mirrored %v", at, s, other)
		}
	}
	best := spots[0]
	d := p.Driver
	d.At = best.At
	x := diffraction(t, p.Panel, d, 345)
	var levels []float64
	mean := 0.0
	n := 2 + int(24*math.Log2(16000./1700))
	for i := range n {
		l := db(toward(t, x, 1700*math.Pow(16000./1700, float64(i)/float64(n-1)), r3.Vec{Z: 1}))
		levels, mean = append(levels, l), mean+l/float64(n)
	}
	square := 0.0
	for _, l := range levels {
		square += (l - mean) * (l - mean) / float64(n)
	}
	if got := math.Sqrt(square); !(math.Abs(got-best.Ripple) <= 1e-9) {
		t.Errorf("ripple %v, from its curve %v", best.Ripple, got)
	}
	square1 := Placement{Panel: Panel{outline.Rectangle(0.3, 0.3), 0.3}, From: at(0.03, 0.03), To: at(0.27, 0.27), Step: 0.03, Lo: 500, Hi: 8000}
	spots, err = square1.Spots(345)
	if err != nil {
		t.Fatal(err)
	}
	if worst := spots[len(spots)-1].At; !(distance(worst, at(0.15, 0.15)) <= 1e-9) {
		t.Errorf("worst at %v", worst)
	}
}

func TestPanelRefuses(t *testing.T) {
	h, nan := make([]complex128, 1), math.NaN()
	panel := Panel{outline.Rectangle(0.22, 0.6), 0.35}
	middle := Driver{At: at(0.11, 0.3)}
	crossed := Panel{outline.Outline{{}, {X: 1, Y: 1}, {X: 1}, {Y: 1}}, 1}
	x := diffraction(t, panel, middle, 345)
	place := func(change func(*Placement)) error {
		p := demo()
		change(&p)
		_, err := p.Spots(345)
		return err
	}
	far := func(p Panel, d Driver, c units.Velocity) error { _, err := p.Diffraction(d, c); return err }
	for want, err := range map[string]error{
		"depth 0 mm: must be positive":                          Panel{panel.Edge, 0}.Check(),
		"must not touch or cross":                               crossed.Check(),
		"driver: place (300 mm, 300 mm)":                        far(panel, Driver{At: at(0.3, 0.3)}, 345),
		"driver: outer diameter 240 mm: must be at most 220 mm": far(panel, Driver{At: at(0.11, 0.3), Outer: 0.24}, 345),
		"driver: radius -10 mm":                                 far(panel, Driver{At: at(0.11, 0.3), Radius: -0.01}, 345),
		"driver: x NaN m":                                       far(panel, Driver{At: at(nan, 0.3)}, 345),
		"speed of sound 0 m/s":                                  far(panel, middle, 0),
		"driver 2: distance from driver 1 100 mm: must be at least 135 mm": panel.Fits(
			Driver{At: at(0.11, 0.3), Outer: 0.172}, Driver{At: at(0.11, 0.4), Outer: 0.098}),
		"behind the panel": x.Toward(h, []float64{1}, r3.Vec{Z: -1}),
		"direction 40.0° from the axis: must be within 35°": x.Toward(h, []float64{1}, angled(40, 0)),
		"direction {0 0 0}":         x.Toward(h, []float64{1}, r3.Vec{}),
		"frequency 1 0 Hz":          x.Toward(h, []float64{0}, r3.Vec{Z: 1}),
		"frequency 1 NaN Hz":        x.Toward(h, []float64{nan}, r3.Vec{Z: 1}),
		"listener: distance 100 mm": x.At(h, []float64{1}, r3.Vec{Z: 0.1}),
		"listener {0 1 -1}":         x.At(h, []float64{1}, r3.Vec{Y: 1, Z: -1}),
		"direction 30.5° from the axis: must be within 30°": panel.EdgeSum(h, []float64{1}, middle, 345, angled(30.5, 0), 72),
		"rays 3":   panel.EdgeSum(h, []float64{1}, middle, 345, r3.Vec{Z: 1}, 3),
		"step 0 m": place(func(p *Placement) { p.Step = 0 }),
		"upper frequency 1 kHz: must be above the lower one": place(func(p *Placement) { p.Hi = 1000 }),
		"driver of 98 mm: must fit somewhere":                place(func(p *Placement) { p.From, p.To = at(0.11, 0.3), at(0.11, 0.3) }),
		"places":                                             place(func(p *Placement) { p.Step = 1e-5 }),
		"clearance -1 m":                                     place(func(p *Placement) { p.Clear = -1 }),
		"direction 45.0° from the axis":                      place(func(p *Placement) { p.Toward = []r3.Vec{{X: 1, Z: 1}} }),
	} {
		var limit *units.RangeError
		if !errors.As(err, &limit) || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("no panic for slices of different lengths")
		}
	}()
	x.Toward(h, []float64{1, 2}, r3.Vec{Z: 1})
}
