package parts

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

func randomItem(rnd *rand.Rand, kind Kind, id string) Item {
	item := Item{ID: id, Kind: kind, Tolerance: units.Ratio(0.1 * rnd.Float64()), Price: 5 * rnd.Float64()}
	v := 1 + 9*rnd.Float64()
	switch item.Part.Kind = kinds[kind].part; item.Part.Kind {
	case ladder.Resistor:
		item.Part.Value = v
		item.Rating.Power = units.Power(5 + 10*rnd.Float64())
	case ladder.Inductor:
		item.Part.Value = v * 1e-3
		item.Part.Resistance = units.Resistance(rnd.Float64())
		item.Rating.Current = units.Current(1 + 5*rnd.Float64())
	case ladder.Capacitor:
		item.Part.Value = v * 1e-6
		item.Part.Resistance = units.Resistance(0.1 * rnd.Float64())
		item.Part.Loss = 0.02 * rnd.Float64()
		item.Rating.Voltage = units.Voltage(50 + 200*rnd.Float64())
	}
	item.Part.Tolerance = item.Tolerance
	return item
}

// TestJoinByImpedance: what two items are together, by their impedances; the
// tolerance by the corners; and the rating by what each then bears.
func TestJoinByImpedance(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 200 {
		kind := Kind(rnd.IntN(len(kinds)))
		a, b := randomItem(rnd, kind, "a"), randomItem(rnd, kind, "b")
		for _, parallel := range []bool{false, true} {
			j := Join(a, b, parallel)
			if err := j.Part.Check(); err != nil {
				t.Fatal(err)
			}
			together := func(x, y ladder.Part, hz float64) complex128 {
				if parallel {
					return 1 / (1/x.Impedance(hz) + 1/y.Impedance(hz))
				}
				return x.Impedance(hz) + y.Impedance(hz)
			}
			// The losses are small at a high frequency in a coil and a middle one in a
			// capacitor; in parallel they are right to the first order.
			hz, within := 20e3, 1e-12
			if j.Part.Kind == ladder.Capacitor {
				hz = 1e3
			}
			want := together(a.Part, b.Part, hz)
			if parallel && j.Part.Kind != ladder.Resistor {
				q := real(a.Part.Impedance(hz))/imag(a.Part.Impedance(hz)) - real(b.Part.Impedance(hz))/imag(b.Part.Impedance(hz))
				within = 1e-12 + q*q
				// Resistance alone is off by third order, the modulus by the second.
				if d := math.Abs(real(want) - real(j.Part.Impedance(hz))); !(d <= within*real(want)) {
					t.Errorf("%v parallel %v: resistance %g, want %g", a.Part, b.Part, real(j.Part.Impedance(hz)), real(want))
				}
			}
			if d := cmplx.Abs(j.Part.Impedance(hz) - want); !(d <= within*cmplx.Abs(want)) {
				t.Errorf("%v parallel=%v %v: %v, want %v", a.Part, parallel, b.Part, j.Part.Impedance(hz), want)
			}

			worst := 0.0
			for corner := range 4 {
				x, y := a.Part, b.Part
				x.Value *= 1 + float64(2*(corner%2)-1)*float64(a.Tolerance)
				y.Value *= 1 + float64(2*(corner/2)-1)*float64(b.Tolerance)
				worst = max(worst, math.Abs(Join(Item{Part: x}, Item{Part: y}, parallel).Part.Value/j.Part.Value-1))
			}
			if d := math.Abs(float64(j.Tolerance) - worst); !(d <= 1e-12) || j.Part.Tolerance != j.Tolerance {
				t.Errorf("%v parallel=%v %v: tolerance %v, want %g", a.Part, parallel, b.Part, j.Tolerance, worst)
			}

			// Without losses, at the rating of the two, the nearer to its own is at it.
			x, y := a.Part, b.Part
			x.Resistance, y.Resistance, x.Loss, y.Loss = 0, 0, 0, 0
			share := cmplx.Abs(x.Impedance(hz) / (x.Impedance(hz) + y.Impedance(hz))) // of the voltage in series
			var least float64
			switch j.Part.Kind {
			case ladder.Resistor:
				if parallel {
					share = 1 - share
				}
				p := float64(j.Rating.Power)
				least = max(share*p/float64(a.Rating.Power), (1-share)*p/float64(b.Rating.Power))
			case ladder.Capacitor:
				v, w := share, 1-share
				if parallel {
					v, w = 1, 1
				}
				least = float64(j.Rating.Voltage) * max(v/float64(a.Rating.Voltage), w/float64(b.Rating.Voltage))
			case ladder.Inductor:
				v, w := 1-share, share
				if !parallel {
					v, w = 1, 1
				}
				least = float64(j.Rating.Current) * max(v/float64(a.Rating.Current), w/float64(b.Rating.Current))
			}
			if !(math.Abs(least-1) <= 1e-12) {
				t.Errorf("%v parallel=%v %v: rating %+v, used up to %g", a.Part, parallel, b.Part, j.Rating, least)
			}
			if j.Price != a.Price+b.Price || j.Kind != kind {
				t.Errorf("%+v", j)
			}
		}
	}
}

func TestJoin(t *testing.T) {
	film := Item{ID: "f", Kind: FilmCapacitor, Part: ladder.C(2e-6), Rating: Rating{Voltage: 250}}
	bipolar := Item{ID: "b", Kind: BipolarCapacitor, Part: ladder.C(10e-6).WithLoss(0.06), Rating: Rating{Voltage: 50}, Quantity: 4}
	if j := Join(film, bipolar, true); j.ID != "f | b" || j.Kind != BipolarCapacitor || j.Rating.Voltage != 50 || j.Part.Value != 12e-6 || !(math.Abs(j.Part.Loss-0.05) < 1e-15) || j.Quantity != 4 {
		t.Errorf("%+v", j)
	}
	if j := Join(bipolar, bipolar, false); j.ID != "b + b" || j.Rating.Voltage != 100 || j.Part.Value != 5e-6 || j.Quantity != 2 {
		t.Errorf("%+v", j)
	}
	air := Item{ID: "a", Kind: AirCoil, Part: ladder.L(1e-3), Rating: Rating{Current: 3}, Quantity: 3}
	iron := Item{ID: "i", Kind: IronCoil, Part: ladder.L(2e-3), Rating: Rating{Current: 5}, Quantity: 2}
	if j := Join(air, iron, false); j.Kind != IronCoil || j.Rating.Current != 0 || j.Quantity != 2 {
		t.Errorf("%+v", j)
	}
	if j := Join(air, Item{Kind: AirCoil, Part: ladder.L(1e-3)}, true); j.Rating.Current != 0 || j.Quantity != 3 {
		t.Errorf("one rating is not given: %+v", j)
	}
}

// TestPairs compares with the joined items of all pairs, sorted.
func TestPairs(t *testing.T) {
	c := append(shop(t).Of(FilmCapacitor)[:12], Item{ID: "one", Kind: FilmCapacitor, Part: ladder.C(2.2e-6), Quantity: 1})
	for _, want := range []units.Capacitance{4.4e-6, 5.17e-6, 0.9e-6, 60e-6} {
		var all []Item
		for i, a := range c {
			for _, b := range c[i:] {
				if a.ID == "one" && b.ID == "one" {
					continue
				}
				all = append(all, Join(a, b, false), Join(a, b, true))
			}
		}
		off := func(i Item) float64 { return ratio(i.Part.Value, float64(want)) }
		slices.SortStableFunc(all, func(a, b Item) int {
			switch {
			case off(a) < off(b) || off(a) == off(b) && a.Price < b.Price:
				return -1
			case off(a) == off(b) && a.Price == b.Price:
				return 0
			}
			return 1
		})
		got := c.Pairs(ladder.C(want), len(all)+7)
		if len(got) != len(all) {
			t.Fatalf("%d pairs, want %d", len(got), len(all))
		}
		for i, p := range got {
			if off(p.Joined) != off(all[i]) || p.Joined.Price != all[i].Price {
				t.Errorf("%v: pair %d is %s, want one like %s", want, i, p.Joined.ID, all[i].ID)
			}
			if p.Joined != Join(p.A, p.B, p.Parallel) {
				t.Errorf("pair %d: %+v", i, p)
			}
		}
	}

	// Of equal ones: price, IDs, series first; whatever the order of the catalogue.
	two := func(id string, price float64) Item {
		return Item{ID: id, Kind: Resistor, Part: ladder.R(2), Price: price}
	}
	for _, c := range []Catalogue{{two("a", 1), two("b", 1), two("c", 0.5)}, {two("c", 0.5), two("b", 1), two("a", 1)}} {
		var ids []string
		for _, p := range c.Pairs(ladder.R(2), 20) {
			ids = append(ids, p.Joined.ID)
		}
		want := "[c + c c | c a + c a | c b + c b | c a + a a | a a + b a | b b + b b | b]"
		if got := fmt.Sprint(ids); got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
	if got := shop(t).Pairs(ladder.R(1), 0); len(got) != 0 {
		t.Errorf("none asked for: %v", got)
	}
}

func TestJoinPanics(t *testing.T) {
	r, l := Item{Kind: Resistor, Part: ladder.R(1)}, Item{Kind: AirCoil, Part: ladder.L(1)}
	for name, f := range map[string]func(){
		"join":              func() { Join(r, l, true) },
		"compare":           func() { Compare(r, l, Place{1, 1, 1}) },
		"pairs of zero":     func() { Catalogue{}.Pairs(ladder.R(0), 1) },
		"pairs of infinity": func() { Catalogue{}.Pairs(ladder.R(units.Resistance(math.Inf(1))), 1) },
		"pairs: number":     func() { Catalogue{}.Pairs(ladder.R(1), -1) },
		"choices of NaN":    func() { Catalogue{}.Choices(ladder.R(units.Resistance(math.NaN())), 1) },
		"choices within":    func() { Catalogue{}.Choices(ladder.R(1), -1) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f()
		}()
	}
}

func BenchmarkPairs(b *testing.B) {
	c := shop(b)
	for b.Loop() {
		c.Pairs(ladder.C(5*units.Microfarad), 10)
	}
}
