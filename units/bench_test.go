package units

import "testing"

func BenchmarkParse(b *testing.B) {
	for _, c := range []struct{ typ, text string }{
		{"Capacitance", "6.8 µF"}, {"Length", `3' 4-1/8"`}, {"Resistance", "4R7"},
	} {
		b.Run(c.text, func(b *testing.B) {
			q := quantityOf(b, c.typ)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := q.parse(c.text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkMarshalText(b *testing.B) {
	v := 22 * Litre
	b.ReportAllocs()
	for b.Loop() {
		if _, err := v.MarshalText(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkString(b *testing.B) {
	v := 22 * Litre
	b.ReportAllocs()
	for b.Loop() {
		_ = v.String()
	}
}
