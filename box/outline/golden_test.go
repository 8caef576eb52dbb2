package outline_test

import (
	"strconv"
	"strings"
	"testing"

	. "example.com/halfspace/box/outline"
	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

const mm = units.Millimetre

func TestGolden(t *testing.T) {
	golden.Run(t, "testdata/outline.csv", func(t *testing.T, r golden.Row) {
		o := corners(t, r.Word(t, "points"))
		if r.Has("second rise") {
			o[1].Rise = units.Length(r.Num(t, "second rise", "mm")) * mm
		}
		if err := o.Check(); err != nil {
			t.Fatal(err)
		}
		switch r.Calculation {
		case "area":
			r.Check(t, o.Area().In(units.SquareMillimetre))
		case "perimeter":
			r.Check(t, o.Perimeter().In(mm))
		case "centroid y":
			r.Check(t, o.Centroid().Y.In(mm))
		default:
			r.Unknown(t)
		}
	})
}

// corners reads "x y,x y mm".
func corners(t *testing.T, text string) Outline {
	t.Helper()
	text, ok := strings.CutSuffix(text, " mm")
	if !ok {
		t.Fatalf("%q: want mm", text)
	}
	var o Outline
	for pair := range strings.SplitSeq(text, ",") {
		x, y, _ := strings.Cut(pair, " ")
		a, err := strconv.ParseFloat(x, 64)
		b, err2 := strconv.ParseFloat(y, 64)
		if err != nil || err2 != nil {
			t.Fatalf("%q: want x y", pair)
		}
		o = append(o, Corner{X: units.Length(a) * mm, Y: units.Length(b) * mm})
	}
	return o
}
