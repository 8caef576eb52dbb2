package outline_test

import (
	"testing"

	. "example.com/halfspace/box/outline"
)

func BenchmarkArea(b *testing.B) {
	o := RoundedRectangle(0.35, 0.6, 0.05)
	for b.Loop() {
		o.Area()
	}
}

func BenchmarkContains(b *testing.B) {
	o := RoundedRectangle(0.35, 0.6, 0.05)
	for b.Loop() {
		o.Contains(Point{X: 0.1, Y: 0.2})
	}
}

func BenchmarkOffset(b *testing.B) {
	o := RoundedRectangle(0.35, 0.6, 0.05)
	for b.Loop() {
		if _, err := o.Offset(0.038); err != nil {
			b.Fatal(err)
		}
	}
}
