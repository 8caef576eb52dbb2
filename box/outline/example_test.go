package outline_test

import (
	"fmt"

	"example.com/halfspace/box/outline"
	"example.com/halfspace/units"
)

// A rectangle of 300 mm by 200 mm under a triangle of 60 mm height.
func ExampleOutline_Area() {
	const mm = units.Millimetre
	gable := outline.Outline{{X: 0, Y: 0}, {X: 300 * mm, Y: 0}, {X: 300 * mm, Y: 200 * mm}, {X: 150 * mm, Y: 260 * mm}, {X: 0, Y: 200 * mm}}
	fmt.Printf("%.0f mm²\n", gable.Area().In(units.SquareMillimetre))
	// Output:
	// 69000 mm²
}

// What a wall of 38 mm leaves of a side view of 350 mm by 600 mm with corners
// rounded to 50 mm.
func ExampleOutline_Offset() {
	const mm = units.Millimetre
	side := outline.RoundedRectangle(350*mm, 600*mm, 50*mm)
	inside, err := side.Offset(38 * mm)
	if err != nil {
		fmt.Println(err)
		return
	}
	lo, hi := inside.Bounds()
	fmt.Printf("%.0f mm by %.0f mm, corners %.0f mm\n", (hi.X - lo.X).In(mm), (hi.Y - lo.Y).In(mm), inside[0].Round.In(mm))
	// Output:
	// 274 mm by 524 mm, corners 12 mm
}

// A side view with a bowed front: 20 mm deep over 600 mm.
func Example() {
	const mm = units.Millimetre
	side := outline.Outline{
		{X: 0, Y: 0},
		{X: 330 * mm, Y: 0, Rise: 20 * mm}, // the front, from bottom to top
		{X: 330 * mm, Y: 600 * mm},
		{X: 0, Y: 600 * mm},
	}
	if err := side.Check(); err != nil {
		fmt.Println(err)
		return
	}
	front := side.Sides()[1]
	fmt.Printf("radius of the bow %.0f mm\n", front.Radius.In(mm))
	fmt.Printf("area %.1f cm²\n", side.Area().In(units.SquareCentimetre))
	// Output:
	// radius of the bow 2260 mm
	// area 2060.1 cm²
}
