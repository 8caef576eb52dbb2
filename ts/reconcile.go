package ts

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"

	"example.com/halfspace/internal/lsq"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A Tolerance states how well a printed figure is meant besides its rounding: one
// standard deviation, as a fraction or, for a level, in dB.
type Tolerance struct {
	Figure    string // "Vas", as [Finding] and [Move] name it
	Deviation float64
}

// usual is the tolerance of figures for which none is stated: what sound sheets show.
// A printed peak of the impedance holds some inductance, a printed level is the mean of
// a curve.
func usual(figure string) float64 {
	switch figure {
	case zmax:
		return 0.02
	case spl1w:
		return 0.3 // dB
	case spl283:
		return 1.5 // dB
	}
	return 0.005
}

// neper is how much of the logarithm of an efficiency is 1 dB.
const neper = math.Ln10 / 10

// A Move tells how far a printed figure stands from the most plausible driver.
type Move struct {
	Figure     string
	Published  string  // with unit
	Reconciled string  // with unit
	By         float64 // reconciled over published − 1, or the difference in dB for levels
	Deviation  float64 // what rounding and tolerance together allow, one standard deviation, in the same measure
	Decibels   bool    // By and Deviation are in dB
	Aside      bool    // as printed the figure had no say: [Sheet.Culprits] set it aside or mended it
}

// Reconciled is the most plausible driver behind a sheet.
type Reconciled struct {
	Driver    Driver
	Chi2      float64   // squares of By (of its logarithm, or in dB) over Deviation, summed over the figures that had a say, mended ones as mended
	Freedom   int       // how many figures are redundant; Chi2 is about as large if all are sound
	Moves     []Move    // of each printed figure, in the order of [Sheet]
	Estimates Estimates // from rounding and tolerances alone, not enlarged by a large Chi2
}

// Reconcile returns the driver that comes closest to all printed figures at once: the
// least squares of their differences in logarithms, each over its standard deviation.
// That is the rounding, half a unit of the last printed digit over √3, and a tolerance:
// the one stated, else half a per cent, 2 per cent for Zmax, 0.3 dB for a level at 1 W
// and 1.5 dB for one at 2.83 V, which is usually the mean of a curve. Mmd is taken with
// the air load of both sides in a baffle ([AirMass]). Xmax and Vd take part where
// both are printed. The zero air is standard air; sheets differ by one per cent of Vas
// through their air.
//
// One wrong figure pulls all others, which shows in Chi2; [Sheet.Culprits] gives the
// driver without it. Coil and creep are those of [Sheet.Driver], whose errors hold here
// too; a stated tolerance must name a printed figure and be positive.
//
// The method is textbook least squares (first principles); a test holds its chi-squared
// against figures computed apart.
func (s Sheet) Reconcile(a air.Air, stated ...Tolerance) (Reconciled, error) {
	p, err := s.prints(a, stated)
	if err != nil {
		return Reconciled{}, err
	}
	return p.reconciled(p.fit(p.start, p.all))
}

// prints are the figures of a sheet as observations of the logarithms of a driver.
type prints struct {
	air      air.Air
	driver   Driver // by the route of [Sheet.Driver]
	start    logs
	unknowns int // of logs: 6, or 7 with Xmax
	all      []observation
}

type observation struct {
	figure    figure
	ln        float64 // of the print; a level as its efficiency
	deviation float64 // of ln
	decibels  bool
	aside     bool
}

func (s Sheet) prints(a air.Air, stated []Tolerance) (prints, error) {
	a = a.OrStandard()
	d, _, err := s.Driver(a)
	if err != nil {
		return prints{}, err
	}
	p := prints{air: a, driver: d, start: driverLogs(d), unknowns: 6}
	travel := s.Xmax > 0 && s.Vd > 0
	if travel {
		p.unknowns = 7
	}
	for _, f := range s.figures() {
		if !(f.si > 0) || !travel && (f.name == xmax || f.name == vd) {
			continue
		}
		o := observation{figure: f, ln: math.Log(f.si)}
		half := s.halfUnit(f.name, f.si) / f.si
		tolerance := usual(f.name)
		for _, t := range stated {
			if t.Figure == f.name {
				tolerance = t.Deviation
			}
		}
		if f.name == spl1w || f.name == spl283 {
			o.decibels = true
			level := f.si - powerConstant(a)
			if f.name == spl283 {
				level -= 20 * math.Log10(2.83)
			}
			o.ln, half, tolerance = level*neper, half*f.si*neper, tolerance*neper
		}
		o.deviation = math.Sqrt(half*half/3 + tolerance*tolerance)
		if f.name == mmd { // its slope is that of Mms
			o.deviation *= f.si / (f.si + float64(AirMass(d.Sd, a)))
		}
		p.all = append(p.all, o)
	}
	for _, t := range stated {
		if !slices.ContainsFunc(p.all, func(o observation) bool { return o.figure.name == t.Figure }) {
			return prints{}, fmt.Errorf("ts: tolerance of %q: no such figure is printed; there are %s", t.Figure, given(s.figures()))
		}
		if err := positive("ts: tolerance of "+t.Figure, t.Deviation, "as a fraction or in dB"); err != nil {
			return prints{}, err
		}
	}
	if _, ok := p.normal(p.start, p.all); !ok {
		return prints{}, p.open(p.all)
	}
	return p, nil
}

// A fitted sheet: the driver, the chi-squared, and what had a say.
type fitted struct {
	x       logs
	chi2    float64
	freedom int
	used    []observation
}

// fit finds the logs nearest to the observations that are not aside, which must
// determine them.
func (p prints) fit(start logs, all []observation) fitted {
	f := fitted{x: start, used: all}
	var used []observation
	for _, o := range all {
		if !o.aside {
			used = append(used, o)
		}
	}
	at := func(dx []float64) logs {
		x := start
		for i, v := range dx {
			x[i] += v
		}
		return x
	}
	lo, hi := make([]float64, p.unknowns), make([]float64, p.unknowns)
	for i := range lo {
		lo[i], hi[i] = -50, 50 // in logarithms: anywhere
	}
	best, err := lsq.Problem{
		M: len(used), Lo: lo, Hi: hi,
		Residuals: func(r, dx []float64) {
			x := at(dx)
			for i, o := range used {
				r[i] = (x.figure(o.figure.name, o.figure.si, p.air).ln - o.ln) / o.deviation
			}
		},
		Jacobian: func(j, dx []float64) {
			x := at(dx)
			for i, o := range used {
				s := x.figure(o.figure.name, o.figure.si, p.air)
				for k := range p.unknowns {
					j[i*p.unknowns+k] = s.by[k] / o.deviation
				}
			}
		},
	}.Minimize(make([]float64, p.unknowns))
	if err != nil {
		panic(err) // figures are finite and positive, so logarithms are too
	}
	f.x, f.chi2, f.freedom = at(best.X), best.Sum, len(used)-p.unknowns
	return f
}

// normal returns the matrix of the normal equations of what had a say, at x, and
// whether that determines every unknown.
func (p prints) normal(x logs, all []observation) (*mat.SymDense, bool) {
	n := mat.NewSymDense(p.unknowns, nil)
	for _, o := range all {
		if o.aside {
			continue
		}
		s := x.figure(o.figure.name, o.figure.si, p.air)
		n.SymRankOne(n, 1/(o.deviation*o.deviation), mat.NewVecDense(p.unknowns, s.by[:p.unknowns:p.unknowns]))
	}
	// Scaled to ones on the diagonal, it is singular or far from it.
	scaled := mat.NewSymDense(p.unknowns, nil)
	for i := range p.unknowns {
		for j := i; j < p.unknowns; j++ {
			if !(n.At(i, i) > 0 && n.At(j, j) > 0) {
				return n, false
			}
			scaled.SetSym(i, j, n.At(i, j)/math.Sqrt(n.At(i, i)*n.At(j, j)))
		}
	}
	var c mat.Cholesky
	return n, c.Factorize(scaled) && c.Cond() < 1e11
}

// reconciled tells of a fit; the error says that it leaves the driver open, or that
// there is no such driver.
func (p prints) reconciled(f fitted) (Reconciled, error) {
	d := p.driverOf(f)
	normal, ok := p.normal(f.x, f.used)
	var c mat.Cholesky
	inverse := mat.NewSymDense(p.unknowns, nil)
	if !ok || !c.Factorize(normal) || c.InverseTo(inverse) != nil {
		return Reconciled{}, p.open(f.used)
	}
	return Reconciled{
		Driver: d, Chi2: f.chi2, Freedom: f.freedom, Moves: p.moves(f),
		Estimates: estimate(d, inverse.SliceSym(0, 6), p.air),
	}, d.Check()
}

func (p prints) open(used []observation) error {
	var names []string
	for _, o := range used {
		if !o.aside {
			names = append(names, o.figure.name)
		}
	}
	return fmt.Errorf("ts: %s leave the driver open: some of them follow from the others too nearly", strings.Join(names, ", "))
}

func (p prints) driverOf(f fitted) Driver {
	d := f.x.into(p.driver)
	if p.unknowns > atXmax {
		d.Xmax = units.Length(math.Exp(f.x[atXmax]))
	}
	return d
}

func (p prints) moves(f fitted) []Move {
	d := p.driverOf(f)
	shown := d.Sheet(p.air)
	shown.Diameter = units.Length(2 * math.Sqrt(float64(d.Sd)/math.Pi))
	shown.Mmd = d.Mms - AirMass(d.Sd, p.air)
	print := map[string]fmt.Stringer{}
	for _, g := range shown.figures() {
		print[g.name] = g.print
	}
	var moves []Move
	for i, o := range f.used {
		printed := p.all[i].ln // o.ln may be mended
		m := Move{
			Figure: o.figure.name, Published: o.figure.print.String(), Reconciled: print[o.figure.name].String(),
			Decibels: o.decibels, Aside: o.aside || o.ln != printed,
		}
		by := f.x.figure(o.figure.name, o.figure.si, p.air).ln - printed
		switch {
		case o.decibels:
			m.By, m.Deviation = by/neper, o.deviation/neper
		case o.figure.name == mmd:
			share := (o.figure.si + float64(AirMass(d.Sd, p.air))) / o.figure.si
			m.By, m.Deviation = math.Expm1(by)*share, o.deviation*share
		default:
			m.By, m.Deviation = math.Expm1(by), o.deviation
		}
		moves = append(moves, m)
	}
	return moves
}
