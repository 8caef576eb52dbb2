package ladder

import (
	"errors"
	"math"
	"testing"

	"example.com/halfspace/units"
)

func TestCheck(t *testing.T) {
	good := Series(R(1))
	for _, test := range []struct {
		net  Network
		want string
	}{
		{nil, ""},
		{w1, ""},
		{t1, ""},
		{Network{good, Series(L(-1 * units.Millihenry))}, "ladder: arm 2, part 1 (coil) -1 mH: must be positive and finite"},
		{Network{Shunt(R(1), C(0))}, "ladder: arm 1, part 2 (capacitor) 0 µF: must be positive and finite"},
		{Network{Series(R(units.Resistance(math.NaN())))}, "ladder: arm 1, part 1 (resistor) NaN Ω: must be positive and finite"},
		{Network{Series(L(units.Inductance(math.Inf(1))))}, "ladder: arm 1, part 1 (coil) +Inf mH: must be positive and finite"},
		{Network{good, Shunt()}, "ladder: arm 2: no parts: must have at least one"},
		{Network{Series(Part{Kind: 7, Value: 1})}, "ladder: arm 1, part 1 (kind 7) 1: must be a resistor, coil or capacitor"},
		{Network{Series(L(1).WithResistance(-2))}, "ladder: arm 1, part 1 (coil): series resistance -2 Ω: must be zero or positive, and finite"},
		{Network{Series(R(1).WithResistance(2))}, "ladder: arm 1, part 1 (resistor): series resistance 2 Ω: must be zero, a resistor's resistance is its value"},
		{Network{Series(C(1).WithLoss(math.NaN()))}, "ladder: arm 1, part 1 (capacitor): loss factor NaN: must be zero or positive, and finite"},
		{Network{Series(L(1).WithLoss(0.1))}, "ladder: arm 1, part 1 (coil): loss factor 0.1: must be zero, only capacitors have one"},
		{Network{Series(C(1).WithTolerance(-0.05))}, "ladder: arm 1, part 1 (capacitor): tolerance -5 %: must be zero or positive, and below 100 %"},
		{Network{Series(C(1).WithTolerance(1))}, "ladder: arm 1, part 1 (capacitor): tolerance 100 %: must be zero or positive, and below 100 %"},
		{Network{Series(C(1).WithTolerance(units.Ratio(math.NaN())))}, "ladder: arm 1, part 1 (capacitor): tolerance NaN %: must be zero or positive, and below 100 %"},
	} {
		err := test.net.Check()
		if test.want == "" {
			if err != nil {
				t.Errorf("%v: %v", test.net, err)
			}
			continue
		}
		if err == nil || err.Error() != test.want {
			t.Errorf("error %v\nwant  %s", err, test.want)
		}
		if !errors.As(err, new(*units.RangeError)) {
			t.Errorf("%v is not a RangeError", err)
		}
	}
	if err := L(-1 * units.Millihenry).Check(); err == nil || err.Error() != "ladder: coil -1 mH: must be positive and finite" {
		t.Errorf("part: %v", err)
	}
}

func TestParts(t *testing.T) {
	var letters string
	var parts []Part
	for letter, p := range t1.Parts() {
		letters += letter
		parts = append(parts, p)
	}
	if letters != "ABCD" || parts[1] != t1[1].Parts[0] || parts[3] != t1[3].Parts[0] {
		t.Errorf("letters %s, parts %v", letters, parts)
	}
	for letter := range w1.Parts() {
		if letter == "B" {
			break // an early end must not go on
		}
	}
	s, err := t1.State(1000, 8)
	if err != nil || len(s.Parts) != len(parts) {
		t.Errorf("state has %d parts (%v), want %d", len(s.Parts), err, len(parts))
	}
}

func TestLetter(t *testing.T) {
	for i, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 27: "AB", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		if got := Letter(i); got != want {
			t.Errorf("Letter(%d) = %s, want %s", i, got, want)
		}
	}
}

func TestKindString(t *testing.T) {
	for k, want := range map[Kind]string{Resistor: "resistor", Inductor: "coil", Capacitor: "capacitor", 9: "kind 9"} {
		if got := k.String(); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

// TestTolerance: it is printed when given, and changes nothing else.
func TestTolerance(t *testing.T) {
	p := L(1.2 * units.Millihenry).WithResistance(0.35).WithTolerance(0.05)
	if got, want := p.String(), "L 1.2 mH ±5 % 0.35 Ω"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	loose := Network{w1[0], w1[1], Shunt(w1[2].Parts[0].WithTolerance(0.1), w1[2].Parts[1].WithTolerance(0.2))}
	if err := loose.Check(); err != nil {
		t.Fatal(err)
	}
	h, zin := solveAt(w1, 1000, 8)
	if lh, lz := solveAt(loose, 1000, 8); lh != h || lz != zin {
		t.Errorf("h %v zin %v, without tolerance %v %v", lh, lz, h, zin)
	}
}
