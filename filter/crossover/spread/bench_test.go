package spread

import "testing"

// 1000 draws of six parts at 200 frequencies.
func BenchmarkDraw(b *testing.B) {
	s := sixParts(b, 200)
	for b.Loop() {
		if _, err := s.Draw(1000); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/1000/200, "ns/point")
}

func BenchmarkBands(b *testing.B) {
	d, err := sixParts(b, 200).Draw(10000)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := d.Bands(0.05, 0.5, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRank(b *testing.B) {
	s := sixParts(b, 200)
	for b.Loop() {
		if _, err := s.Rank(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWorst(b *testing.B) {
	s := sixParts(b, 200)
	for b.Loop() {
		if _, err := s.Worst(); err != nil {
			b.Fatal(err)
		}
	}
}
