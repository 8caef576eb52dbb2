package cabinet_test

import (
	"fmt"
	"slices"

	"example.com/halfspace/box/cabinet"
	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// A cabinet of 13 layers: 350 mm deep, 600 mm high, and about 220 mm wide with its caps.
func Example() {
	const mm = units.Millimetre
	s := cabinet.Stack{
		Profile:   outline.Rectangle(350*mm, 600*mm),
		Wall:      38 * mm,
		Layers:    13,
		Thickness: 14.6 * mm, // measured, of a sheet called 15 mm
	}
	vent := cabinet.Displacement{Name: "vent", Volume: cabinet.Frustum(75*mm, 75*mm, 216*mm)}
	woofer := cabinet.Displacement{Name: "woofer", Volume: 0.8 * units.Litre}
	net, err := s.Net(woofer, vent)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("width %.1f mm\n", s.OutsideWidth().In(mm))
	fmt.Printf("gross %.2f L, net %.2f L\n", s.Gross().In(units.Litre), net.In(units.Litre))

	pieces, err := s.Pieces()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range pieces {
		fmt.Printf("%2d × %s %.0f × %.0f mm\n", p.Count, p.Name, p.Length.In(mm), p.Width.In(mm))
	}
	layout, err := cabinet.Sheet{Length: 2500 * mm, Width: 1250 * mm}.Cut(slices.Concat(pieces, pieces))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("a pair is %.2f m², sheets: %d\n", 2*s.SheetArea().In(units.SquareMetre), layout.Sheets)
	// Output:
	// width 219.0 mm
	// gross 27.25 L, net 25.50 L
	// 13 × ring side 1 350 × 38 mm
	// 13 × ring side 2 600 × 38 mm
	// 13 × ring side 3 350 × 38 mm
	// 13 × ring side 4 600 × 38 mm
	//  2 × end cap 600 × 350 mm
	// a pair is 2.57 m², sheets: 1
}

// How many layers give 25 litres?
func ExampleStack_LayersFor() {
	const mm = units.Millimetre
	s := cabinet.Stack{Profile: outline.Rectangle(350*mm, 600*mm), Wall: 38 * mm, Thickness: 14.6 * mm}
	inside := cabinet.Displacement{Name: "drivers and vent", Volume: 1.8 * units.Litre}
	fewer, more, err := s.LayersFor(25*units.Litre, inside)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range []cabinet.Stack{fewer, more} {
		net, _ := s.Net(inside)
		fmt.Printf("%d layers: %.2f L\n", s.Layers, net.In(units.Litre))
	}
	// Output:
	// 12 layers: 23.35 L
	// 13 layers: 25.45 L
}

// The lowest standing waves of an inside of 0.6 m by 0.4 m by 0.3 m.
func ExampleModes() {
	modes, err := cabinet.Modes([3]units.Length{0.6, 0.4, 0.3}, 344, 520)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range modes {
		fmt.Printf("%v %.3f Hz\n", m.N, m.Frequency.In(units.Hertz))
	}
	// Output:
	// [1 0 0] 286.667 Hz
	// [0 1 0] 430.000 Hz
	// [1 1 0] 516.796 Hz
}

// The rings of a cabinet in two patterns: each side less one wall, turned over in
// every second layer.
func ExampleStack_Interlock() {
	const mm = units.Millimetre
	s := cabinet.Stack{Profile: outline.Rectangle(350*mm, 600*mm), Wall: 38 * mm, Layers: 13, Thickness: 14.6 * mm}
	layers, err := s.Interlock([2][]cabinet.Joint{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range layers.Parts {
		fmt.Printf("%s: %d of %.0f mm\n", p.Name, p.Count, p.Length.In(mm))
	}
	fmt.Printf("joints at least %.0f mm apart\n", layers.Lap.In(mm))
	// Output:
	// piece A: 26 of 312 mm
	// piece B: 26 of 562 mm
	// joints at least 38 mm apart
}

// Two cabinets from one sheet, and what a narrower sheet would ask for.
func ExampleJob() {
	const mm = units.Millimetre
	job := cabinet.Job{
		Stack:    cabinet.Stack{Profile: outline.Rectangle(350*mm, 600*mm), Wall: 38 * mm, Layers: 13, Thickness: 14.6 * mm},
		Cabinets: 2,
		Sheet:    cabinet.Sheet{Length: 2500 * mm, Width: 1250 * mm},
	}
	plan, err := job.Plan()
	if err != nil {
		fmt.Println(err)
		return
	}
	spares, err := job.FreeSpares()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("sheets: %d, at least %d; spares of each for nothing: %d\n", plan.Sheets, plan.Least, spares)
	for _, step := range job.Sheet.Steps(plan.Lots[0].Pieces, plan.Lots[0].Layout) {
		fmt.Println(step)
	}
	job.Sheet.Width = 1150 * mm
	savings, err := job.Savings()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range savings {
		fmt.Printf("from a sheet 100 mm narrower: %s\n", s.Change)
	}
	// Output:
	// sheets: 1, at least 1; spares of each for nothing: 4
	// rip 1 × at 350 mm
	// rip 21 × at 38 mm
	// crosscut 4 × end cap at 600 mm
	// crosscut 52 × piece B at 562 mm
	// crosscut 52 × piece A at 312 mm
	// from a sheet 100 mm narrower: rings 36 mm wide
	// from a sheet 100 mm narrower: 12 layers
}

// The cutting stock of V. Chvátal, Linear Programming, 1983, chapter 13: rolls of 100
// into 97 of 45, 610 of 36, 395 of 31 and 211 of 14. The linear program needs 452.25
// rolls, whole rolls 453.
func ExampleSheet_Bound() {
	rolls := cabinet.Sheet{Length: 100, Width: 1, Kerf: 1e-12}
	list := []cabinet.Piece{
		{Name: "45", Count: 97, Length: 45, Width: 1},
		{Name: "36", Count: 610, Length: 36, Width: 1},
		{Name: "31", Count: 395, Length: 31, Width: 1},
		{Name: "14", Count: 211, Length: 14, Width: 1},
	}
	bound, err := rolls.Bound(list)
	if err != nil {
		fmt.Println(err)
		return
	}
	layout, err := rolls.Cut(list)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("by area %d, linear program %.2f, cut from %d\n", bound.Area, bound.Relaxed, layout.Sheets)
	// Output:
	// by area 416, linear program 452.25, cut from 453
}

// J. C. Herz, IBM Journal of Research and Development 16, 1972: as much as possible of
// a sheet of 127 by 98, by cuts from edge to edge.
func ExampleSheet_Yield() {
	var list []cabinet.Piece
	var area []float64
	for _, s := range [][2]units.Length{{21, 13}, {36, 17}, {54, 20}, {24, 27}, {18, 65}} {
		list = append(list, cabinet.Piece{Name: "piece", Count: 100, Length: s[0], Width: s[1]})
		area = append(area, float64(s[0]*s[1]))
	}
	y, err := cabinet.Sheet{Length: 127, Width: 98, Kerf: 1e-12}.Yield(list, area)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f of %d\n", y.Value, 127*98)
	// Output:
	// 12348 of 12446
}

// What stays free around a vent of 254 mm in a wall of 38 mm.
func ExampleStack_Clearance() {
	const mm = units.Millimetre
	s := cabinet.Stack{Profile: outline.Rectangle(350*mm, 600*mm), Wall: 38 * mm, Layers: 13, Thickness: 14.6 * mm}
	vent := cabinet.Mounted{Name: "vent", Side: 2, Along: 115 * mm, Across: 110 * mm, Hole: 74 * mm, Depth: 254 * mm, Room: 50 * mm}
	c, err := s.Clearance(vent)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f mm behind it, %.0f mm beside it\n", c.Behind.In(mm), c.Around.In(mm))
	// Output:
	// 58 mm behind it, 40 mm beside it
}
