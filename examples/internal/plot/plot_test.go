package plot

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

func grid() []float64 {
	x := make([]float64, 61)
	for i := range x {
		x[i] = 20 * math.Pow(10, float64(i)/20)
	}
	return x
}

func each(x []float64, f func(float64) float64) []float64 {
	y := make([]float64, len(x))
	for i := range x {
		y[i] = f(x[i])
	}
	return y
}

// A drawing is what an SVG holds.
type drawing struct {
	texts []string
	paths map[string][][][2]float64 // by colour: pieces of points, y upwards
}

var number = regexp.MustCompile(`-?[0-9.]+(e-?[0-9]+)?`)

// read parses an SVG as XML, and the straight lines in it.
func read(tb testing.TB, svg []byte) drawing {
	tb.Helper()
	d := drawing{paths: map[string][][][2]float64{}}
	dec := xml.NewDecoder(bytes.NewReader(svg))
	depth, inText := 0, false
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			tb.Fatalf("no XML: %v", err)
		}
		switch x := token.(type) {
		case xml.StartElement:
			depth++
			inText = x.Name.Local == "text"
			if x.Name.Local != "path" {
				continue
			}
			var data, colour string
			for _, a := range x.Attr {
				switch a.Name.Local {
				case "d":
					data = a.Value
				case "style":
					_, rest, _ := strings.Cut(a.Value, "stroke:#")
					colour = strings.ToLower("#" + rest[:min(6, len(rest))])
				}
			}
			var points [][2]float64
			n := number.FindAllString(data, -1)
			for i := 0; i+1 < len(n); i += 2 {
				px, _ := strconv.ParseFloat(n[i], 64)
				py, _ := strconv.ParseFloat(n[i+1], 64)
				points = append(points, [2]float64{px, py})
			}
			d.paths[colour] = append(d.paths[colour], points)
		case xml.EndElement:
			depth--
			inText = false
		case xml.CharData:
			if s := strings.TrimSpace(string(x)); inText && s != "" {
				d.texts = append(d.texts, s)
			}
		}
	}
	if depth != 0 {
		tb.Fatalf("%d elements stay open", depth)
	}
	return d
}

func drawn(tb testing.TB, f Figure) drawing {
	tb.Helper()
	svg, err := f.SVG()
	if err != nil {
		tb.Fatal(err)
	}
	for _, w := range []string{"NaN", "Inf"} {
		if bytes.Contains(svg, []byte(w)) {
			tb.Fatalf("%s in the drawing", w)
		}
	}
	again, err := f.SVG()
	if err != nil || !bytes.Equal(svg, again) {
		tb.Fatalf("the second drawing differs (%v)", err)
	}
	return read(tb, svg)
}

func colour(n int) string { return strings.ToLower(StyleOf(n).Colour) }

func TestLabels(t *testing.T) {
	x := grid()
	d := drawn(t, Figure{X: x, Unit: "level, dB", Lo: 40, Hi: 90, Step: 10, Lines: []Line{{"a", each(x, func(float64) float64 { return 80 })}}})
	for _, w := range []string{
		"frequency, Hz", "level, dB", "20", "50", "100", "200", "500", "1k", "2k", "5k", "10k", "20k", "40", "60", "70", "80", "90",
	} {
		if !slices.Contains(d.texts, w) {
			t.Errorf("%q is missing in %q", w, d.texts)
		}
	}
	if len(d.texts) != 2+10+6 {
		t.Errorf("more labels than wanted: %q", d.texts)
	}
}

func TestTicks(t *testing.T) {
	var labels []string
	n := 0
	for _, tick := range (decades{}).Ticks(20, 20000) {
		n++
		if tick.Label != "" {
			labels = append(labels, tick.Label)
		}
	}
	// 20 to 90, 100 to 900, 1k to 9k, 10k and 20k.
	if got, want := strings.Join(labels, " "), "20 50 100 200 500 1k 2k 5k 10k 20k"; got != want || n != 8+9+9+2 {
		t.Errorf("%d ticks, labels %q, want %q", n, got, want)
	}
	labels = nil
	for _, tick := range every(30).Ticks(-90, 90) {
		labels = append(labels, tick.Label)
	}
	if got, want := strings.Join(labels, " "), "-90 -60 -30 0 30 60 90"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := every(0.1).Ticks(0, 0.3); len(got) != 4 || got[3].Label != "0.3" {
		t.Errorf("tenths: %v", got)
	}
}

// A line that leaves the figure ends on its frame, at the place where it crosses,
// and one without a value there is in two pieces.
func TestClipping(t *testing.T) {
	x := grid()
	frame := Figure{X: x, Unit: "y, 1", Lo: 0, Hi: 10, Step: 5}
	decade := func(f float64) float64 { return math.Log10(f / 20) }
	// The second line runs from corner to corner and shows where the frame is.
	corner := Line{"b", each(x, func(f float64) float64 { return 10 * min(1, decade(f)/3) })}
	var bottom, top [2]float64
	with := func(f func(float64) float64) [][][2]float64 {
		t.Helper()
		frame.Lines = []Line{{"a", each(x, f)}, corner}
		paths := drawn(t, frame).paths
		diagonal := paths[colour(1)]
		if len(diagonal) != 1 || len(diagonal[0]) != len(x) {
			t.Fatalf("from corner to corner: %d pieces", len(diagonal))
		}
		bottom, top = diagonal[0][0], diagonal[0][len(x)-1]
		return paths[colour(0)]
	}
	scale := func(decades, y float64) [2]float64 {
		return [2]float64{bottom[0] + (top[0]-bottom[0])*decades/3, bottom[1] + (top[1]-bottom[1])*y/10}
	}
	at := func(what string, got, want [2]float64) {
		t.Helper()
		if math.Hypot(got[0]-want[0], got[1]-want[1]) > 0.02 { // points of a drawing, as rounded in the file
			t.Errorf("%s: at %v, want %v", what, got, want)
		}
	}

	// From −10.2 to 20.1: in at y = 0, out at y = 10, neither on the grid.
	through := with(func(f float64) float64 { return 10.1*decade(f) - 10.2 })
	if len(through) != 1 {
		t.Fatalf("through the figure: %d pieces", len(through))
	}
	at("enters", through[0][0], scale(10.2/10.1, 0))
	at("leaves", through[0][len(through[0])-1], scale(20.2/10.1, 10))

	for _, p := range slices.Concat(with(func(f float64) float64 { return 5 + 100*math.Sin(5*decade(f)) })...) {
		if p[1] < bottom[1]-0.02 || p[1] > top[1]+0.02 || p[0] < bottom[0]-0.02 || p[0] > top[0]+0.02 {
			t.Fatalf("point %v is outside", p)
		}
	}

	// Minus infinity is below every frame; the point beside it is drawn down to it.
	null := with(func(f float64) float64 {
		if f == x[30] {
			return math.Inf(-1)
		}
		return 5
	})
	if len(null) != 2 {
		t.Errorf("a null: %d pieces, want 2", len(null))
	}

	gaps := with(func(f float64) float64 {
		if f == x[20] || f == x[40] || f == x[41] {
			return math.NaN()
		}
		return 5
	})
	if len(gaps) != 3 || len(gaps[0]) != 20 || len(gaps[1]) != 19 || len(gaps[2]) != 19 {
		t.Errorf("gaps: %d pieces", len(gaps))
	}
	if out := with(func(float64) float64 { return 11 }); len(out) != 0 {
		t.Errorf("outside: %d pieces", len(out))
	}
	if none := with(func(float64) float64 { return math.NaN() }); len(none) != 0 {
		t.Errorf("no values: %d pieces", len(none))
	}
}

// A band is cut off at the frame and in two pieces where one of its edges has no value.
func TestBands(t *testing.T) {
	x := grid()
	flat := func(y float64) []float64 { return each(x, func(float64) float64 { return y }) }
	f := Figure{X: x, Unit: "y, 1", Lo: 0, Hi: 10, Step: 5, Lines: []Line{{"corner", each(x, func(f float64) float64 { return 10 * min(1, math.Log10(f/20)/3) })}}}
	before := drawn(t, f)
	lo, hi := flat(5), flat(12)
	hi[20] = math.NaN()
	lo[len(x)-2] = math.NaN() // leaves one point alone: no ground
	f.Bands = []Band{{"band", lo, hi}}
	after := drawn(t, f)
	pieces := after.paths["#"][len(before.paths["#"]):]
	if len(pieces) != 2 {
		t.Fatalf("%d pieces, want 2", len(pieces))
	}
	frame := before.paths[colour(0)][0]
	bottom, top := frame[0], frame[len(x)-1]
	for i, want := range []int{2 * 20, 2 * (len(x) - 2 - 21)} {
		corners := map[[2]float64]bool{}
		for _, p := range pieces[i] {
			corners[p] = true
			if middle := (bottom[1] + top[1]) / 2; math.Abs(p[1]-middle) > 0.02 && math.Abs(p[1]-top[1]) > 0.02 {
				t.Fatalf("piece %d: point %v is neither on the edge nor on the frame", i, p)
			}
		}
		if len(corners) != want {
			t.Errorf("piece %d: %d corners, want %d", i, len(corners), want)
		}
	}
}

// Lines differ in dashes as well as in colour, from each other and from limits.
func TestStyles(t *testing.T) {
	words, colours := []string{MarkStyle.Words}, []string{MarkStyle.Colour}
	for i := range styles {
		words, colours = append(words, StyleOf(i).Words), append(colours, StyleOf(i).Colour)
	}
	for _, list := range [][]string{words, colours} {
		slices.Sort(list)
		if len(slices.Compact(list)) != 1+len(styles) {
			t.Errorf("twice the same: %q", list)
		}
	}
	x := grid()
	f := Figure{X: x, Unit: "y, 1", Lo: 0, Hi: 10, Step: 5, Marks: []Mark{{"limit", 3}}}
	for i := range styles {
		f.Lines = append(f.Lines, Line{"a", each(x, func(float64) float64 { return 4 + float64(i)/2 })})
	}
	d := drawn(t, f)
	for _, c := range colours {
		if len(d.paths[strings.ToLower(c)]) == 0 {
			t.Errorf("no line in %s", c)
		}
	}
}
