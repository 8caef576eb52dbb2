package response

import (
	"math"
	"testing"

	"example.com/halfspace/internal/golden"
)

func TestGoldenBands(t *testing.T) {
	golden.Run(t, "testdata/bands.csv", func(t *testing.T, r golden.Row) {
		b, x := int(r.Num(t, "fraction", "1")), int(r.Num(t, "band", "1"))
		all := Bands(b, 1, 1e6)
		zero := 0 // the band at 1 kHz, or that next above
		for all[zero].Hi < 1001 {
			zero++
		}
		band := all[zero+x]
		switch r.Calculation {
		case "midband frequency":
			r.Check(t, band.Mid)
		case "lower band edge":
			r.Check(t, band.Lo)
		case "upper band edge":
			r.Check(t, band.Hi)
		default:
			r.Unknown(t)
		}
	})
}

// Without the formulas: bands join, all are as wide, ten decades hold as many as ten
// times ten thirds do, 1 kHz is a midband for b odd and an edge for b even, and midbands
// are the geometric means of the edges.
func TestBandsJoin(t *testing.T) {
	for b := 1; b <= 48; b++ {
		bands := Bands(b, 1, 1e6)
		found := false
		for i, band := range bands {
			if i > 0 && band.Lo != bands[i-1].Hi {
				t.Errorf("1/%d octave: edge %v after %v", b, band.Lo, bands[i-1].Hi)
			}
			if d := band.Mid*band.Mid/band.Lo/band.Hi - 1; !(math.Abs(d) <= 1e-14) {
				t.Errorf("1/%d octave: midband %v between %v and %v", b, band.Mid, band.Lo, band.Hi)
			}
			if d := 10 * float64(b) / 3 * math.Log10(band.Hi/band.Lo); !(math.Abs(d-1) <= 1e-12) {
				t.Errorf("1/%d octave at %v Hz is %v bands wide", b, band.Mid, d)
			}
			found = found || b%2 == 1 && math.Abs(band.Mid-1000) <= 1e-10 || b%2 == 0 && math.Abs(band.Lo-1000) <= 1e-10
		}
		if !found {
			t.Errorf("1/%d octave: 1 kHz is not where it should be", b)
		}
		if first, last := bands[0], bands[len(bands)-1]; !(first.Lo <= 1 && first.Hi > 1 && last.Lo < 1e6 && last.Hi >= 1e6*(1-1e-12)) {
			t.Errorf("1/%d octave: from %v to %v", b, first, last)
		}
	}
}

// Nominal frequencies find their bands, and an edge adds none outside.
func TestBandsByNominal(t *testing.T) {
	for _, c := range []struct {
		b           int
		lo, hi      float64
		n           int
		first, last float64
	}{
		{3, 20, 20000, 31, 19.953, 19952.623},
		{1, 31.5, 16000, 10, 31.623, 15848.932},
		{3, 31.5, 8000, 25, 31.623, 7943.282},
		{3, 891.2509381337455, 1122.018454301963, 1, 1000, 1000},
		{3, 891.25, 1122.02, 3, 794.328, 1258.925},
		{2, 1000, 1001, 1, 1188.502, 1188.502},
		{3, 1000, 1000.1, 1, 1000, 1000},
		{3, 891.2509381337455 * (1 - 1e-14), 891.2509381337455 * (1 + 1e-14), 1, 1000, 1000},
	} {
		got := Bands(c.b, c.lo, c.hi)
		if len(got) != c.n || math.Abs(got[0].Mid-c.first) > 1e-3 || math.Abs(got[len(got)-1].Mid-c.last) > 1e-3 {
			t.Errorf("%+v: %d bands, %v", c, len(got), got)
		}
	}
	for _, c := range []struct {
		b      int
		lo, hi float64
	}{{0, 1, 2}, {1, 0, 2}, {1, 2, 1}, {1, 1, 1}, {1, math.NaN(), 2}, {1, 1, math.NaN()}, {1, 1, math.Inf(1)}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%+v: no panic", c)
				}
			}()
			Bands(c.b, c.lo, c.hi)
		}()
	}
}
