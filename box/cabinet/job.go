package cabinet

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.com/halfspace/units"
)

// A Job is cabinets to be cut from sheets. Rings and caps of the same thickness share
// their sheets; caps of another thickness have their own, of the same size.
type Job struct {
	Stack    Stack
	Patterns [2][]Joint // of the joints; empty: as Interlock chooses
	Cabinets int
	Spares   int // more of each ring piece, in all
	Caps     Grain
	Sheet    Sheet
	Price    float64 // of one sheet
}

// A Lot is what is cut from sheets of one thickness.
type Lot struct {
	Thickness units.Length
	Pieces    []Piece // for all cabinets, spares included
	Layout    Layout
	Bound     Bound
	Free      []int // spares for nothing of each of the pieces, counted alone
}

// A Plan is a job thought through.
type Plan struct {
	Layers Layers
	Lots   []Lot
	Sheets int
	Least  int // sheets that no plan of strips can do without
	Cost   float64
}

// Check returns an error unless the job is one: the errors of Stack.Check and
// Sheet.Check, fewer than one cabinet, a negative number of spares, a negative price,
// a cap with a grain that there is not.
func (j Job) Check() error {
	if err := cmp.Or(j.Stack.Check(), j.Sheet.Check(), units.NotNegative("cabinet: price of a sheet", j.Price)); err != nil {
		return err
	}
	switch {
	case j.Cabinets < 1 || j.Cabinets > 1000:
		return &units.RangeError{Field: "cabinet: cabinets", Value: fmt.Sprint(j.Cabinets), Want: "must be from 1 to 1000"}
	case j.Spares < 0 || j.Spares > 1000:
		return &units.RangeError{Field: "cabinet: spares", Value: fmt.Sprint(j.Spares), Want: "must be from 0 to 1000"}
	case j.Caps < GrainAlong || j.Caps > GrainEither:
		return &units.RangeError{Field: "cabinet: grain of the caps", Value: j.Caps.String(), Want: "must be along, across or either"}
	}
	return nil
}

// Plan cuts the rings into pieces and the pieces from sheets. The errors are those of
// Check, Stack.Interlock and Sheet.Cut.
func (j Job) Plan() (Plan, error) {
	if err := j.Check(); err != nil {
		return Plan{}, err
	}
	layers, err := j.Stack.Interlock(j.Patterns)
	if err != nil {
		return Plan{}, err
	}
	plan := Plan{Layers: layers}
	for _, p := range j.Stack.cutList(layers) {
		p.Count *= j.Cabinets
		if p.Name == capName {
			p.Grain = j.Caps
		} else {
			p.Count += j.Spares
		}
		at := slices.IndexFunc(plan.Lots, func(l Lot) bool { return l.Thickness == p.Thickness })
		if at < 0 {
			at = len(plan.Lots)
			plan.Lots = append(plan.Lots, Lot{Thickness: p.Thickness})
		}
		plan.Lots[at].Pieces = append(plan.Lots[at].Pieces, p)
	}
	for i := range plan.Lots {
		l := &plan.Lots[i]
		if l.Layout, err = j.Sheet.Cut(l.Pieces); err != nil {
			return Plan{}, err
		}
		if l.Bound, err = j.Sheet.Bound(l.Pieces); err != nil {
			return Plan{}, err
		}
		l.Free = j.Sheet.Free(l.Pieces, l.Layout)
		plan.Sheets += l.Layout.Sheets
		plan.Least += l.Bound.Sheets
	}
	plan.Cost = float64(plan.Sheets) * j.Price
	return plan, nil
}

// FreeSpares returns the largest number of spares of each ring piece, up to 50, that
// takes no more sheets than none. The errors are those of Plan.
func (j Job) FreeSpares() (int, error) {
	j.Spares = 0
	now, err := j.Plan()
	if err != nil {
		return 0, err
	}
	for j.Spares < 50 {
		j.Spares++
		p, err := j.Plan()
		if err != nil || p.Sheets > now.Sheets {
			return j.Spares - 1, err
		}
	}
	return j.Spares, nil
}

const capName = "end cap"

// A Saving is the smallest change of one kind that brings a job onto fewer sheets.
type Saving struct {
	Change string // in words: "rings 35 mm wide", "12 layers", "grain of the caps either way"
	Job    Job
	Sheets int
	Gross  units.Volume // of one cabinet after the change
}

// Savings tries three changes one by one and returns those that save a sheet: rings
// narrower by whole millimetres, down to half their width; one or two layers less; the
// grain of the caps either way. The errors are those of Plan.
func (j Job) Savings() ([]Saving, error) {
	now, err := j.Plan()
	if err != nil {
		return nil, err
	}
	var savings []Saving
	try := func(changed Job, words string) bool {
		p, err := changed.quick(now.Sheets - 1)
		if err != nil || p >= now.Sheets {
			return false
		}
		savings = append(savings, Saving{Change: words, Job: changed, Sheets: p, Gross: changed.Stack.Gross()})
		return true
	}
	const mm = units.Millimetre
	for narrower := mm; narrower <= j.Stack.Wall/2; narrower += mm {
		changed := j
		changed.Stack.Wall = units.Length(math.Round(float64(j.Stack.Wall-narrower)*1e6) / 1e6)
		if try(changed, fmt.Sprintf("rings %v wide", changed.Stack.Wall)) {
			break
		}
	}
	for fewer := 1; fewer <= 2 && j.Stack.Layers > fewer; fewer++ {
		changed := j
		changed.Stack.Layers -= fewer
		if try(changed, fmt.Sprintf("%d layers", changed.Stack.Layers)) {
			break
		}
	}
	if j.Caps != GrainEither {
		changed := j
		changed.Caps = GrainEither
		try(changed, "grain of the caps either way")
	}
	return savings, nil
}

// quick returns how many sheets a job takes; it does not look further once the area
// alone needs more than wanted.
func (j Job) quick(wanted int) (int, error) {
	n, err := SheetsByArea(units.Area(j.Cabinets)*j.Stack.SheetArea(), j.Sheet)
	if err != nil || j.Stack.Check() != nil || n > wanted {
		return math.MaxInt, err
	}
	p, err := j.Plan()
	return p.Sheets, err
}

// LayersForWidth returns the stacks of the two whole numbers of layers around a wanted
// inside width: the widest that does not exceed it and the narrowest that reaches it,
// both the same if one has exactly that width (to 1e-9). The Layers of s are ignored.
func (s Stack) LayersForWidth(inside units.Length) (fewer, more Stack, err error) {
	if err := units.Positive("cabinet: wanted inside width", inside); err != nil {
		return s, s, err
	}
	s.Layers = 1
	if err := s.Check(); err != nil {
		return s, s, err
	}
	n := float64(inside-s.GlueLine) / float64(s.Thickness+s.GlueLine)
	const most = 1e6
	if !(n <= most) {
		return s, s, &units.RangeError{Field: "cabinet: wanted inside width", Value: inside.String(), Want: fmt.Sprintf("must not need more than %.0f layers", most)}
	}
	hair := 1e-9 * max(1, n)
	fewer, more = s, s
	fewer.Layers = int(max(1, math.Floor(n+hair)))
	more.Layers = int(max(1, math.Ceil(n-hair)))
	return fewer, more, nil
}
