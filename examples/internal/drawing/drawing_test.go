package drawing

import (
	"encoding/xml"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"example.com/halfspace/box/cabinet"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

func stack() cabinet.Stack {
	return cabinet.Stack{
		Profile: outline.Outline{{}, {X: 0.36}, {X: 0.32, Y: 0.6, Round: 0.06}, {Y: 0.6, Round: 0.02}},
		Wall:    0.036, Layers: 13, Thickness: 0.0146,
	}
}

func plan(t *testing.T, s cabinet.Stack) (cabinet.Plan, cabinet.Sheet) {
	t.Helper()
	sheet := cabinet.Sheet{Length: 2.5, Width: 1.25, Trim: 0.005}
	p, err := cabinet.Job{Stack: s, Cabinets: 2, Sheet: sheet}.Plan()
	if err != nil {
		t.Fatal(err)
	}
	return p, sheet
}

// sound fails for what is no XML, or holds a number that is none.
func sound(t *testing.T, svg string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		_, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("%v in %.200s", err, svg)
		}
	}
	if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
		t.Errorf("a number is none: %.300s", svg)
	}
}

func TestPicturesSayWhatThereIs(t *testing.T) {
	s := stack()
	p, sheet := plan(t, s)
	views, err := Views(s, []Hole{{"woofer", 0.11, 0.362, 0.172, 0.146}})
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		svg   string
		words []string
	}{
		"views":     {views, []string{">360<", ">600<", ">wall 36<", ">219<", "corner 3: R 60", "woofer", "⌀ 146", "13 layers of 14.6"}},
		"pattern 1": {Pattern(s, p.Layers, 0), []string{"odd layers", ">A<", ">D<"}},
		"pattern 2": {Pattern(s, p.Layers, 1), []string{"even layers", ">E<", ">G<"}},
		"pieces":    {Pieces(s, p.Layers, p.Lots[0].Pieces), []string{"26 × D", "4 × end cap", "ends 0° and 3.814° off square", ">564<"}},
		"sheets":    {Sheets(sheet, p.Lots[0]), []string{"sheet 1 of ", "grain this way", "end cap 600", "D 564"}},
	} {
		sound(t, c.svg)
		for _, w := range c.words {
			if !strings.Contains(c.svg, w) {
				t.Errorf("%s: no %q", name, w)
			}
		}
	}
	pieces := 0
	for _, x := range p.Lots[0].Pieces {
		pieces += x.Count
	}
	if n := strings.Count(Sheets(sheet, p.Lots[0]), `fill="#f3e3c3"`); n != pieces {
		t.Errorf("%d pieces drawn, want %d", n, pieces)
	}
	s.Wall = 0.3
	if _, err := Views(s, nil); err == nil {
		t.Error("a wall that closes the inside must be refused")
	}
}

// A path of arcs and lines, read back from its text, encloses the area of the outline.
func TestPathKeepsArea(t *testing.T) {
	for _, o := range []outline.Outline{stack().Profile, outline.Circle(0.15), {{}, {X: 0.3, Rise: 0.04}, {X: 0.3, Y: 0.5, Rise: -0.03}, {Y: 0.5}}} {
		c := newCanvas(10)
		text := c.path(o, still)
		var x, y, area float64
		for _, m := range regexp.MustCompile(`([MLAZ])([^MLAZ]*)`).FindAllStringSubmatch(text, -1) {
			var n []float64
			for _, w := range strings.Fields(m[2]) {
				v, err := strconv.ParseFloat(w, 64)
				if err != nil {
					t.Fatal(err)
				}
				n = append(n, v)
			}
			if m[1] == "Z" {
				continue
			}
			u, v := n[len(n)-2], n[len(n)-1]
			if m[1] != "M" {
				area += (x*v - u*y) / 2
			}
			if m[1] == "A" {
				// The segment between arc and chord; clockwise on the page for flag 1,
				// where y points down and the area above counts positive.
				chord := math.Hypot(u-x, v-y)
				sweep := 2 * math.Asin(min(1, chord/2/n[0]))
				if n[3] == 1 {
					sweep = 2*math.Pi - sweep
				}
				segment := n[0] * n[0] / 2 * (sweep - math.Sin(sweep))
				if n[4] == 1 {
					area += segment
				} else {
					area -= segment
				}
			}
			x, y = u, v
		}
		want := o.Area().In(units.SquareMillimetre)
		if got := math.Abs(area); !(math.Abs(got-want) < 1e-4*want) {
			t.Errorf("%s encloses %.1f mm², the outline %.1f", text, got, want)
		}
	}
}

// Templates are in true size: a page is as wide in millimetres as its view box, the bar
// is 100 of them, and every corner of the piece lies on some page.
func TestTemplatesInTrueSize(t *testing.T) {
	s := stack()
	p, _ := plan(t, s)
	number := `(-?[0-9.]+)`
	head := regexp.MustCompile(`width="` + number + `mm" height="` + number + `mm" viewBox="` + number + ` ` + number + ` ` + number + ` ` + number + `"`)
	for _, part := range p.Layers.Parts {
		pages := Template(part, p.Layers)
		for _, svg := range pages {
			sound(t, svg)
			m := head.FindStringSubmatch(svg)
			if m == nil || m[1] != m[5] || m[2] != m[6] {
				t.Fatalf("not in true size: %.200s", svg)
			}
			if !strings.Contains(svg, "h100m-100") {
				t.Error("no bar of 100 mm")
			}
		}
		m := regexp.MustCompile(`<path d="(M[^"]*Z)"`).FindStringSubmatch(pages[0])
		for _, c := range regexp.MustCompile(`[ML]`+number+` `+number).FindAllStringSubmatch(m[1], -1) {
			x, _ := strconv.ParseFloat(c[1], 64)
			y, _ := strconv.ParseFloat(c[2], 64)
			on := false
			for _, svg := range pages {
				h := head.FindStringSubmatch(svg)
				left, _ := strconv.ParseFloat(h[3], 64)
				top, _ := strconv.ParseFloat(h[4], 64)
				on = on || x > left && x < left+pageWidth && y > top && y < top+pageHeight-footer
			}
			if !on {
				t.Errorf("piece %s: (%g, %g) lies on no page", part.Letter, x, y)
			}
		}
	}
	all := Templates("Two & more", p.Layers)
	if !strings.Contains(all, "Two &amp; more") || strings.Count(all, "<svg ") < len(p.Layers.Parts) {
		t.Errorf("got %.300s", all)
	}
}
