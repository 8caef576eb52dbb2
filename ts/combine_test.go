package ts_test

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/mat"

	"example.com/halfspace/internal/golden"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

func TestCombineRows(t *testing.T) {
	golden.Run(t, "testdata/combine.csv", func(t *testing.T, r golden.Row) {
		one, a := woofer, air.Standard()
		if r.Calculation == "resistance of a cable" {
			r.Check(t, float64(ts.CableResistance(units.Length(r.Num(t, "length", "m")), units.Area(r.Num(t, "area", "mm2")*1e-6))))
			return
		}
		if r.Has("Rs") {
			checkSource(t, r, a)
			return
		}
		n := 2
		if r.Has("n") {
			n = int(r.Num(t, "n", "1"))
		}
		var d ts.Driver
		switch wiring := r.Word(t, "wiring"); {
		case r.Has("mounting") && wiring == "parallel":
			d = one.CompoundParallel()
		case r.Has("mounting") && wiring == "series":
			d = one.CompoundSeries()
		case wiring == "parallel":
			d = one.Parallel(n)
		case wiring == "series":
			d = one.Series(n)
		case wiring == "series-parallel" && n == 4:
			d = one.Series(2).Parallel(2)
		default:
			t.Fatalf("wiring %q", wiring)
		}
		switch r.Calculation {
		case "Sd of several over one":
			r.Check(t, float64(d.Sd/one.Sd))
		case "Vas of several over one":
			r.Check(t, float64(d.Vas(a)/one.Vas(a)))
		case "Mms of several over one":
			r.Check(t, float64(d.Mms/one.Mms))
		case "Cms of several over one":
			r.Check(t, float64(d.Cms/one.Cms))
		case "Re of several over one":
			r.Check(t, float64(d.Re/one.Re))
		case "Bl of several over one":
			r.Check(t, float64(d.Bl/one.Bl))
		case "fs and Q of several over one":
			r.Check(t, float64(d.Fs()/one.Fs()))
			r.Check(t, d.Qes()/one.Qes())
			r.Check(t, d.Qms()/one.Qms())
			r.Check(t, d.Qts()/one.Qts())
		case "eta0 of several over one":
			r.Check(t, float64(d.Eta0(a)/one.Eta0(a)))
		case "change of level at equal power":
			r.Check(t, float64(d.SPL1W(a)-one.SPL1W(a)))
		case "change of level at equal voltage":
			r.Check(t, float64(d.SPL283(a)-one.SPL283(a)))
		case "level of several at equal voltage":
			r.Check(t, r.Num(t, "level", "dB")+float64(d.SPL283(a)-one.SPL283(a)))
		default:
			r.Unknown(t)
		}
	})
}

// circuit solves drivers that push on chambers of air, each coil and each cone for
// itself, and returns the velocity of each cone and the current from 1 V. sides tells
// the chamber in front of and behind each cone, −1 for the open air.
func circuit(t *testing.T, d ts.Driver, series bool, sides [][2]int, chambers []units.Volume, hz float64) (u []complex128, current complex128) {
	t.Helper()
	n, m := len(sides), len(chambers)
	size := 2*n + m + 1 // currents, velocities, pressures, and the current of the source
	w := 2 * math.Pi * hz
	s := complex(0, w)
	a := make([][]complex128, size)
	for i := range a {
		a[i] = make([]complex128, size)
	}
	b := make([]complex128, size)
	ze := complex(float64(d.Re), 0) + d.Coil.Impedance(s)
	bl, sd := complex(float64(d.Bl), 0), complex(float64(d.Sd), 0)
	zm := complex(float64(d.Rms), 0) + s*complex(float64(d.Mms), 0) + 1/(s*complex(float64(d.Cms), 0))
	row := 0
	for i := range n {
		if series {
			a[row][i], a[row][size-1] = 1, -1 // the same current in each
		} else {
			a[row][i], a[row][n+i], b[row] = ze, bl, 1
		}
		row++
		a[row][n+i], a[row][i] = zm, -bl
		if f := sides[i][0]; f >= 0 {
			a[row][2*n+f] += sd
		}
		if f := sides[i][1]; f >= 0 {
			a[row][2*n+f] -= sd
		}
		row++
	}
	for k, v := range chambers { // the air is compressed by what flows in
		c := complex(float64(v)/float64(air.Standard().BulkModulus()), 0)
		a[row][2*n+k] = s * c
		for i, side := range sides {
			if side[0] == k {
				a[row][n+i] -= sd
			}
			if side[1] == k {
				a[row][n+i] += sd
			}
		}
		row++
	}
	for i := range n { // voltages, or currents, add up to those of the source
		if series {
			a[row][i], a[row][n+i], b[row] = ze, bl, 1
		} else {
			a[row][i] = 1
		}
	}
	if !series {
		a[row][size-1] = -1
	}
	x := solve(t, a, b)
	return x[n : 2*n], x[size-1]
}

// solve solves complex equations as real ones of twice the size. Their terms differ
// by powers of ten, so each row is scaled first.
func solve(t *testing.T, a [][]complex128, b []complex128) []complex128 {
	t.Helper()
	n := len(b)
	m, v := mat.NewDense(2*n, 2*n, nil), mat.NewVecDense(2*n, nil)
	for i := range n {
		top := 0.0
		for _, x := range a[i] {
			top = max(top, cmplx.Abs(x))
		}
		for j := range n {
			x := a[i][j] / complex(top, 0)
			m.Set(i, j, real(x))
			m.Set(i, n+j, -imag(x))
			m.Set(n+i, j, imag(x))
			m.Set(n+i, n+j, real(x))
		}
		v.SetVec(i, real(b[i])/top)
		v.SetVec(n+i, imag(b[i])/top)
	}
	var x mat.VecDense
	if err := x.SolveVec(m, v); err != nil {
		if _, poor := err.(mat.Condition); !poor {
			t.Fatal(err)
		}
	}
	out := make([]complex128, n)
	for i := range out {
		out[i] = complex(x.AtVec(i), x.AtVec(n+i))
	}
	return out
}

// single is one driver in a closed box, by the equations of one.
func single(d ts.Driver, vb units.Volume, hz float64) (u, current complex128) {
	s := complex(0, 2*math.Pi*hz)
	ze := complex(float64(d.Re), 0) + d.Coil.Impedance(s)
	k := 1/float64(d.Cms) + float64(d.Sd*d.Sd)*float64(air.Standard().BulkModulus())/float64(vb)
	zm := complex(float64(d.Rms), 0) + s*complex(float64(d.Mms), 0) + complex(k, 0)/s
	bl := complex(float64(d.Bl), 0)
	u = bl / (ze*zm + bl*bl)
	return u, zm * u / bl
}

// Drivers solved each for itself, in one box, do what the one they are taken for does.
func TestSeveralDriversAsCircuit(t *testing.T) {
	d := woofer
	d.Coil = ts.Coil{Leb: 0.2e-3, Le: 1e-3, Ke: 0.05, Rss: 30}
	const vb = 30 * units.Litre
	same := func(what string, got, want complex128) {
		t.Helper()
		if !(cmplx.Abs(got-want) <= 1e-9*cmplx.Abs(want)) {
			t.Errorf("%s: got %v, want %v", what, got, want)
		}
	}
	for hz := 10.0; hz < 2000; hz *= 1.7 {
		for n := 1; n <= 4; n++ {
			sides := make([][2]int, n)
			for i := range sides {
				sides[i] = [2]int{-1, 0}
			}
			for _, series := range []bool{false, true} {
				u, i := circuit(t, d, series, sides, []units.Volume{vb}, hz)
				as := d.Parallel(n)
				if series {
					as = d.Series(n)
				}
				v, j := single(as, vb, hz)
				for _, x := range u {
					same("velocity", x, v)
				}
				same("current", i, j)
			}
		}
	}
}

// With little air between, one driver behind the other works as the ideal pair; the
// error of the pressure is as the doc comment says.
func TestCompoundAsCircuit(t *testing.T) {
	d := woofer
	d.Cms = units.Compliance(float64(60*units.Litre) / (float64(air.Standard().BulkModulus()) * float64(d.Sd*d.Sd)))
	d.Rms = units.MechanicalResistance(math.Sqrt(float64(d.Mms)/float64(d.Cms)) / 5)
	const vb = 30 * units.Litre
	for _, series := range []bool{false, true} {
		as := d.CompoundParallel()
		if series {
			as = d.CompoundSeries()
		}
		for _, c := range []struct {
			between units.Volume
			dB      float64
		}{{1e-9, 1e-6}, {0.1 * units.Litre, 0.011}, {1 * units.Litre, 0.11}, {3 * units.Litre, 0.31}} {
			worst := 0.0
			for hz := 10.0; hz <= 100; hz *= 1.1 {
				u, i := circuit(t, d, series, [][2]int{{-1, 0}, {0, 1}}, []units.Volume{c.between, vb}, hz)
				v, j := single(as, vb, hz)
				worst = max(worst, math.Abs(20*math.Log10(cmplx.Abs(u[0]/v))))
				if c.between < 1e-8 && !(cmplx.Abs(i/j-1) < 1e-6) {
					t.Errorf("%.0f Hz: current %v, want %v", hz, i, j)
				}
			}
			if !(worst <= c.dB) || c.dB > 1e-3 && worst < c.dB*0.9 {
				t.Errorf("series %v, %v between: %.4f dB off, the doc says %g", series, c.between, worst, c.dB)
			}
		}
	}
}

// Where the cones swing against each other on the air between, coils in series do not
// damp them, and those in parallel do.
func TestCompoundAgainstItself(t *testing.T) {
	d := woofer
	const between, vb = 3 * units.Litre, 30 * units.Litre // the box loads one of them, and so excites it
	k := 2*float64(d.Sd*d.Sd)*float64(air.Standard().BulkModulus())/float64(between) + 1/float64(d.Cms)
	hz := math.Sqrt(k/float64(d.Mms)) / (2 * math.Pi)
	off := func(series bool, as ts.Driver) float64 {
		u, _ := circuit(t, d, series, [][2]int{{-1, 0}, {0, 1}}, []units.Volume{between, vb}, hz)
		v, _ := single(as, vb, hz)
		return 20 * math.Log10(cmplx.Abs(u[0]/v))
	}
	if series, parallel := off(true, d.CompoundSeries()), off(false, d.CompoundParallel()); !(series > 3 && math.Abs(parallel) < 1.5) {
		t.Errorf("at %.0f Hz: %.2f dB off in series, %.2f dB in parallel", hz, series, parallel)
	}
}

// A resistance in series is a part of the circuit before the terminals: the current of
// the source is the same.
func TestSourceAndMass(t *testing.T) {
	d := woofer
	d.Power = 60
	s := d.WithSource(1.3)
	for hz := 10.0; hz < 2000; hz *= 2 {
		_, i := single(d, 0.03, hz)
		_, j := single(s, 0.03, hz)
		if want := 1 / (1/i + 1.3); !(cmplx.Abs(j-want) < 1e-12*cmplx.Abs(want)) {
			t.Errorf("%.0f Hz: %v, want %v", hz, j, want)
		}
	}
	near(t, "Qes", s.Qes(), d.Qes()*float64((d.Re+1.3)/d.Re), 1e-14)
	near(t, "current that the power stands for", math.Sqrt(float64(s.Power)/float64(s.Re)), math.Sqrt(60/float64(d.Re)), 1e-14)

	h := d.AddMass(3 * d.Mms) // four times the mass: half of fs, twice the Q
	near(t, "fs", float64(h.Fs()), float64(d.Fs())/2, 1e-14)
	near(t, "Qts", h.Qts(), 2*d.Qts(), 1e-14)
	near(t, "Vas", float64(h.Vas(air.Air{})), float64(d.Vas(air.Air{})), 1e-14)

	for _, bad := range []ts.Driver{
		d.WithSource(-d.Re), d.WithSource(units.Resistance(math.NaN())), d.AddMass(-d.Mms), d.AddMass(units.Mass(math.Inf(1))),
	} {
		if bad.Check() == nil {
			t.Errorf("%+v passes", bad)
		}
	}
}

// Heat divides among the coils, and stroke does not.
func TestSeveralBearMore(t *testing.T) {
	d := woofer
	d.Power, d.Xmax = 60, 5e-3
	for _, many := range []ts.Driver{d.Parallel(4), d.Series(4), d.Series(2).Parallel(2), d.CompoundParallel().CompoundSeries()} {
		if many.Power != 240 || many.Xmax != 5e-3 {
			t.Errorf("%v and %v", many.Power, many.Xmax)
		}
	}
	if d.Parallel(1) != d || d.Series(1) != d {
		t.Error("one driver is another")
	}
	for _, wire := range []func(int) ts.Driver{d.Parallel, d.Series} {
		func() {
			defer func() {
				if recover() == nil {
					t.Error("no driver at all does not panic")
				}
			}()
			wire(0)
		}()
	}
}

// checkSource checks rows of a resistance in series; mass and area cancel.
func checkSource(t *testing.T, r golden.Row, a air.Air) {
	one := driver(t, ts.Sheet{
		Re: units.Resistance(r.Num(t, "Re", "ohm")), Qes: r.Num(t, "Qes", "1"), Qms: r.Num(t, "Qms", "1"),
		Fs: 40, Mms: 0.02, Sd: 0.014,
	}, a)
	d := one.WithSource(units.Resistance(r.Num(t, "Rs", "ohm")))
	switch r.Calculation {
	case "change of Qts by a source":
		r.Check(t, 100*(d.Qts()/one.Qts()-1))
	case "change of level by a source":
		r.Check(t, float64(d.SPL283(a)-one.SPL283(a)))
	default:
		r.Unknown(t)
	}
}

// A wire of 1 mm² has 17.24 mΩ per metre (the rule of electricians), twice for both
// ways; half the length of two cables side by side is a quarter of that.
func TestCable(t *testing.T) {
	one := ts.CableResistance(3, 1e-6)
	near(t, "3 m of 1 mm²", float64(one), 2*3*0.01724, 2e-4)
	near(t, "short and thick", float64(ts.CableResistance(1.5, 2e-6)), float64(one)/4, 1e-15)
}
