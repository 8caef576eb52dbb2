package cabinet

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.com/halfspace/units"
)

// A Step is a job at the saw with one setting of the fence or the stop.
type Step struct {
	What    string       // "trim", "rip", "crosscut" or "rip narrower"
	Setting units.Length // from the fence or the stop to the blade
	Left    units.Angle  // of the end at the blade against a square cut, for pieces that end at an angle
	Right   units.Angle  // of the other end
	Count   int          // cuts that yield something of that size
	Piece   string       // that it yields; empty for strips
}

// Steps returns the order of cuts of a layout: trim the edges, rip all strips, the
// widest first; then cut each length across with one setting of the stop, the longest
// first; then rip what is narrower than its strip. Pieces with angled ends are listed
// with both angles; the setting is the length of the blank, and neighbours in a strip
// that are turned over share a cut where their angles allow.
func (s Sheet) Steps(list []Piece, l Layout) []Step {
	var steps []Step
	if s.Trim > 0 {
		steps = append(steps, Step{What: "trim", Setting: s.Trim, Count: 4 * l.Sheets})
	}
	add := func(step Step) {
		for i := range steps {
			t := steps[i]
			t.Count = step.Count
			near := math.Abs(float64(t.Setting-step.Setting)) < 1e-7
			t.Setting = step.Setting
			if near && t == step {
				steps[i].Count += step.Count
				return
			}
		}
		steps = append(steps, step)
	}
	for _, t := range l.Strips {
		add(Step{What: "rip", Setting: t.Width, Count: 1})
	}
	byWidth := func(a, b Step) int { return cmp.Compare(b.Setting, a.Setting) }
	trimmed := 0
	if s.Trim > 0 {
		trimmed = 1
	}
	slices.SortStableFunc(steps[trimmed:], byWidth)
	rips := len(steps)
	for _, t := range l.Strips {
		for _, c := range t.Cuts {
			p := list[c.Piece]
			length := p.Length
			if c.Turned {
				length = p.Width
			}
			add(Step{What: "crosscut", Setting: length, Left: p.Start, Right: p.End, Count: 1, Piece: p.Name})
		}
	}
	slices.SortStableFunc(steps[rips:], byWidth)
	crosscuts := len(steps)
	for _, t := range l.Strips {
		for _, c := range t.Cuts {
			p := list[c.Piece]
			width := p.Width
			if c.Turned {
				width = p.Length
			}
			if t.Width-width > 1e-7 {
				add(Step{What: "rip narrower", Setting: width, Count: 1, Piece: p.Name})
			}
		}
	}
	slices.SortStableFunc(steps[crosscuts:], byWidth)
	return steps
}

// String tells the step as "crosscut 26 × A at 312 mm".
func (t Step) String() string {
	words := fmt.Sprintf("%s %d × ", t.What, t.Count)
	if t.Piece != "" {
		words += t.Piece + " "
	}
	words += "at " + t.Setting.String()
	if t.Left != 0 || t.Right != 0 {
		words += fmt.Sprintf(", ends %v and %v", t.Left, t.Right)
	}
	return words
}
