package measure

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"example.com/halfspace/internal/lsq"
)

const (
	enough     = 80   // points of a curve for the first fit
	bend       = 0.05 // residual beyond which a point pulls less and less in the first fit
	outlier    = 5    // standard deviations at which a point is left out,
	notable    = 0.03 // if it is that far off besides
	mostOut    = 0.2  // share of points that may be left out
	quietest   = 1e-6 // no meter has less noise
	rounds     = 4    // of leaving out and weighting, at most
	wide       = 1e-3 // step of derivatives
	nearby     = 0.5  // largest of the last steps
	finest     = 1e-8 // step to which variables, mostly logarithms, are rounded, or more
	open       = 30   // standard deviation, in logarithms, from which a part of the coil is held
	reweighted = 0.02 // change of the ratio of the noises that no further fit is worth
)

// A solver holds the fit while points are left out and weights change.
type solver struct {
	*layout
	state   state
	nominal known
	kind    []int // 0 for a modulus, 1 for a phase, 2 for a prior
	point   []int // number of the point that a residual belongs to
	out     []bool
	noise   [3]float64
	counts  [3]int // of residuals of either kind, without those left out
	r       []float64
	x       []float64
	frozen  []bool // variables held since the points do not carry them
	met     bool   // the search ended at a minimum
}

func (f Fit) solve(curves []curve) (Result, error) {
	l, err := f.layout(curves)
	if err != nil {
		return Result{}, err
	}
	s := &solver{layout: l, x: l.x}
	s.state.parts = make([]part, len(curves))
	s.nominal = known{leads: float64(f.Leads)}
	s.noise[2] = 1
	points := 0
	for _, c := range curves {
		for range c.hz {
			s.kind, s.point = append(s.kind, 0), append(s.point, points)
			if c.phase != nil {
				s.kind, s.point = append(s.kind, 1), append(s.point, points)
			}
			points++
		}
	}
	if n, unknowns := len(s.kind), len(l.x)-len(l.priors); n <= unknowns {
		return Result{}, fmt.Errorf("measure: %d readings in the band for %d unknowns: must be more", n, unknowns)
	}
	s.frozen = make([]bool, len(l.x))
	for range len(l.priors) + len(l.anchors) {
		s.kind, s.point = append(s.kind, 2), append(s.point, points) // a point that is never left out
	}
	s.out = make([]bool, points+1)
	s.r = make([]float64, len(s.kind))

	if s.x, err = l.rough(); err != nil {
		return Result{}, err
	}
	for range rounds {
		before, noise := slices.Clone(s.out), s.noise
		s.judge()
		if slices.Equal(before, s.out) && noise[0] > 0 && math.Abs(s.noise[0]*noise[1]/(s.noise[1]*noise[0])-1) <= reweighted {
			break
		}
		if err := s.minimize(); err != nil {
			return Result{}, err
		}
	}
	cov := s.settle()
	for range s.anchors {
		k := s.uncarried(cov)
		if k < 0 {
			break
		}
		// It would end anywhere.
		s.frozen[k] = true
		s.x[k] = min(max(math.Round(2*s.x[k])/2, s.lo[k]), s.hi[k])
		if err := s.minimize(); err != nil {
			return Result{}, err
		}
		s.judge()
		cov = s.settle()
	}
	// Coarser where the points carry less, so that every machine goes on from the same
	// numbers.
	for i, v := range s.x {
		step := math.Pow(10, math.Ceil(math.Log10(max(finest, 1e-6*cov.At(i, i)))))
		s.x[i] = math.Round(v/step) * step
	}
	return s.result(), nil
}

// uncarried returns the part of the coil that the points carry least, if they leave it
// open by a factor of hundreds, else −1.
func (s *solver) uncarried(cov *mat.SymDense) int {
	worst, most := -1, float64(open*open)
	for i := range s.anchors {
		if k := s.coil + i; !s.frozen[k] && cov.At(k, k) > most {
			worst, most = k, cov.At(k, k)
		}
	}
	return worst
}

// settle goes the last steps, with derivatives over so wide steps that rounding does
// not show in them, and returns the covariance of the variables.
func (s *solver) settle() *mat.SymDense {
	var cov *mat.SymDense
	for range 2 { // the second time with derivatives that no longer depend on where the fit ended
		j := s.jacobian()
		cov = covariance(j)
		for range 4 {
			s.weighted()
			var g, dx mat.VecDense
			g.MulVec(j.T(), mat.NewVecDense(len(s.r), s.r))
			dx.MulVec(cov, &g)
			size := mat.Norm(&dx, math.Inf(1))
			before, sum := slices.Clone(s.x), floats.Dot(s.r, s.r)
			for i := range s.x {
				s.x[i] = min(max(s.x[i]-dx.AtVec(i), s.lo[i]), s.hi[i])
			}
			s.weighted()
			if after := floats.Dot(s.r, s.r); !(size < nearby && after <= sum*(1+1e-9)+1e-9) {
				s.x = before // it was no last step
				break
			}
			if size < 1e-13 {
				break
			}
		}
	}
	return cov
}

// rough fits some of the points, from each of the starts of the coil, in a way that bad
// points hardly disturb, and returns the best variables.
func (l *layout) rough() ([]float64, error) {
	thin := *l
	thin.curves = nil
	n := 0
	for _, c := range l.curves {
		t := c
		t.hz, t.log, t.logW, t.phase = nil, nil, nil, nil
		step := (len(c.hz) + enough - 1) / enough
		for i := step / 2; i < len(c.hz); i += step {
			t.hz, t.log, t.logW = append(t.hz, c.hz[i]), append(t.log, c.log[i]), append(t.logW, c.logW[i])
			n++
			if c.phase != nil {
				t.phase = append(t.phase, c.phase[i])
				n++
			}
		}
		thin.curves = append(thin.curves, t)
	}
	st := state{parts: make([]part, len(l.curves))}
	k := known{leads: float64(l.fit.Leads)}
	p := lsq.Problem{M: n + len(l.priors) + len(l.anchors), Lo: l.lo, Hi: l.hi, Residuals: func(r, x []float64) {
		thin.state(&st, x, &k)
		thin.residuals(r, &st, &k)
		for i := n; i < len(r); i++ {
			r[i] *= bend
		}
		for i, v := range r[:n] {
			u := v / bend
			// Nearly v where v is small, and as its root where it is large.
			r[i] = math.Copysign(bend*math.Sqrt(2*u*u/(math.Sqrt(1+u*u)+1)), v)
		}
	}}
	var best lsq.Fit
	for i, coil := range l.starts {
		x := slices.Clone(l.x)
		copy(x[l.coil:], coil)
		fit, err := p.Minimize(x)
		if err != nil {
			return nil, err
		}
		if i == 0 || fit.Sum < best.Sum {
			best = fit
		}
	}
	return best.X, nil
}

// minimize fits the points that are not left out, by their weights.
func (s *solver) minimize() error {
	var free []int
	var start, lo, hi []float64
	for k, v := range s.x {
		if !s.frozen[k] {
			free, start, lo, hi = append(free, k), append(start, v), append(lo, s.lo[k]), append(hi, s.hi[k])
		}
	}
	all := slices.Clone(s.x)
	spread := func(x []float64) {
		for i, k := range free {
			all[k] = x[i]
		}
	}
	p := lsq.Problem{M: len(s.kind), Lo: lo, Hi: hi, Residuals: func(r, x []float64) {
		spread(x)
		s.layout.state(&s.state, all, &s.nominal)
		s.residuals(r, &s.state, &s.nominal)
		s.weigh(r)
	}}
	fit, err := p.Minimize(start)
	if err != nil {
		return err
	}
	spread(fit.X)
	s.x, s.met = all, fit.Converged
	return nil
}

// weighted writes the weighted residuals at the variables to s.r.
func (s *solver) weighted() {
	s.layout.state(&s.state, s.x, &s.nominal)
	s.residuals(s.r, &s.state, &s.nominal)
	s.weigh(s.r)
}

func (s *solver) weigh(r []float64) {
	for i := range r {
		if s.out[s.point[i]] {
			r[i] = 0
		} else {
			r[i] /= s.noise[s.kind[i]]
		}
	}
}

// judge finds the noise of either kind, and which points stand out of the residuals
// around them: where a whole region is off the model is wrong, not its points.
func (s *solver) judge() {
	s.layout.state(&s.state, s.x, &s.nominal)
	s.residuals(s.r, &s.state, &s.nominal)
	stated := [2]float64{float64(s.fit.Noise), float64(s.fit.PhaseNoise)}
	off := make([]float64, len(s.out)) // in limits
	for kind := range 2 {
		var local []float64
		var point []int
		n, first := 0, 0
		for _, c := range s.curves {
			var r []float64
			for j := range c.hz {
				if kind == 0 || c.phase != nil {
					r = append(r, s.r[n+kind])
					point = append(point, first+j)
				}
				n++
				if c.phase != nil {
					n++
				}
			}
			first += len(c.hz)
			if r == nil {
				continue
			}
			for j, m := range medians(r, thirdOctave(c.hz)) {
				local = append(local, r[j]-m)
			}
		}
		if len(local) == 0 {
			continue
		}
		var sizes []float64
		for _, v := range local {
			sizes = append(sizes, math.Abs(v))
		}
		slices.Sort(sizes)
		scale := 1.4826 * sizes[len(sizes)/2] // the standard deviation, if it is Gaussian
		if stated[kind] > 0 {
			scale = stated[kind]
		}
		limit := max(outlier*scale, notable)
		for i, v := range standing(local, limit) {
			off[point[i]] = max(off[point[i]], v/limit)
		}
	}
	sorted := slices.Sorted(slices.Values(off))
	least := max(1, sorted[len(sorted)-1-int(mostOut*float64(len(sorted)))])
	for i := range s.out {
		s.out[i] = off[i] > least
	}
	s.weights(stated)
}

// standing returns the sizes of the residuals that are beyond a limit, with a jump at
// either end of each row of such; 0 for the others. The top of a broad hump is no jump.
func standing(r []float64, limit float64) []float64 {
	out := make([]float64, len(r))
	for i := 0; i < len(r); i++ {
		j := i
		for j < len(r) && math.Abs(r[j]) > limit {
			j++
		}
		jump := func(in, beside int) bool {
			return beside < 0 || beside == len(r) || math.Abs(r[in]-r[beside]) > limit/2
		}
		if j > i && jump(i, i-1) && jump(j-1, j) {
			for k := i; k < j; k++ {
				out[k] = math.Abs(r[k])
			}
		}
		i = j
	}
	return out
}

// weights finds the noise of either kind from the residuals of the points kept, each
// kind giving up its own share of the unknowns.
func (s *solver) weights(stated [2]float64) {
	var sum [3]float64
	s.counts = [3]int{}
	for i, v := range s.r {
		if !s.out[s.point[i]] {
			sum[s.kind[i]] += v * v
			s.counts[s.kind[i]]++
		}
	}
	share := float64(len(s.x)-len(s.priors)) / float64(s.counts[0]+s.counts[1])
	for kind, n := range s.counts[:2] {
		if n == 0 {
			s.noise[kind] = 1
			continue
		}
		// Rounded, since the last digits depend on where the fit before ended.
		s.noise[kind] = max(significant(math.Sqrt(sum[kind]/(float64(n)*(1-share))), 4), quietest)
		if stated[kind] > 0 {
			s.noise[kind] = stated[kind]
		}
	}
}

// jacobian returns the derivatives of the weighted residuals at the variables; columns
// of variables that are held are zero.
func (s *solver) jacobian() *mat.Dense {
	const h = wide
	j := mat.NewDense(len(s.kind), len(s.x), nil)
	up, down := make([]float64, len(s.kind)), make([]float64, len(s.kind))
	x := slices.Clone(s.x)
	for k, v := range x {
		if s.held(k) {
			continue
		}
		x[k] = v + h
		s.layout.state(&s.state, x, &s.nominal)
		s.residuals(up, &s.state, &s.nominal)
		s.weigh(up)
		x[k] = v - h
		s.layout.state(&s.state, x, &s.nominal)
		s.residuals(down, &s.state, &s.nominal)
		s.weigh(down)
		x[k] = v
		for i := range up {
			j.Set(i, k, (up[i]-down[i])/(2*h))
		}
	}
	return j
}

// held says whether a variable is frozen or stands at a bound.
func (s *solver) held(k int) bool {
	const near = 1e-7
	return s.frozen[k] || s.x[k] <= s.lo[k]+near || s.x[k] >= s.hi[k]-near
}

// around returns the median size of the residuals of the modulus within two octaves
// of the peak of a curve.
func (s *solver) around(curve int) float64 {
	s.layout.state(&s.state, s.x, &s.nominal)
	s.residuals(s.r, &s.state, &s.nominal)
	var sizes []float64
	n := 0
	for i, c := range s.curves {
		for _, hz := range c.hz {
			if u := hz / float64(c.read.Fs); i == curve && u > 0.25 && u < 4 {
				sizes = append(sizes, math.Abs(s.r[n]))
			}
			n++
			if c.phase != nil {
				n++
			}
		}
	}
	slices.Sort(sizes)
	return sizes[len(sizes)/2]
}
