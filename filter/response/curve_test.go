package response

import (
	"errors"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/units"
)

// plain writes a table with semicolons and points.
func plain(t *Table) string {
	var b strings.Builder
	for i := range t.Columns[0] {
		for j, c := range t.Columns {
			if j > 0 {
				b.WriteByte(';')
			}
			b.WriteString(strconv.FormatFloat(c[i], 'g', -1, 64))
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// lowPass is a second-order low-pass at 1 kHz behind a delay of 20 µs.
func lowPass(q, hz float64) complex128 {
	s := complex(0, hz/1000)
	return 1 / (1 + s/complex(q, 0) + s*s) * cmplx.Exp(complex(0, -2*math.Pi*hz*20e-6))
}

func sample(hz []float64, q float64) Curve {
	c := Curve{Hz: hz, HasPhase: true}
	for _, f := range hz {
		c.H = append(c.H, lowPass(q, f))
	}
	return c
}

func TestGoldenLevels(t *testing.T) {
	golden.Run(t, "testdata/levels.csv", func(t *testing.T, r golden.Row) {
		switch r.Calculation {
		case "level":
			m := r.Num(t, "magnitude", "1")
			r.Check(t, DB(complex(0, -m)))
			if got := FromDB(r.Value.Float()); !(math.Abs(got-m) <= 1e-5*m) {
				t.Errorf("FromDB(%s) = %v, want %v", r.Value, got, m)
			}
		case "sound pressure level":
			r.Check(t, DB(complex(r.Num(t, "pressure", "Pa")/20e-6, 0)))
		default:
			r.Unknown(t)
		}
	})
}

func TestLevelAndPhase(t *testing.T) {
	if got := DB(0); !math.IsInf(got, -1) {
		t.Errorf("level of 0 is %v", got)
	}
	for h, want := range map[complex128]float64{1: 0, 1i: 90, -1: 180, -1i: -90, 1 - 1i: -45} {
		if got := Phase(h); !(math.Abs(got-want) <= 1e-13) {
			t.Errorf("phase of %v is %v, want %v", h, got, want)
		}
	}
	for db := -200.; db <= 200; db += 7.3 {
		if got := DB(complex(FromDB(db), 0)); !(math.Abs(got-db) <= 1e-12) {
			t.Errorf("DB(FromDB(%v)) = %v", db, got)
		}
	}
}

// A table in any form gives the values it was written from.
func TestCurveForms(t *testing.T) {
	hz := LogGrid(20, 20000, 10)
	want := sample(hz, 0.7)
	table := Table{Names: []string{"f", "dB", "SPL", "|H|", "deg", "rad"}, Columns: make([][]float64, 6)}
	for i, f := range hz {
		row := []float64{f, DB(want.H[i]), DB(want.H[i] / 20e-6), cmplx.Abs(want.H[i]), Phase(want.H[i]), cmplx.Phase(want.H[i])}
		for j, v := range row {
			table.Columns[j] = append(table.Columns[j], v)
		}
	}
	for _, form := range []Form{
		{Frequency: "f", Level: "dB", Phase: "deg"},
		{Frequency: "f", Level: "dB", Phase: "rad", Radians: true},
		{Frequency: "f", Level: "SPL", Phase: "deg", Reference: 20e-6},
		{Frequency: "f", Level: "|H|", Phase: "rad", Linear: true, Radians: true},
	} {
		got, err := table.Curve(form)
		if d := cmp.Diff(want, got, golden.Approx(1e-13, 1e-15)); err != nil || d != "" {
			t.Errorf("%+v: %v (-want +got)\n%s", form, err, d)
		}
	}
	got, err := table.Curve(Form{Frequency: "f", Level: "dB"})
	for i := range want.H {
		want.H[i] = complex(cmplx.Abs(want.H[i]), 0)
	}
	want.HasPhase = false
	if d := cmp.Diff(want, got, golden.Approx(1e-13, 0)); err != nil || d != "" {
		t.Errorf("without phase: %v (-want +got)\n%s", err, d)
	}
	got.Hz[0], got.H[0] = 1, 1
	if table.Columns[0][0] != 20 {
		t.Error("the curve shares its frequencies with the table")
	}
}

func TestCurveRefuses(t *testing.T) {
	for _, c := range []struct {
		text string
		form Form
		want string
	}{
		{"20,80\n30,81\n30,82\n", Form{}, "response: line 3, column 1: frequency 30 Hz: must not stand there twice"},
		{"# x\n20,80\n\n10,81\n", Form{}, "response: line 4, column 1: frequency 10 Hz: must be above the 20 Hz before it"},
		{"0,80\n30,81\n", Form{}, "response: line 1, column 1: frequency 0 Hz: must be positive and finite"},
		{"-5,80\n30,81\n", Form{}, "response: line 1, column 1: frequency -5 Hz: must be positive and finite"},
		{"20,80\n", Form{}, "response: a curve of 1 point: must have at least two"},
		{"20,80\n30,0\n", Form{Linear: true}, `response: line 2, column 2: level 0: must give a positive, finite magnitude`},
		{"20,80\n30,-1\n", Form{Linear: true}, `response: line 2, column 2: level -1: must give a positive, finite magnitude`},
		{"20,80\n30,1e5\n", Form{}, `response: line 2, column 2: level 100000 dB: must give a positive, finite magnitude`},
		{"20,80\n30,-1e5\n", Form{}, `response: line 2, column 2: level -100000 dB: must give a positive, finite magnitude`},
		{"20,80\n30,81\n", Form{Phase: "deg"}, `response: no column "deg"; there are "1", "2"`},
		{"20,80\n30,81\n", Form{Radians: true}, "response: radians, but no column of phase is named"},
		{"20,80\n30,81\n", Form{Linear: true, Reference: 2e-5}, "response: reference 2e-05: must be left out, since the level is linear"},
		{"20,80\n30,81\n", Form{Reference: -1}, "response: reference -1: must be positive and finite"},
		{"20,80\n30,81\n", Form{Reference: math.NaN()}, "response: reference NaN: must be positive and finite"},
	} {
		table, err := Read(strings.NewReader(c.text))
		if err != nil {
			t.Fatal(err)
		}
		c.form.Frequency, c.form.Level = "1", "2"
		if _, err := table.Curve(c.form); err == nil || err.Error() != c.want {
			t.Errorf("%q, %+v:\n got %v\nwant %s", c.text, c.form, err, c.want)
		}
	}
	hand := Table{Names: []string{"f", "p"}, Columns: [][]float64{{1, 2}, {0, math.NaN()}}}
	if _, err := hand.Curve(Form{Frequency: "f", Level: "f", Phase: "p"}); err == nil || !strings.Contains(err.Error(), "row 2, column 2: phase NaN: must be finite") {
		t.Errorf("error %v, want one that names row 2", err)
	}
}

func TestCheck(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, c := range map[string]Curve{
		"empty":                {},
		"lengths":              {Hz: []float64{1, 2}, H: []complex128{1}},
		"NaN frequency":        {Hz: []float64{1, nan}, H: []complex128{1, 1}},
		"Inf frequency":        {Hz: []float64{1, inf}, H: []complex128{1, 1}},
		"descending":           {Hz: []float64{2, 1}, H: []complex128{1, 1}},
		"zero value":           {Hz: []float64{1, 2}, H: []complex128{1, 0}},
		"NaN value":            {Hz: []float64{1, 2}, H: []complex128{1, complex(nan, 0)}},
		"Inf value":            {Hz: []float64{1, 2}, H: []complex128{1, complex(0, inf)}, HasPhase: true},
		"phase, yet not known": {Hz: []float64{1, 2}, H: []complex128{1, 1i}},
		"sign, yet not known":  {Hz: []float64{1, 2}, H: []complex128{1, -1}},
	} {
		if err := c.Check(); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	if err := (Curve{Hz: []float64{1, 2}, H: []complex128{1, -1i}, HasPhase: true}).Check(); err != nil {
		t.Error(err)
	}
}

// A known response comes back from a table between its points: within 0.001 dB
// and 0.01°, and never at the points themselves only.
func TestResampleAnalytic(t *testing.T) {
	for _, c := range []struct{ q, db, degrees float64 }{
		{math.Sqrt2 / 2, 1e-3, 0.01},
		{1, 1e-3, 0.01},
		{3, 3e-3, 0.04}, // as the doc comment says
	} {
		table := sample(LogGrid(20, 20000, 80), c.q)
		hz := LogGrid(20, 20000, 977)
		h := make([]complex128, len(hz))
		if err := table.Resample(h, hz); err != nil {
			t.Fatal(err)
		}
		worst, turn := 0., 0.
		for i, f := range hz {
			ratio := h[i] / lowPass(c.q, f)
			worst, turn = max(worst, math.Abs(DB(ratio))), max(turn, math.Abs(Phase(ratio)))
		}
		if !(worst <= c.db) || !(turn <= c.degrees) {
			t.Errorf("Q = %.2f: off by %.2g dB, %.2g°, allowed %g dB, %g°", c.q, worst, turn, c.db, c.degrees)
		}
	}
}

// At the points the table itself comes back; frequencies may come in any order.
func TestResampleAtPoints(t *testing.T) {
	c := sample(LogGrid(10, 30000, 20), 2)
	order := rand.New(rand.NewPCG(1, 2)).Perm(len(c.Hz))
	hz, want := make([]float64, len(order)), make([]complex128, len(order))
	for i, j := range order {
		hz[i], want[i] = c.Hz[j], c.H[j]
	}
	h := make([]complex128, len(hz))
	if err := c.Resample(h, hz); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, h, golden.Approx(1e-12, 1e-12)); d != "" {
		t.Error(d)
	}
}

// A second road: on the logarithms a power law with a phase that follows the
// logarithm of frequency is a straight line, which any interpolation keeps.
func TestResamplePowerLaw(t *testing.T) {
	law := func(f float64) complex128 { return cmplx.Rect(math.Pow(f, 1.5), 3*math.Log(f)) }
	for _, hz := range [][]float64{{20, 30}, {20, 30, 55}, LogGrid(20, 20000, 7)} {
		c := Curve{Hz: hz, HasPhase: true}
		for _, f := range hz {
			c.H = append(c.H, law(f))
		}
		ask := LogGrid(hz[0], hz[len(hz)-1], 101)
		h := make([]complex128, len(ask))
		if err := c.Resample(h, ask); err != nil {
			t.Fatal(err)
		}
		for i, f := range ask {
			if d := cmplx.Abs(h[i]/law(f) - 1); !(d <= 1e-11) {
				t.Errorf("%d points: off by %.2g at %v Hz", len(hz), d, f)
			}
		}
	}
}

// A curve without phase stays one.
func TestResampleLevelOnly(t *testing.T) {
	c := Curve{Hz: []float64{20, 200, 2000}, H: []complex128{1, 10, 1}}
	h := make([]complex128, 1)
	if err := c.Resample(h, []float64{100}); err != nil {
		t.Fatal(err)
	}
	if !(real(h[0]) > 1 && real(h[0]) < 10) || imag(h[0]) != 0 {
		t.Errorf("got %v", h[0])
	}
}

func TestResampleNeverExtrapolates(t *testing.T) {
	c := sample(LogGrid(20, 20000, 10), 1)
	h := make([]complex128, 2)
	for _, hz := range [][]float64{{19.9, 100}, {100, 20001}, {100, math.NaN()}, {math.NaN(), 100}, {100, math.Inf(1)}, {-1, 100}, {0, 100}} {
		err := c.Resample(h, hz)
		var e *units.RangeError
		if !errors.As(err, &e) {
			t.Errorf("%v: error %v, want a *units.RangeError", hz, err)
		}
	}
	err := c.Resample(h, []float64{19.9, 100})
	if want := "response: band 19.9 Hz to 100 Hz: must lie within the table's 20 Hz to 20000 Hz"; err.Error() != want {
		t.Errorf("got %v\nwant %s", err, want)
	}
	// The last digit of a frequency is lost in its logarithm.
	twin := Curve{Hz: []float64{20, 1000, math.Nextafter(1000, 2000)}, H: []complex128{1, 2, 3}}
	var e *units.RangeError
	if err := twin.Resample(h[:1], []float64{100}); !errors.As(err, &e) || err.Error() != "response: point 3: frequency 1000.0000000000001 Hz: must not stand there twice" {
		t.Errorf("error %v", err)
	}
	// The end as another road rounds it is still the end.
	if err := c.Resample(h, []float64{20 * (1 - 1e-12), 20000 * (1 + 1e-12)}); err != nil {
		t.Error(err)
	}
	if d := cmp.Diff([]complex128{c.H[0], c.H[len(c.H)-1]}, h, golden.Approx(1e-12, 0)); d != "" {
		t.Error(d)
	}
	if err := c.Resample(nil, nil); err != nil {
		t.Error(err)
	}
	if err := (Curve{}).Resample(h, []float64{1, 2}); err == nil {
		t.Error("an empty curve was resampled")
	}
	if err := (Curve{}).Covers(1, 2); err == nil {
		t.Error("an empty curve covers a band")
	}
	if err := c.Covers(200, 100); err == nil {
		t.Error("a band that runs downward is covered")
	}
	if err := c.Covers(20, 20000); err != nil {
		t.Error(err)
	}
}

func TestResamplePanicsOnLengths(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	sample([]float64{1, 2}, 1).Resample(make([]complex128, 1), []float64{1, 2})
}

func TestUnwrap(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		// A path of steps below half a turn, wrapped, unwraps to itself but for whole turns.
		path, wrapped := make([]float64, 50), make([]float64, 50)
		p := 360 * random.NormFloat64()
		for i := range path {
			p += 179 * (2*random.Float64() - 1)
			path[i] = p
			wrapped[i] = math.Remainder(p, 360) + 360*float64(random.IntN(3)-1)
		}
		got := Unwrap(nil, wrapped)
		for i := range path {
			if d := (got[i] - got[0]) - (path[i] - path[0]); !(math.Abs(d) <= 1e-9) {
				t.Fatalf("point %d: %v, want %v", i, got[i]-got[0], path[i]-path[0])
			}
			if turns := (got[i] - wrapped[i]) / 360; math.Abs(turns-math.Round(turns)) > 1e-12 {
				t.Fatalf("point %d: moved by %v turns", i, turns)
			}
		}
		again := Unwrap(make([]float64, 50), got)
		if d := cmp.Diff(got, again); d != "" {
			t.Fatalf("not idempotent: %s", d)
		}
		Unwrap(wrapped, wrapped)
		if d := cmp.Diff(got, wrapped); d != "" {
			t.Fatalf("in place: %s", d)
		}
	}
	for _, c := range []struct{ in, want []float64 }{
		{[]float64{}, []float64{}},
		{[]float64{170, -170}, []float64{170, 190}},
		{[]float64{-170, 170, -170}, []float64{-170, -190, -170}},
		{[]float64{0, 180, 0, -180}, []float64{0, 180, 0, -180}}, // half a turn stays
		{[]float64{0, 721, 1}, []float64{0, 1, 1}},
	} {
		if d := cmp.Diff(c.want, Unwrap(nil, c.in)); d != "" {
			t.Errorf("%v: (-want +got)\n%s", c.in, d)
		}
	}
}

func TestLogGrid(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		per    int
		points int
	}{
		{20, 20000, 80, 241}, {10, 100, 1, 2}, {1, 1e6, 24, 145}, {20, 21, 10, 2}, {20, 20e3, 10, 31}, {0.1, 100, 30, 91}, {31.5, 8e3, 48, 117},
	} {
		hz := LogGrid(c.lo, c.hi, c.per)
		if len(hz) != c.points || hz[0] != c.lo || hz[len(hz)-1] != c.hi {
			t.Errorf("%+v: %d points from %v to %v", c, len(hz), hz[0], hz[len(hz)-1])
		}
		ratio := math.Pow(c.hi/c.lo, 1/float64(len(hz)-1))
		if !(math.Log10(ratio)*float64(c.per) <= 1+1e-9) {
			t.Errorf("%+v: ratio %v is too coarse", c, ratio)
		}
		for i := 1; i < len(hz); i++ {
			if !(math.Abs(hz[i]/hz[i-1]/ratio-1) <= 1e-13) {
				t.Errorf("%+v: step %d is %v, want %v", c, i, hz[i]/hz[i-1], ratio)
			}
		}
	}
	// A whole number of intervals, though rounded in the last digit, is not exceeded.
	for k := 1; k <= 240; k++ {
		if hz := LogGrid(20, 20*math.Pow(10, float64(k)/80), 80); len(hz) != k+1 {
			t.Errorf("%d intervals: %d points", k, len(hz))
		}
	}
	for _, c := range []struct {
		lo, hi float64
		per    int
	}{{0, 1, 1}, {2, 1, 1}, {1, 1, 1}, {1, 2, 0}, {math.NaN(), 1, 1}, {1, math.NaN(), 1}, {1, math.Inf(1), 1}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%+v: no panic", c)
				}
			}()
			LogGrid(c.lo, c.hi, c.per)
		}()
	}
}

func woofer(tb testing.TB) Curve {
	f, err := os.Open("testdata/woofer_impedance.csv")
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	table, err := Read(f)
	if err != nil {
		tb.Fatal(err)
	}
	c, err := table.Curve(Form{Frequency: "frequency_Hz", Level: "magnitude_ohm", Phase: "phase_deg", Linear: true})
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

// An impedance stays passive between its points.
func TestResampleImpedance(t *testing.T) {
	c := woofer(t)
	hz := LogGrid(20, 20000, 200)
	z := make([]complex128, len(hz))
	if err := c.Resample(z, hz); err != nil {
		t.Fatal(err)
	}
	for i, f := range hz {
		if !(real(z[i]) > 0) {
			t.Errorf("Re Z = %v at %v Hz", real(z[i]), f)
		}
	}
}

// Work for the grid allocates nothing; the two fits do.
func TestResampleAllocations(t *testing.T) {
	c := woofer(t)
	count := func(perDecade int) float64 {
		hz := LogGrid(20, 20000, perDecade)
		h := make([]complex128, len(hz))
		return testing.AllocsPerRun(5, func() { c.Resample(h, hz) })
	}
	if few, many := count(10), count(1000); few != many {
		t.Errorf("%v allocations for 31 frequencies, %v for 3001", few, many)
	}
}

func BenchmarkResample(b *testing.B) {
	c := woofer(b)
	hz := LogGrid(20, 20000, 200)
	h := make([]complex128, len(hz))
	b.ReportAllocs()
	for b.Loop() {
		if err := c.Resample(h, hz); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(hz)), "ns/point")
}
