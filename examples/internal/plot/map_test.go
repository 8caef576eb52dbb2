package plot

import (
	"bytes"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/plot/vg"
)

func hill() Map {
	m := Map{Across: "x, mm", Up: "y, mm", StepX: 50, StepY: 50, Unit: "ripple, dB", Levels: []float64{-6, -3, -1}}
	for i := range 41 {
		m.X = append(m.X, float64(i)*5)
		m.Y = append(m.Y, float64(i)*5)
	}
	for _, y := range m.Y {
		var row []float64
		for _, x := range m.X {
			row = append(row, -((x-100)*(x-100)+(y-100)*(y-100))/1000)
		}
		m.Z = append(m.Z, row)
	}
	return m
}

// The lines of a round hill are circles of the right size, each level is written on
// its line and in the key, and the bands tell high from low.
func TestMap(t *testing.T) {
	m := hill()
	svg, err := m.SVG()
	if err != nil {
		t.Fatal(err)
	}
	again, err := m.SVG()
	if err != nil || !bytes.Equal(svg, again) {
		t.Fatalf("the second drawing differs (%v)", err)
	}
	for _, w := range []string{"NaN", "Inf"} {
		if bytes.Contains(svg, []byte(w)) {
			t.Errorf("%s in the drawing", w)
		}
	}
	d := read(t, svg)
	for _, w := range []string{"x, mm", "y, mm", "ripple, dB", "0", "200"} {
		if !slices.Contains(d.texts, w) {
			t.Errorf("%q is missing in %q", w, d.texts)
		}
	}
	for _, w := range []string{"−6", "−3", "−1"} {
		n := 0
		for _, text := range d.texts {
			if text == w {
				n++
			}
		}
		if n < 2 {
			t.Errorf("%q stands %d times, want it in the key and on the line", w, n)
		}
	}
	same := func(v float64) vg.Length { return vg.Length(v) }
	for _, l := range m.Levels {
		segments := m.line(l, same, same)
		if len(segments) < 20 {
			t.Fatalf("%v: %d pieces", l, len(segments))
		}
		for _, s := range segments {
			for _, p := range s {
				if r := math.Hypot(float64(p.X)-100, float64(p.Y)-100); !(math.Abs(r-math.Sqrt(-1000*l)) <= 0.5) {
					t.Fatalf("%v: a point at %v from the top, want %v", l, r, math.Sqrt(-1000*l))
				}
			}
		}
	}
	if a, b := m.band(-7), m.band(0); a != 0 || b != 3 || m.band(math.NaN()) != -1 || m.band(-3) != 2 {
		t.Errorf("bands %d, %d", a, b)
	}
	if Shade(0, 4) == Shade(1, 4) || Shade(0, 4).G >= Shade(3, 4).G {
		t.Error("lower bands must be darker")
	}
}

// Holes stay white, and a map that is not one is refused.
func TestMapHoles(t *testing.T) {
	m := hill()
	for i := range m.X {
		m.Z[20][i] = math.NaN()
	}
	m.Marks, m.Square = []Spot{{"now", 50, 50}}, true
	svg, err := m.SVG()
	if err != nil || bytes.Contains(svg, []byte("NaN")) {
		t.Errorf("%v", err)
	}
	if d := read(t, svg); !slices.Contains(d.texts, "now") {
		t.Errorf("the mark is missing in %q", d.texts)
	}
	m.Z = m.Z[1:]
	if _, err := m.SVG(); err == nil {
		t.Error("rows are missing and nobody says so")
	}
	m = hill()
	m.Z[3] = m.Z[3][1:]
	if _, err := m.SVG(); err == nil {
		t.Error("values are missing and nobody says so")
	}
}
