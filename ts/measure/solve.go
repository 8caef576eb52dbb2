package measure

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"example.com/halfspace/internal/lsq"
)

const (
	bend       = 0.05 // residual beyond which a point pulls less and less in the first fit
	outlier    = 5    // standard deviations at which a point is left out,
	notable    = 0.03 // if it is that far off besides
	mostOut    = 0.2  // share of points that may be left out
	quietest   = 1e-6 // no meter has less noise
	rounds     = 4    // of leaving out and weighting, at most
	reweighted = 0.02 // change of the ratio of the noises that no further fit is worth
)

// A solver holds the fit while points are left out and weights change.
type solver struct {
	*layout
	state   state
	nominal known
	kind    []int // 0 for a modulus, 1 for a phase
	point   []int // number of the point that a residual belongs to
	out     []bool
	noise   [2]float64
	counts  [2]int // of residuals of either kind, without those left out
	r       []float64
	x       []float64
	met     bool // the search ended at a minimum
}

func (f Fit) solve(curves []curve) (Result, error) {
	l, err := f.layout(curves)
	if err != nil {
		return Result{}, err
	}
	s := &solver{layout: l, x: l.x}
	s.state.parts = make([]part, len(curves))
	s.nominal = known{leads: float64(f.Leads), drift: make([]float64, len(curves))}
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
	s.out = make([]bool, points)
	s.r = make([]float64, len(s.kind))
	if n := len(s.kind); n <= len(l.x) {
		return Result{}, fmt.Errorf("measure: %d readings in the band for %d unknowns: must be more", n, len(l.x))
	}

	// A first fit that bad points hardly disturb.
	soft := func(r []float64) {
		for i, v := range r {
			u := v / bend
			// Nearly v for small v, and the root of it for large.
			r[i] = math.Copysign(bend*math.Sqrt(2*u*u/(math.Sqrt(1+u*u)+1)), v)
		}
	}
	if err := s.minimize(soft); err != nil {
		return Result{}, err
	}
	for range rounds {
		before, noise := slices.Clone(s.out), s.noise
		s.judge()
		if slices.Equal(before, s.out) && noise[0] > 0 && math.Abs(s.noise[0]*noise[1]/(s.noise[1]*noise[0])-1) <= reweighted {
			break
		}
		if err := s.minimize(s.weigh); err != nil {
			return Result{}, err
		}
	}
	return s.result(), nil
}

// minimize fits with residuals that shape has worked on.
func (s *solver) minimize(shape func(r []float64)) error {
	p := lsq.Problem{M: len(s.kind), Lo: s.lo, Hi: s.hi, Residuals: func(r, x []float64) {
		s.layout.state(&s.state, x, &s.nominal)
		s.residuals(r, &s.state, &s.nominal)
		shape(r)
	}}
	fit, err := p.Minimize(s.x)
	if err != nil {
		return err
	}
	s.x, s.met = fit.X, fit.Converged
	return nil
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

// judge finds the noise of either kind, and which points stand out from it.
func (s *solver) judge() {
	s.layout.state(&s.state, s.x, &s.nominal)
	s.residuals(s.r, &s.state, &s.nominal)
	stated := [2]float64{float64(s.fit.Noise), float64(s.fit.PhaseNoise)}
	var limit [2]float64
	for kind := range s.noise {
		var all []float64
		for i, v := range s.r {
			if s.kind[i] == kind {
				all = append(all, math.Abs(v))
			}
		}
		if len(all) == 0 {
			s.noise[kind] = 1
			continue
		}
		slices.Sort(all)
		scale := max(1.4826*all[len(all)/2], quietest) // the standard deviation, if it is Gaussian
		if stated[kind] > 0 {
			scale = stated[kind]
		}
		limit[kind] = max(outlier*scale, notable)
	}
	off := make([]float64, len(s.out)) // in limits
	for i, v := range s.r {
		off[s.point[i]] = max(off[s.point[i]], math.Abs(v)/limit[s.kind[i]])
	}
	sorted := slices.Clone(off)
	slices.Sort(sorted)
	least := max(1, sorted[len(sorted)-1-int(mostOut*float64(len(sorted)))])
	for i := range s.out {
		s.out[i] = off[i] > least
	}
	s.weights(stated)
}

// weights finds the noise of either kind from the residuals of the points kept, each
// kind giving up its own share of the unknowns.
func (s *solver) weights(stated [2]float64) {
	var sum [2]float64
	s.counts = [2]int{}
	for i, v := range s.r {
		if !s.out[s.point[i]] {
			sum[s.kind[i]] += v * v
			s.counts[s.kind[i]]++
		}
	}
	share := float64(len(s.x)) / float64(s.counts[0]+s.counts[1])
	for kind, n := range s.counts {
		if n == 0 {
			s.noise[kind] = 1
			continue
		}
		s.noise[kind] = max(math.Sqrt(sum[kind]/(float64(n)*(1-share))), quietest)
		if stated[kind] > 0 {
			s.noise[kind] = stated[kind]
		}
	}
}

// jacobian returns the derivatives of the weighted residuals where the fit ended.
func (s *solver) jacobian() *mat.Dense {
	j := mat.NewDense(len(s.kind), len(s.x), nil)
	up, down := make([]float64, len(s.kind)), make([]float64, len(s.kind))
	x := slices.Clone(s.x)
	for k, v := range x {
		const h = 1e-5
		for _, side := range []struct {
			by float64
			r  []float64
		}{{h, up}, {-h, down}} {
			x[k] = v + side.by
			s.layout.state(&s.state, x, &s.nominal)
			s.residuals(side.r, &s.state, &s.nominal)
			s.weigh(side.r)
		}
		x[k] = v
		for i := range up {
			j.Set(i, k, (up[i]-down[i])/(2*h))
		}
	}
	return j
}
