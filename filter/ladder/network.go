package ladder

import (
	"fmt"
	"iter"
	"strings"

	"example.com/halfspace/units"
)

// Arm is one rung or rail of the ladder: between two nodes of the signal path if
// Shunt is false, from the signal path to the return if it is true.
type Arm struct {
	Shunt bool
	Parts []Part // joined in series if Shunt, in parallel if not
}

// Series returns an arm in the signal path; several parts are joined in parallel.
func Series(parts ...Part) Arm { return Arm{Parts: parts} }

// Shunt returns an arm across the signal path; several parts are joined in series.
func Shunt(parts ...Part) Arm { return Arm{Shunt: true, Parts: parts} }

// Network is a ladder of arms, from the source to the load. The empty network is a
// pair of wires.
type Network []Arm

// Check returns an error that names arm and part, counted from 1 at the source,
// unless every arm has a part and every part passes [Part.Check].
func (n Network) Check() error {
	for i, a := range n {
		if len(a.Parts) == 0 {
			return &units.RangeError{Field: fmt.Sprintf("ladder: arm %d:", i+1), Value: "no parts", Want: "must have at least one"}
		}
		for j, p := range a.Parts {
			if err := p.check(fmt.Sprintf("ladder: arm %d, part %d (%v)", i+1, j+1, p.Kind)); err != nil {
				return err
			}
		}
	}
	return nil
}

// Parts yields the parts along the signal path, from the source to the load, each
// with its letter: A, B, C ... Z, AA, AB ...
func (n Network) Parts() iter.Seq2[string, Part] {
	return func(yield func(string, Part) bool) {
		i := 0
		for _, a := range n {
			for _, p := range a.Parts {
				if !yield(Letter(i), p) {
					return
				}
				i++
			}
		}
	}
}

// Letter returns the letter of part i, counted from 0: A ... Z, AA, AB ... It
// panics if i is negative. A speaker of several branches can let the letters run
// on from one branch to the next.
func Letter(i int) string {
	if i < 0 {
		panic("ladder: negative index of a part")
	}
	var s string
	for i++; i > 0; i = (i - 1) / 26 {
		s = string(rune('A'+(i-1)%26)) + s
	}
	return s
}

// String writes a net list for people, one line per arm: the letters of its parts,
// the place, and the parts with their losses, rounded to four digits. A bar stands
// between parts in parallel, a plus between parts in series.
//
//	A series L 1.2 mH 0.35 Ω
//	B shunt C 15 µF
//	C D shunt R 7.2 Ω + C 12 µF
func (n Network) String() string {
	var lines strings.Builder
	i := 0
	for _, a := range n {
		place, join := "series ", " | "
		if a.Shunt {
			place, join = "shunt ", " + "
		}
		texts := make([]string, len(a.Parts))
		for j, p := range a.Parts {
			texts[j] = p.String()
			lines.WriteString(Letter(i) + " ")
			i++
		}
		lines.WriteString(place + strings.Join(texts, join) + "\n")
	}
	return lines.String()
}
