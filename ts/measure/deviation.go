package measure

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"example.com/halfspace/ts"
)

// deviations holds all figures with their standard deviations.
type deviations struct {
	value, scatter, systematic [figures]float64
	cause                      [figures]string
	variable                   []float64 // standard deviations of the variables by scatter
	held                       []bool    // variables at their bounds
	wander                     float64   // correlation of neighbouring residuals; 0 if they are noise
	wantRe                     float64   // ln of the Re the points want over that given, and
	wantReSD                   float64   // its standard deviation; both zero if Re is fitted
}

func (s *solver) deviations() deviations {
	d := deviations{value: s.figures(s.x, &s.nominal)}
	for k := range s.x {
		d.held = append(d.held, s.held(k))
	}
	j := s.jacobian()
	cov := covariance(j)
	d.wander = s.wander()
	// Each reading has its part in the covariance; what the priors have is systematic.
	scatter := mat.NewSymDense(len(s.x), nil)
	scatter.CopySym(cov)
	for _, p := range s.priors {
		scatter.SymRankOne(scatter, -1, column(cov, p.variable))
	}
	for k := range s.x {
		d.variable = append(d.variable, math.Sqrt(max(0, scatter.At(k, k))*d.inflation()))
	}

	// Figures by the variables.
	slope := mat.NewDense(figures, len(s.x), nil)
	x := slices.Clone(s.x)
	for k, v := range x {
		const h = wide
		x[k] = v + h
		up := s.figures(x, &s.nominal)
		x[k] = v - h
		down := s.figures(x, &s.nominal)
		x[k] = v
		for f := range figures {
			slope.Set(f, k, (up[f]-down[f])/(2*h))
		}
	}
	var half, all mat.Dense
	half.Mul(slope, scatter)
	all.Mul(&half, slope.T())
	for f := range figures {
		d.scatter[f] = math.Sqrt(max(0, all.At(f, f)) * d.inflation())
	}

	// What each error of what is known moves.
	s.layout.state(&s.state, s.x, &s.nominal)
	before := make([]float64, len(s.kind))
	s.residuals(before, &s.state, &s.nominal)
	after := slices.Clone(before)
	shift := func(k *known) *mat.VecDense { // of the variables
		s.layout.state(&s.state, s.x, k)
		s.residuals(after, &s.state, k)
		for i := range after {
			after[i] -= before[i]
		}
		s.weigh(after)
		var g, dx mat.VecDense
		g.MulVec(j.T(), mat.NewVecDense(len(after), after))
		dx.MulVec(cov, &g)
		dx.ScaleVec(-1, &dx)
		return &dx
	}
	largest := [figures]float64{}
	weigh := func(name string, dx mat.Vector, k *known) {
		moved := slices.Clone(s.x)
		for i := range moved {
			moved[i] += dx.AtVec(i)
		}
		f := s.figures(moved, k)
		for i := range f {
			by := math.Abs(f[i] - d.value[i])
			d.systematic[i] = math.Hypot(d.systematic[i], by)
			if by > largest[i]+1e-9*math.Abs(d.value[i]) {
				largest[i], d.cause[i] = by, name
			}
		}
	}
	for _, source := range s.sources() {
		weigh(source.name, shift(&source.known), &source.known)
	}
	for _, p := range s.priors {
		weigh(p.name, column(cov, p.variable), &s.nominal)
	}
	if s.re < 0 {
		d.wantRe, d.wantReSD = s.wantedRe(j, cov, before)
	}
	return d
}

// inflation is by how much the variance grows since neighbouring points err together.
func (d *deviations) inflation() float64 { return (1 + d.wander) / (1 - d.wander) }

// covariance returns the inverse of JᵀJ, by the singular values of J, which keep digits
// that JᵀJ has lost. What no point depends on gets none; what the points cannot tell
// apart gets a very large one.
func covariance(j *mat.Dense) *mat.SymDense {
	m, n := j.Dims()
	scale := make([]float64, n)
	scaled := mat.NewDense(m, n, nil)
	for k := range n {
		c := j.ColView(k)
		if v := mat.Norm(c, 2); v > 0 {
			scale[k] = 1 / v
		}
		for i := range m {
			scaled.Set(i, k, c.AtVec(i)*scale[k])
		}
	}
	cov := mat.NewSymDense(n, nil)
	var svd mat.SVD
	if !svd.Factorize(scaled, mat.SVDThinV) {
		return cov
	}
	var v mat.Dense
	svd.VTo(&v)
	for m, value := range svd.Values(nil) {
		w := max(value, 1e-9)
		for i := range n {
			for k := i; k < n; k++ {
				cov.SetSym(i, k, cov.At(i, k)+v.At(i, m)*scale[i]/w*v.At(k, m)*scale[k]/w)
			}
		}
	}
	return cov
}

// wander returns the correlation of neighbouring residuals, 0 if it is no more than
// noise has or the noise is stated.
func (s *solver) wander() float64 {
	if s.fit.Noise > 0 {
		return 0
	}
	s.layout.state(&s.state, s.x, &s.nominal)
	s.residuals(s.r, &s.state, &s.nominal)
	s.weigh(s.r)
	var product, square, pairs float64
	for kind := range 2 {
		last, seen := 0.0, false
		for i, v := range s.r {
			if s.kind[i] != kind {
				continue
			}
			if s.out[s.point[i]] {
				seen = false
				continue
			}
			if seen {
				product += v * last
				pairs++
			}
			square += v * v
			last, seen = v, true
		}
	}
	if !(square > 0) || s.noise[0] <= quietest {
		return 0
	}
	if rho := product / square; rho > 3/math.Sqrt(pairs) {
		return min(rho, 0.99)
	}
	return 0
}

type source struct {
	name  string
	known known
}

// sources lists what is known with an error that no curve can show, each with it.
func (s *solver) sources() []source {
	a := s.fit.Accuracy
	var all []source
	add := func(name string, change func(k *known)) {
		k := s.nominal
		change(&k)
		all = append(all, source{name, k})
	}
	add("leads", func(k *known) { k.leads += float64(a.Leads) })
	add("scale", func(k *known) { k.scale = float64(a.Scale) })
	add("temperature", func(k *known) { k.warm = ts.Copper.Ratio(a.Temperature) - 1 })
	if s.creep < 0 {
		add("creep", func(k *known) { k.lambda = a.Creep })
	}
	if s.re < 0 {
		add("Re", func(k *known) { k.re = float64(a.Re) })
	}
	if s.fit.Sd > 0 && s.sd < 0 {
		add("Sd", func(k *known) { k.sd = float64(a.Sd) })
	}
	if s.fit.Mms > 0 && s.layout.known < 0 {
		add("Mms", func(k *known) { k.mms = float64(a.Mms) })
	}
	return all
}

// wantedRe tries Re as one more variable, in one step.
func (s *solver) wantedRe(j *mat.Dense, cov *mat.SymDense, r []float64) (want, sd float64) {
	const h = 1e-5
	k := s.nominal
	k.re = h
	s.layout.state(&s.state, s.x, &k)
	byRe := make([]float64, len(r))
	s.residuals(byRe, &s.state, &k)
	for i := range byRe {
		byRe[i] = (byRe[i] - r[i]) / h
	}
	s.weigh(byRe)
	rest := slices.Clone(r)
	s.weigh(rest)
	c := mat.NewVecDense(len(byRe), byRe)
	// What of the column the other variables cannot do.
	var g, dx, fitted mat.VecDense
	g.MulVec(j.T(), c)
	dx.MulVec(cov, &g)
	fitted.MulVec(j, &dx)
	c.SubVec(c, &fitted)
	square := mat.Dot(c, c)
	if !(square > 0) {
		return 0, math.Inf(1)
	}
	return -mat.Dot(c, mat.NewVecDense(len(rest), rest)) / square, 1 / math.Sqrt(square)
}

func column(m mat.Matrix, k int) *mat.VecDense {
	c := mat.Col(nil, k, m)
	return mat.NewVecDense(len(c), c)
}
