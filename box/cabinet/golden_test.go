package cabinet_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	. "example.com/halfspace/box/cabinet"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

const mm = units.Millimetre

func TestGolden(t *testing.T) {
	golden.Run(t, "testdata/cabinet.csv", func(t *testing.T, r golden.Row) {
		length := func(key string) units.Length { return units.Length(r.Num(t, key, "mm")) * mm }
		switch r.Calculation {
		case "rigid box mode":
			var edges [3]units.Length
			var n [3]int
			for i, word := range strings.Fields(r.Word(t, "n")) {
				edges[i] = units.Length(r.Num(t, "l"+strconv.Itoa(i+1), "m"))
				n[i], _ = strconv.Atoi(word)
			}
			modes, err := Modes(edges, units.Velocity(r.Num(t, "c", "m/s")), 800)
			if err != nil {
				t.Fatal(err)
			}
			found := math.NaN()
			for _, m := range modes {
				if m.N == n {
					found = float64(m.Frequency)
				}
			}
			r.Check(t, found)
		case "pieces in a strip":
			l, err := Sheet{Length: length("strip"), Width: 1, Kerf: length("kerf")}.
				Cut([]Piece{{Name: "slat", Count: 20, Length: length("piece"), Width: 0.03}})
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, float64(len(l.Strips[0].Cuts)))
		case "sheets by area":
			sheet, list := rolls(t, r)
			var total units.Length
			for _, p := range list {
				total += units.Length(p.Count) * p.Length
			}
			n, err := SheetsByArea(units.Area(total), sheet)
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, float64(n))
		case "cutting stock":
			sheet, list := rolls(t, r)
			l, err := sheet.Cut(list)
			if err != nil {
				t.Fatal(err)
			}
			verifyCounts(t, list, l)
			r.Check(t, float64(l.Sheets))
		case "cutting stock, relaxed":
			sheet, list := rolls(t, r)
			b, err := sheet.Bound(list)
			if err != nil {
				t.Fatal(err)
			}
			r.Check(t, b.Relaxed)
		case "guillotine":
			sheet := Sheet{Length: length("length"), Width: length("width"), Kerf: 1e-12}
			var list []Piece
			var value []float64
			for _, n := range numbers(t, r.Word(t, "pieces")) {
				p := Piece{Name: "piece", Count: 10_000, Length: units.Length(n[0]) * mm, Width: units.Length(n[1]) * mm}
				worth := n[0] * n[1] // the area, unless a value is given
				if len(n) == 4 {
					worth, p.Count = n[2], int(n[3])
				}
				list, value = append(list, p), append(value, worth)
			}
			y, err := sheet.Yield(list, value)
			if err != nil {
				t.Fatal(err)
			}
			sum := 0.0
			for i, n := range y.Counts {
				sum += float64(n) * value[i]
				if n > list[i].Count {
					t.Errorf("%d of piece %d", n, i+1)
				}
			}
			close(t, "value of the pieces", sum, y.Value)
			r.Check(t, y.Value)
		case "stack volume":
			const wall = 20 * mm
			outer, err := polygon(t, r.Word(t, "inside")).Offset(-wall)
			if err != nil {
				t.Fatal(err)
			}
			s := Stack{Profile: outer, Wall: wall, Layers: int(r.Num(t, "layers", "1")), Thickness: length("thickness")}
			r.Check(t, s.Gross().In(units.Litre))
		case "thinnest plywood", "thickest plywood":
			thin, thick, err := PlywoodThickness(length("nominal"))
			if err != nil {
				t.Fatal(err)
			}
			if r.Calculation == "thickest plywood" {
				thin = thick
			}
			r.Check(t, thin.In(mm))
		case "frustum":
			r.Check(t, float64(Frustum(length("d1"), length("d2"), length("height"))))
		case "regular ring mitre":
			s := stack()
			s.Profile = regular(int(r.Num(t, "sides", "1")))
			for _, p := range ring(t, s) {
				r.Check(t, p.Start.In(units.Degree))
				r.Check(t, p.End.In(units.Degree))
			}
		case "long point less short point":
			s := stack()
			s.Wall = length("wall")
			for _, p := range ring(t, s) {
				r.Check(t, (p.Outside - p.Inside).In(mm))
			}
		default:
			r.Unknown(t)
		}
	})
}

// numbers reads "45 97,36 610 mm": lists of numbers.
func numbers(t *testing.T, text string) [][]float64 {
	t.Helper()
	var lists [][]float64
	for part := range strings.SplitSeq(strings.TrimSuffix(text, " mm"), ",") {
		var list []float64
		for _, word := range strings.Fields(part) {
			x, err := strconv.ParseFloat(word, 64)
			if err != nil {
				t.Fatal(err)
			}
			list = append(list, x)
		}
		lists = append(lists, list)
	}
	return lists
}

// rolls reads a sheet and pieces as wide as it, without kerf.
func rolls(t *testing.T, r golden.Row) (Sheet, []Piece) {
	t.Helper()
	sheet := Sheet{Length: units.Length(r.Num(t, "length", "mm")) * mm, Width: 1, Kerf: 1e-12}
	var list []Piece
	for _, n := range numbers(t, r.Word(t, "cuts")) {
		list = append(list, Piece{Name: "roll", Count: int(n[1]), Length: units.Length(n[0]) * mm, Width: 1})
	}
	return sheet, list
}

// stack is a cabinet of 600 mm height, 350 mm depth and about 220 mm width.
func stack() Stack {
	return Stack{Profile: outline.Rectangle(350*mm, 600*mm), Wall: 38 * mm, Layers: 13, Thickness: 14.6 * mm, Density: 680}
}

// ring returns the ring pieces of a cut list, which ends with the caps.
func ring(t *testing.T, s Stack) []Piece {
	t.Helper()
	pieces, err := s.Pieces()
	if err != nil {
		t.Fatal(err)
	}
	return pieces[:len(pieces)-1]
}

func regular(n int) outline.Outline {
	o := make(outline.Outline, n)
	for i := range o {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		o[i] = outline.Corner{X: units.Length(0.3 * cos), Y: units.Length(0.3 * sin)}
	}
	return o
}

// polygon reads "x y,x y mm".
func polygon(t *testing.T, text string) outline.Outline {
	t.Helper()
	var o outline.Outline
	for pair := range strings.SplitSeq(strings.TrimSuffix(text, " mm"), ",") {
		x, y, _ := strings.Cut(pair, " ")
		a, err := strconv.ParseFloat(x, 64)
		b, err2 := strconv.ParseFloat(y, 64)
		if err != nil || err2 != nil {
			t.Fatalf("%q: want x y", pair)
		}
		o = append(o, outline.Corner{X: units.Length(a) * mm, Y: units.Length(b) * mm})
	}
	return o
}
