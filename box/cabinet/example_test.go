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
