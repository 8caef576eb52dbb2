package ts_test

import (
	"testing"

	"example.com/halfspace/units/air"
)

func BenchmarkReconcile(b *testing.B) {
	for b.Loop() {
		if _, err := spoiled.Reconcile(air.Air{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCulprits(b *testing.B) {
	for b.Loop() {
		if _, _, err := spoiled.Culprits(air.Air{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCreepingSuspension(b *testing.B) {
	d := woofer
	d.Creep = 0.09
	for b.Loop() {
		d.Suspension(300i)
	}
}
