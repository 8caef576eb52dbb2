package coil

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	"example.com/halfspace/units"
)

func near(t *testing.T, name string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s: got %.15g, want %.15g, off by %.2g, allowed %.2g", name, got, want, got/want-1, rel)
	}
}

// must returns a value that must come without an error.
func must[T any](t testing.TB) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// TestSectionAgainstRings adds up Maxwell's thin rings over the section: twice the
// area of pairs a distance u apart along the radius and z along the axis, with the
// corner u = z = 0, where the rings touch, spread by polar-like coordinates and a
// fourth power.
func TestSectionAgainstRings(t *testing.T) {
	const n = 28
	x, w := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(x, w, 0, 1)
	for _, s := range []Section{
		{1, 1, 1}, {1.5, 1, 1}, {1, 2, 1}, {2, 0.5, 0.5}, {0.5, 1, 2}, {1, 0.5, 1}, {0.1, 1, 1}, {20, 1, 1}, {1, 3, 1}, {1, 1, 2.5}, {0.001, 1, 1}, {1, 5, 1}, {1, 1, 5},
	} {
		inner, b, c := float64(s.Inner), float64(s.Length), float64(s.Depth)
		sum := 0.0
		pair := func(u, z, weight float64) {
			// Rings at r and r+u, over all r.
			for i := range n {
				r := inner + (c-u)*x[i]
				m := float64(must[units.Inductance](t)(Mutual(units.Length(r), units.Length(r+u), units.Length(z))))
				sum += weight * (c - u) * w[i] * m * 2 * 2 * (b - z)
			}
		}
		for i := range n {
			y := x[i] * x[i] * x[i] * x[i]
			dy := 4 * x[i] * x[i] * x[i] * w[i]
			for j := range n {
				pair(c*y, b*y*x[j], c*b*y*dy*w[j])
				pair(c*y*x[j], b*y, c*b*y*dy*w[j])
			}
		}
		want := sum / (b * b * c * c)
		got := float64(must[units.Inductance](t)(s.Inductance(1)))
		within := 1e-10
		if 10*s.Inner <= s.Depth {
			within = 5e-9
		}
		near(t, s.Length.String()+" by "+s.Depth.String(), got, want, within)
	}
}

// TestMutualByNeumann adds up the elements of the two rings.
func TestMutualByNeumann(t *testing.T) {
	for _, c := range [][3]float64{{1, 1, 1}, {1, 2, 0}, {1, 2, -3}, {0.3, 0.5, 0.1}, {1, 1, 10}} {
		const n = 2000
		sum := 0.0
		for i := range n {
			cos := math.Cos(2 * math.Pi * float64(i) / n)
			sum += cos / math.Sqrt(c[0]*c[0]+c[1]*c[1]-2*c[0]*c[1]*cos+c[2]*c[2])
		}
		want := mu0 / 2 * c[0] * c[1] * 2 * math.Pi / n * sum
		got := must[units.Inductance](t)(Mutual(units.Length(c[0]), units.Length(c[1]), units.Length(c[2])))
		near(t, "rings", float64(got), want, 1e-12)
	}
	// Far apart, the flux of a small dipole.
	got := must[units.Inductance](t)(Mutual(1e-3, 1e-3, 1))
	near(t, "dipoles", float64(got), mu0*math.Pi/2*1e-12, 1e-5)
}

// TestSolenoidByRings adds up the rings of a current sheet.
func TestSolenoidByRings(t *testing.T) {
	for _, x := range []float64{0.2, 1, 2, 10} {
		l := 2 / x
		sum := quad.Fixed(func(y float64) float64 {
			z := l * y * y * y * y
			m := must[units.Inductance](t)(Mutual(1, 1, units.Length(z)))
			return 2 * (l - z) * float64(m) * 4 * l * y * y * y
		}, 0, 1, 60, nil, 0)
		got := must[units.Inductance](t)(Solenoid{1, units.Length(l)}.Inductance(3))
		near(t, "sheet", float64(got), 9*sum/(l*l), 1e-9)
	}
}

// TestSectionTendsToSheet: as the depth goes, in proportion to it.
func TestSectionTendsToSheet(t *testing.T) {
	for _, l := range []units.Length{0.5, 2, 8} {
		sheet := float64(must[units.Inductance](t)(Solenoid{1, l}.Inductance(1)))
		short := func(depth units.Length) float64 {
			s := Section{1 - depth/2, l, depth}
			return 1 - float64(must[units.Inductance](t)(s.Inductance(1)))/sheet
		}
		thick, thin := short(0.02), short(0.01)
		if !(thin > 0 && thin < 0.01) {
			t.Errorf("length %v: section of depth 0.01 falls short by %g", l, thin)
		}
		near(t, "halving the depth", thick/thin, 2, 0.02)
	}
}

// TestWheelerErrors are those that the comments name.
func TestWheelerErrors(t *testing.T) {
	for _, test := range []struct {
		s       Section
		percent float64
	}{
		{Section{1, 1, 1}, -0.71}, {Section{1.5, 1, 1}, 0.08}, {Section{1, 0.5, 1}, -0.98}, {Section{2, 0.5, 0.5}, 2.26}, {Section{0.5, 1, 2}, -2.73},
	} {
		exact := must[units.Inductance](t)(test.s.Inductance(1))
		short := must[units.Inductance](t)(test.s.Wheeler(1))
		if got := 100 * float64(short/exact-1); !(math.Abs(got-test.percent) <= 0.005) {
			t.Errorf("%v: off by %.3f %%, want %.2f %%", test.s, got, test.percent)
		}
	}
	lowest, highest := 0.0, 0.0
	for b := 0.8; b < 50; b *= 1.05 {
		s := Solenoid{1, units.Length(b)}
		off := float64(must[units.Inductance](t)(s.Wheeler(1))/must[units.Inductance](t)(s.Inductance(1))) - 1
		lowest, highest = min(lowest, off), max(highest, off)
	}
	if !(lowest > -0.006 && lowest < -0.005 && highest < 0.0006 && highest > 0.0005) {
		t.Errorf("single layer: off by %g to %g", lowest, highest)
	}
}

// TestScaling: inductance goes as size and as the square of the turns.
func TestScaling(t *testing.T) {
	a := must[units.Inductance](t)(Section{0.01, 0.02, 0.007}.Inductance(1))
	b := must[units.Inductance](t)(Section{0.03, 0.06, 0.021}.Inductance(10))
	near(t, "section", float64(b/a), 300, 1e-12)
	c := must[units.Inductance](t)(Solenoid{0.01, 0.02}.Inductance(1))
	d := must[units.Inductance](t)(Solenoid{0.03, 0.06}.Inductance(10))
	near(t, "solenoid", float64(d/c), 300, 1e-12)
}

// TestMoment integrates t J1(t) piece by piece.
func TestMoment(t *testing.T) {
	sum, from := 0.0, 0.0
	for _, x := range []float64{1e-4, 9.99e-4, 1.001e-3, 0.1, 1, 3, 10, 30, 49.999, 50.001, 120, 700} {
		n := math.Ceil(x - from)
		for i := range int(n) {
			a, b := from+(x-from)*float64(i)/n, from+(x-from)*float64(i+1)/n
			sum += quad.Fixed(func(v float64) float64 { return v * math.J1(v) }, a, b, 12, nil, 0)
		}
		from = x
		if got := moment(x); !(math.Abs(got-sum) <= 1e-13*math.Abs(sum)+1e-13*math.Sqrt(x)*min(1, x*x*x)) {
			t.Errorf("moment(%g) = %.16g, want %.16g", x, got, sum)
		}
	}
	if moment(0) != 0 {
		t.Error("moment(0) is not zero")
	}
}

// TestRoundWire builds a coil of 13 layers by 13 turns ring by ring, each round
// wire with its inductance µ0 a (ln(8a/(d/2)) - 7/4) for an even current.
func TestRoundWire(t *testing.T) {
	const n = 13
	w := Wire{Diameter: 1e-3, Pitch: 1.1e-3}
	c := Coil{Wire: w, Section: Section{14e-3, n * 1.1e-3, n * 1.1e-3}, Turns: n * n}
	at := func(i int) units.Length { return c.Section.Inner + units.Length(float64(i)+0.5)*w.Pitch }
	want := 0.0
	for i := range n {
		a := float64(at(i))
		want += n * mu0 * a * (math.Log(16*a/float64(w.Diameter)) - 1.75)
		for k := range n {
			for j := range n {
				if k == i && j == 0 {
					continue
				}
				m := float64(must[units.Inductance](t)(Mutual(at(i), at(k), units.Length(j)*w.Pitch)))
				pairs := 2 * float64(n-j)
				if j == 0 {
					pairs = n
				}
				want += pairs * m
			}
		}
	}
	even := float64(must[units.Inductance](t)(c.Section.Inductance(c.Turns)))
	// What is left is that a square turn is not the ring in its middle.
	missing, round := want-even, float64(c.RoundWire())
	near(t, "even current and correction", even+round, want, 2e-4)
	if !(math.Abs(round-missing) < 0.2*missing) {
		t.Errorf("correction %g, missing %g", round, missing)
	}
}

// TestMutualOfCloseRings: no step where the expansion takes over.
func TestMutualOfCloseRings(t *testing.T) {
	z := func(gap float64) units.Length { return units.Length(math.Sqrt(4 * gap / (1 - gap))) }
	a := must[units.Inductance](t)(Mutual(1, 1, z(0.999999e-6)))
	b := must[units.Inductance](t)(Mutual(1, 1, z(1.000001e-6)))
	near(t, "step", float64(a-b)/mu0, 1e-6, 1e-2)
}

func BenchmarkSection(b *testing.B) {
	s := Section{0.01, 0.01, 0.01}
	for b.Loop() {
		s.Inductance(100)
	}
}
