package units

import (
	"math"
	"testing"
)

// Whatever is read is finite, and survives writing and reading to the bit. The
// quantity is picked by a number so that one corpus serves all of them.
func FuzzParse(f *testing.F) {
	for i, q := range quantities {
		for _, u := range q.spec.units {
			for k := range splitKeys(u) {
				f.Add(uint8(i), "1.5 "+k)
				f.Add(uint8(i), "-3/4"+k)
			}
		}
	}
	for _, text := range []string{
		`3' 4-1/8"`, "1 1/8 in", "4R7", "R47", "4u7", "1,000.5 L", "0,470 L", "1e999999999 L", "1e-400 m",
		"-0 L", "−5 °C", "½ in", "NaN", "Inf", "1e400 K", "\xff", "2³ m", "10 000 Hz", "-273.15 °C", "",
	} {
		for i := range quantities {
			f.Add(uint8(i), text)
		}
	}
	f.Fuzz(func(t *testing.T, i uint8, text string) {
		q := quantities[int(i)%len(quantities)]
		v, err := q.parse(text)
		if err != nil {
			if v != 0 {
				t.Fatalf("%s %q: %v beside error %v", q.typ, text, v, err)
			}
			return
		}
		sameBits(t, q, v)
	})
}

// Every finite float64 survives in every quantity.
func FuzzRoundTrip(f *testing.F) {
	for i := range quantities {
		for _, v := range bits(20) {
			f.Add(uint8(i), math.Float64bits(v))
		}
	}
	f.Fuzz(func(t *testing.T, i uint8, b uint64) {
		v := math.Float64frombits(b)
		q := quantities[int(i)%len(quantities)]
		if math.IsNaN(v) || math.IsInf(v, 0) {
			if _, err := q.marshal(v); err == nil {
				t.Fatalf("%s: %v has a text", q.typ, v)
			}
			return
		}
		sameBits(t, q, v)
	})
}

func sameBits(t *testing.T, q quantity, v float64) {
	t.Helper()
	text, err := q.marshal(v)
	if err != nil {
		t.Fatalf("%s %v: %v", q.typ, v, err)
	}
	back, err := q.parse(string(text))
	if err != nil || math.Float64bits(back) != math.Float64bits(v) {
		t.Fatalf("%s %b: written %s, read %b, %v", q.typ, v, text, back, err)
	}
	if s := q.format(v); s == "" {
		t.Fatalf("%s %v: String is empty", q.typ, v)
	}
}
