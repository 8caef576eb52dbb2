package crossover

import (
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/units"
)

const degree = units.Degree

func TestListeningWindow(t *testing.T) {
	w := ListeningWindow()
	if err := w.Check(); err != nil {
		t.Fatal(err)
	}
	points, weights := w.Points(2)
	if len(points) != 7 || points[0] != (r3.Vec{Z: 2}) {
		t.Fatalf("%d points, the first %v", len(points), points[0])
	}
	sum := 0.0
	mean := r3.Vec{}
	for i, p := range points {
		if !(math.Abs(r3.Norm(p)-2) < 1e-15) {
			t.Errorf("point %d: %g m away", i, r3.Norm(p))
		}
		sum += weights[i]
		mean = r3.Add(mean, r3.Scale(weights[i], p))
	}
	// As much left as right, and up as down.
	if sum != 12 || !(math.Abs(mean.X) < 1e-15) || !(math.Abs(mean.Y) < 1e-15) {
		t.Errorf("sum of the weights %g, mean %v", sum, mean)
	}
}

// The angles are those between the vectors.
func TestToward(t *testing.T) {
	for _, c := range []struct {
		a    Angle
		want r3.Vec
	}{
		{Angle{}, r3.Vec{Z: 1}},
		{Angle{Horizontal: 90 * degree}, r3.Vec{X: 1}},
		{Angle{Vertical: 90 * degree}, r3.Vec{Y: 1}},
		{Angle{Horizontal: 180 * degree}, r3.Vec{Z: -1}},
		{Angle{Horizontal: -30 * degree}, r3.Vec{X: -0.5, Z: math.Sqrt(3) / 2}},
		{Angle{Horizontal: 45 * degree, Vertical: 30 * degree}, r3.Vec{X: math.Sqrt(6) / 4, Y: 0.5, Z: math.Sqrt(6) / 4}},
	} {
		if got := c.a.Toward(); !(r3.Norm(r3.Sub(got, c.want)) < 1e-15) {
			t.Errorf("%+v: %v, want %v", c.a, got, c.want)
		}
	}
}

func TestPowerAverage(t *testing.T) {
	dst := []float64{7, 7}
	PowerAverage(dst, [][]complex128{{3 + 4i, 1}, {0, 2i}, {9, 9}}, []float64{1, 3, 0})
	if dst[0] != 25./4 || dst[1] != (1+3*4)/4. {
		t.Errorf("means %v", dst)
	}
	// Through a field: a source that is equal all around has the level of one point.
	points, weights := ListeningWindow().Points(3)
	hz := grid(10, 100, 10000)
	f := must[*Field](t)(Sample([]Way{{Radiator: ideal{8, 1}}}, hz, sound, points...))
	var res Result
	f.Evaluate(&res, nil)
	mean := make([]float64, len(hz))
	PowerAverage(mean, res.Sum, weights)
	for i := range hz {
		if want := math.Pow(cmplx.Abs(res.Sum[0][i]), 2); !(math.Abs(mean[i]/want-1) < 1e-12) {
			t.Errorf("%g Hz: %g, want %g", hz[i], mean[i], want)
		}
	}
	if allocs := testing.AllocsPerRun(10, func() { PowerAverage(mean, res.Sum, weights) }); allocs != 0 {
		t.Errorf("%g allocations", allocs)
	}
	panics(t, "weights", func() { PowerAverage(mean, res.Sum, weights[1:]) })
	panics(t, "room", func() { PowerAverage(mean[1:], res.Sum, weights) })
}

// Curves measured on axis and 15° aside give these angles of the window only, unless
// a piston stands in for the others.
func TestCovered(t *testing.T) {
	curves := Curves{Hz: []float64{1000}, Z: []complex128{8}, Directions: []Direction{
		{r3.Vec{Z: 1}, []complex128{1}},
		{Angle{Horizontal: 15 * degree}.Toward(), []complex128{1}},
		{Angle{Horizontal: -15 * degree}.Toward(), []complex128{1}},
	}}
	all := ListeningWindow()
	for _, c := range []struct {
		name string
		ways []Way
		want []int // of the window
	}{
		{"a model", []Way{{Radiator: ideal{8, 1}}}, []int{0, 1, 2, 3, 4, 5, 6}},
		{"curves", []Way{{Radiator: ideal{8, 1}}, {Radiator: curves}}, []int{0, 3, 4}},
		{"curves as a second driver", []Way{{Radiator: ideal{8, 1}, More: []Driver{{Radiator: curves}}}}, []int{0, 3, 4}},
		// From 35 cm above, all directions of a point 2 m away lie 10° lower.
		{"curves from above", []Way{{Radiator: curves, Position: r3.Vec{Y: 0.35}}}, []int{1}},
	} {
		got := all.Covered(c.ways, 2)
		var want Window
		for _, i := range c.want {
			want = append(want, all[i])
		}
		if len(got) != len(want) {
			t.Errorf("%s: %v, want %v", c.name, got, want)
			continue
		}
		for i := range got {
			if got[i] != want[i] {
				t.Errorf("%s: %v, want %v", c.name, got[i], want[i])
			}
		}
	}
	curves.Radius, curves.SpeedOfSound = 0.01, 344
	if got := all.Covered([]Way{{Radiator: curves}}, 2); len(got) != 7 {
		t.Errorf("with a piston: %v", got)
	}
}

func TestWindowRefuses(t *testing.T) {
	nan := math.NaN()
	for want, w := range map[string]Window{
		"sum of the weights 0":                  nil,
		"direction 1: horizontal angle":         {{190 * degree, 0, 1}},
		"direction 2: vertical angle":           {{0, 0, 1}, {0, -91 * degree, 1}},
		"direction 1: vertical angle NaN":       {{0, units.Angle(nan), 1}},
		"direction 1: weight -1":                {{0, 0, -1}},
		"direction 1: weight NaN":               {{0, 0, nan}},
		"crossover: window: sum of the weights": {{0, 0, 0}, {0, 1, 0}},
	} {
		if err := w.Check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v: want %q, got %v", w, want, err)
		}
	}
}
