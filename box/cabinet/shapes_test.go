package cabinet_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	. "example.com/halfspace/box/cabinet"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
	"gonum.org/v1/gonum/spatial/r3"
)

// The air, the wood and their centre by throwing points into the box around the
// cabinet: each must agree within four standard deviations of its count.
func TestVolumesAgainstMonteCarlo(t *testing.T) {
	const n = 20_000
	for name, o := range profiles() {
		s := stack()
		s.Profile, s.Cap = o, 18*mm
		inside, err := s.Inside()
		if err != nil {
			t.Fatal(err)
		}
		b, err := s.Balance()
		if err != nil {
			t.Fatal(err)
		}
		lo, hi := o.Bounds()
		w := float64(s.OutsideWidth())
		around := float64(hi.X-lo.X) * float64(hi.Y-lo.Y) * w
		rng := rand.New(rand.NewPCG(3, 5))
		air, wood, x, y := 0, 0, 0.0, 0.0
		for range n {
			p := outline.Point{X: lo.X + (hi.X-lo.X)*units.Length(rng.Float64()), Y: lo.Y + (hi.Y-lo.Y)*units.Length(rng.Float64())}
			z := w * rng.Float64()
			switch between := z > 0.018 && z < w-0.018; {
			case between && inside.Contains(p):
				air++
			case o.Contains(p):
				wood++
				x += float64(p.X)
				y += float64(p.Y)
			}
		}
		within := func(what string, count int, want float64) {
			share := float64(count) / n
			if sigma := math.Sqrt(share*(1-share)/n) * around; !(math.Abs(share*around-want) <= 4*sigma) {
				t.Errorf("%s: %s: %.6g, counted %.6g ± %.2g", name, what, want, share*around, sigma)
			}
		}
		within("air", air, float64(s.Gross()))
		within("wood", wood, float64(s.Mass())/float64(s.Density))
		size := math.Hypot(float64(hi.X-lo.X), float64(hi.Y-lo.Y))
		if d := math.Hypot(x/float64(wood)-b.Centre.X, y/float64(wood)-b.Centre.Y); !(d < 4*size/2/math.Sqrt(float64(wood))) {
			t.Errorf("%s: centre of gravity %v, counted %.4g, %.4g", name, b.Centre, x/float64(wood), y/float64(wood))
		}
	}
}

// A stack with arcs has the air of its polygons' limit, to 1e-9; a sharp one to 1e-12.
func TestGrossInClosedForm(t *testing.T) {
	s := stack()
	s.Profile = outline.Circle(0.2)
	want := math.Pi * 0.162 * 0.162 * 13 * 0.0146
	if got := float64(s.Gross()); !(math.Abs(got/want-1) < 1e-12) {
		t.Errorf("round: got %.15g, want %.15g", got, want)
	}
	s.Profile = regular(6)
	apothem := 0.3*math.Sqrt(3)/2 - 0.038
	close(t, "hexagon", float64(s.Gross()), 2*math.Sqrt(3)*apothem*apothem*13*0.0146)
}

func TestGrossBetween(t *testing.T) {
	thin, thick, err := PlywoodThickness(18 * mm)
	if err != nil {
		t.Fatal(err)
	}
	close(t, "thinnest", float64(thin), 0.01706)
	close(t, "thickest", float64(thick), 0.01874)
	s := stack()
	s.Cap = 18 * mm
	least, most, err := s.GrossBetween(thin, thick)
	if err != nil {
		t.Fatal(err)
	}
	close(t, "least", float64(least), 0.274*0.524*13*0.01706)
	close(t, "most", float64(most), 0.274*0.524*13*0.01874)
	if _, _, err := s.GrossBetween(thick, thin); err == nil {
		t.Error("the wrong order must be refused")
	}
	if _, _, err := s.GrossBetween(0, thin); err == nil {
		t.Error("no thickness must be refused")
	}
	for _, bad := range []float64{0, 2e-3, 0.06, math.NaN()} {
		if _, _, err := PlywoodThickness(units.Length(bad)); err == nil {
			t.Errorf("%g m must be refused", bad)
		}
	}
}

// Panels of a sloped box make up the wood: with both mitres each is a trapezium
// across the wall, and the side panels cover the profile.
func TestPanels(t *testing.T) {
	for name, o := range map[string]outline.Outline{
		"rectangle": outline.Rectangle(0.3, 0.5),
		"sloped":    {{}, {X: 0.35}, {X: 0.25, Y: 0.6}, {Y: 0.6}},
	} {
		p := Panels{Profile: o, Width: 0.22, Wall: 0.018, Side: 0.022, Density: 700}
		list, err := p.Pieces()
		if err != nil {
			t.Fatal(err)
		}
		var wood float64
		for _, x := range list {
			switch {
			case x.Name == "side panel":
				wood += float64(x.Count) * float64(o.Area()) * float64(x.Thickness)
			default:
				if x.Count != 1 || x.Thickness != p.Wall {
					t.Errorf("%+v", x)
				}
				wood += float64(x.Outside+x.Inside) / 2 * float64(x.Width) * float64(x.Thickness)
			}
		}
		s := p.Stack()
		close(t, name+": wood", wood*700, float64(s.Mass()))
		close(t, name+": width", float64(s.OutsideWidth()), 0.22)
		close(t, name+": body", float64(s.Gross())+wood, float64(o.Area())*0.22)
	}
	box := Panels{Profile: outline.Rectangle(0.3, 0.5), Width: 0.22, Wall: 0.018}
	close(t, "plain box", float64(box.Stack().Gross()), 0.264*0.464*0.184)
	for field, p := range map[string]Panels{
		"cabinet: width":                {Profile: box.Profile, Width: 0.036, Wall: 0.018},
		"cabinet: wall":                 {Profile: box.Profile, Width: 0.4, Wall: 0.15},
		"cabinet: panel thickness":      {Profile: box.Profile, Width: 0.4},
		"cabinet: side panel thickness": {Profile: box.Profile, Width: 0.4, Wall: 0.018, Side: -1},
		"cabinet: profile corner 1":     {Profile: outline.RoundedRectangle(0.3, 0.5, 0.02), Width: 0.4, Wall: 0.018},
		"outline: side 4":               {Profile: outline.Outline{{}, {X: 1}, {Y: 1}, {X: 1, Y: 1}}, Width: 0.4, Wall: 0.018},
	} {
		var e *units.RangeError
		if _, err := p.Pieces(); !errors.As(err, &e) || e.Field != field {
			t.Errorf("got %v, want %s", err, field)
		}
	}
}

func TestDriverBody(t *testing.T) {
	d := DriverBody{Cutout: 0.146, Throat: 0.05, Cone: 0.04, Magnet: 0.1, Height: 0.04}
	// In litres, by the cone that the frustum is cut from and the cylinder.
	tip := 0.04 * 0.05 / (0.146 - 0.05)
	cone := math.Pi / 12 * (0.146*0.146*(0.04+tip) - 0.05*0.05*tip)
	close(t, "body", float64(d.Volume()), 1.1*(cone+math.Pi/4*0.1*0.1*0.04))
	close(t, "fibre", float64(Fibre(0.138, 1380)), 1e-4)
}

// A widened hole has the passage asked for, and less angle would not do.
func TestRelief(t *testing.T) {
	r := Relief{Hole: 0.146, Wall: 0.038, Land: 0.010, Basket: 0.1}
	cone := units.Area(0.0136)
	n, err := r.Needed(cone)
	if err != nil {
		t.Fatal(err)
	}
	close(t, "passage", float64(n.Passage()), float64(cone))
	close(t, "opening", float64(n.Opening()), 0.146+2*0.028*math.Tan(float64(n.Angle)))
	// A stack of thin rings.
	sum := 0.0
	const steps = 2000
	for i := range steps {
		d := 0.146 + (float64(n.Opening())-0.146)*(float64(i)+0.5)/steps
		sum += math.Pi / 4 * d * d * 0.028 / steps
	}
	if g := float64(n.Gained()); !(math.Abs(g/sum-1) < 1e-6) {
		t.Errorf("gained %g, rings add up to %g", g, sum)
	}
	if n, err := r.Needed(1e-4); err != nil || n.Angle != 0 {
		t.Errorf("wide enough already: %+v, %v", n, err)
	}
	if _, err := r.Needed(0.2); err == nil || !strings.Contains(err.Error(), "relief: hole 146 mm") {
		t.Errorf("too much asked: %v", err)
	}
	for _, bad := range []Relief{{}, {Hole: 0.1, Wall: 0.02, Land: 0.03}, {Hole: 0.1, Wall: 0.02, Angle: 1.5}, {Hole: 0.1, Wall: 0.02, Basket: 0.1}, {Hole: 0.1, Wall: units.Length(math.NaN())}} {
		if bad.Check() == nil {
			t.Errorf("%+v accepted", bad)
		}
	}
}

// A symmetric cabinet tips where half its depth over the height of its centre says;
// a load moves the centre by its share.
func TestBalance(t *testing.T) {
	s := stack()
	b, err := s.Balance()
	if err != nil {
		t.Fatal(err)
	}
	close(t, "mass", float64(b.Mass), float64(s.Mass()))
	close(t, "x", b.Centre.X, 0.175)
	close(t, "y", b.Centre.Y, 0.3)
	close(t, "z", b.Centre.Z, float64(s.OutsideWidth())/2)
	close(t, "towards small x", math.Tan(float64(b.Low)), 0.175/0.3)
	close(t, "towards large x", math.Tan(float64(b.High)), 0.175/0.3)
	close(t, "sideways", math.Tan(float64(b.Side)), float64(s.OutsideWidth())/2/0.3)
	woofer := Load{"woofer", 2, r3.Vec{X: 0.33, Y: 0.362, Z: 0.11}}
	c, err := s.Balance(woofer)
	if err != nil {
		t.Fatal(err)
	}
	close(t, "mass with woofer", float64(c.Mass), float64(b.Mass)+2)
	close(t, "x with woofer", c.Centre.X, (float64(b.Mass)*0.175+2*0.33)/float64(c.Mass))
	close(t, "tip with woofer", math.Tan(float64(c.High)), (0.35-c.Centre.X)/c.Centre.Y)
	// A round one stands on a line and falls at once.
	s.Profile = outline.Circle(0.2)
	if b, err := s.Balance(); err != nil || math.Abs(float64(b.Low)) > 1e-9 {
		t.Errorf("round: %+v, %v", b, err)
	}
	for _, bad := range []Load{{"brick", -1, r3.Vec{}}, {"brick", 1, r3.Vec{X: math.NaN()}}, {"brick", units.Mass(math.Inf(1)), r3.Vec{}}} {
		if _, err := stack().Balance(bad); err == nil || !strings.Contains(err.Error(), "brick") {
			t.Errorf("%+v: %v", bad, err)
		}
	}
	s = stack()
	s.Density = 0
	if _, err := s.Balance(); err == nil || !strings.Contains(err.Error(), "density") {
		t.Errorf("no density: %v", err)
	}
}

func TestGlue(t *testing.T) {
	s := stack()
	close(t, "area", float64(s.GlueArea()), 14*(0.35*0.6-0.274*0.524))
	close(t, "glue", float64(s.Glue()), 0.2*14*(0.35*0.6-0.274*0.524))
}

// front is the demo's woofer on the front of the demo's cabinet.
func front() Mounted {
	return Mounted{Name: "woofer", Side: 2, Along: 362 * mm, Across: 110 * mm, Flange: 172 * mm, Hole: 146 * mm, Body: 100 * mm, Depth: 78 * mm}
}

func TestClearance(t *testing.T) {
	c, err := stack().Clearance(front())
	if err != nil {
		t.Fatal(err)
	}
	close(t, "edge", float64(c.Edge), 0.219-0.110-0.086)
	close(t, "around", float64(c.Around), 0.219-0.0146-0.110-0.05)
	close(t, "behind", float64(c.Behind), 0.35-0.038-0.078)
	// A vent of 70 mm in a wall of 38 mm, 254 mm long.
	v := Mounted{Name: "vent", Side: 2, Along: 90 * mm, Across: 110 * mm, Hole: 74 * mm, Depth: 254 * mm, Room: 50 * mm}
	if c, err = stack().Clearance(v); err != nil {
		t.Fatal(err)
	}
	close(t, "behind the vent", float64(c.Behind), 0.058)
	close(t, "below the vent", float64(c.Around), 0.090-0.038-0.037)
	for want, change := range map[string]func(m *Mounted){
		"cabinet: vent: depth 270 mm: must leave 50 mm before the wall behind, 312 mm from the front": func(m *Mounted) { m.Depth = 270 * mm },
		"cabinet: vent: depth 400 mm: must leave 50 mm before the wall behind, 312 mm from the front": func(m *Mounted) { m.Depth = 400 * mm },
		"cabinet: vent: body 74 mm: must clear the walls beside it, 22 mm from its centre":            func(m *Mounted) { m.Along = 60 * mm },
		"cabinet: vent: body 74 mm: must clear the walls beside it, 25.4 mm from its centre":          func(m *Mounted) { m.Across = 40 * mm },
		"cabinet: vent: flange 74 mm: must stay on the panel, whose edge is 30 mm from its centre":    func(m *Mounted) { m.Along = 30 * mm },
		"cabinet: vent: side 5: must be from 1 to 4":                                                  func(m *Mounted) { m.Side = 5 },
		"cabinet: vent: hole 0 mm: must be positive and finite":                                       func(m *Mounted) { m.Hole = 0 },
		"cabinet: vent: depth NaN": func(m *Mounted) { m.Depth = units.Length(math.NaN()) },
	} {
		m := v
		change(&m)
		if _, err := stack().Clearance(m); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("got %v\nwant %s", err, want)
		}
	}
}

// In cabinets of any shape, walking along the axis and beside it finds the same free
// depth as the formulas.
func TestClearanceByWalking(t *testing.T) {
	for name, o := range profiles() {
		for side := range o {
			s := stack()
			s.Profile, s.Layers = o, 20
			inside, err := s.Inside()
			if err != nil {
				t.Fatal(err)
			}
			next := o[(side+1)%len(o)]
			length := math.Hypot(float64(next.X-o[side].X), float64(next.Y-o[side].Y))
			m := Mounted{Name: "vent", Side: side + 1, Along: units.Length(length / 2), Across: s.OutsideWidth() / 2, Hole: 0.04, Depth: s.Wall + 0.02}
			c, err := s.Clearance(m)
			if o[side].Rise != 0 {
				if err == nil {
					t.Errorf("%s: a bowed side must be refused", name)
				}
				continue
			}
			if err != nil {
				continue // a short side
			}
			u := r3.Vec{X: float64(next.X-o[side].X) / length, Y: float64(next.Y-o[side].Y) / length}
			in := r3.Vec{X: -u.Y, Y: u.X}
			start := r3.Vec{X: float64(o[side].X+next.X) / 2, Y: float64(o[side].Y+next.Y) / 2}
			if probe := r3.Add(start, r3.Scale(0.001, in)); !o.Contains(outline.Point{X: units.Length(probe.X), Y: units.Length(probe.Y)}) {
				in = r3.Scale(-1, in)
			}
			free := math.Inf(1)
			const step = 0.001
			for across := -0.02; across <= 0.0205; across += 0.002 {
				for deep := 0.038 + step; ; deep += step {
					p := r3.Add(start, r3.Add(r3.Scale(across, u), r3.Scale(deep, in)))
					if !inside.Contains(outline.Point{X: units.Length(p.X), Y: units.Length(p.Y)}) {
						free = min(free, deep-step)
						break
					}
				}
			}
			// Between the steps lies at most one step along, or what a slope of 2 gains across.
			if got := float64(c.Behind + m.Depth); !(math.Abs(got-free) < 2*step) {
				t.Errorf("%s, side %d: %.4f m to the wall behind, walked %.4f", name, side+1, got, free)
			}
		}
	}
}

// The layers that a hole crosses, by hand: 146 mm about 110 mm, from 37 to 183 mm; layers begin
// at 14.6 mm and are as thick.
func TestHoles(t *testing.T) {
	chords, joint, err := stack().Holes(front())
	if err != nil {
		t.Fatal(err)
	}
	// 37/14.6 = 2.53 and 183/14.6 = 12.53.
	if len(chords) != 11 || chords[0].Layer != 2 || chords[10].Layer != 12 {
		t.Errorf("got %v", chords)
	}
	for _, c := range chords {
		at := 0.110
		if l, r := 0.0146*float64(c.Layer), 0.0146*float64(c.Layer+1); r < at {
			at = r
		} else if l > at {
			at = l
		}
		half := math.Sqrt(0.073*0.073 - (at-0.110)*(at-0.110))
		close(t, "from", float64(c.From), 0.362-half)
		close(t, "to", float64(c.To), 0.362+half)
	}
	close(t, "joint", float64(joint), math.Min(0.037-2*0.0146, 13*0.0146-0.183))
	m := front()
	m.Hole = -1
	if _, _, err := stack().Holes(m); err == nil {
		t.Error("a negative hole must be refused")
	}
}
