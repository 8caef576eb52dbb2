package measure

import (
	"fmt"
	"math"
	"slices"

	"example.com/halfspace/ts"
)

// apart is how far resonances in free air may be, in logarithms: compliance drifts,
// and a noisy peak is read with an error, but not that much.
const apart = 0.1

// layout chooses the variables and where they start: at what the peaks read.
func (f Fit) layout(curves []curve) (*layout, error) {
	l := &layout{fit: f, curves: curves, re: -1, creep: -1, mms: -1, vas: -1, box: make([]int, len(curves)),
		added: -1, boxes: -1, sd: -1, known: -1, drift: make([]int, len(curves)), warmer: make([]int, len(curves))}
	first := slices.IndexFunc(curves, curve.free)
	free := curves[first]
	fs := float64(free.read.Fs)
	re := float64(f.Re)
	if re == 0 {
		re = max(float64(free.read.Re)-float64(f.Leads), 0.1*float64(free.read.Re))
	}
	peak := max(float64(free.read.Zmax-f.Leads), 1.05*re)
	r0 := peak / re
	f1 := float64(free.read.F1)
	if f1 == 0 {
		f1 = fs * fs / float64(free.read.F2)
	}
	qms := fs / (float64(free.read.F2) - f1) * math.Sqrt(r0)

	add := func(name string, start, lo, hi float64) int {
		l.names = append(l.names, name)
		l.x = append(l.x, math.Log(start))
		l.lo, l.hi = append(l.lo, math.Log(lo)), append(l.hi, math.Log(hi))
		return len(l.x) - 1
	}
	if f.Re == 0 {
		l.re = add("Re", re, 0.1*re, 3*re)
	}
	l.fs = add("fs", fs, fs/2, fs*2)
	l.qms = add("Qms", qms, 0.02, 500)
	l.qes = add("Qes", qms/(r0-1), 0.005, 500)
	l.addCoil(add, free, re)

	added, boxed := false, false
	for i, c := range curves {
		u := float64(c.read.Fs) / fs
		switch {
		case c.Added > 0:
			if !(u < 1) {
				return nil, fmt.Errorf("measure: curve %d: the resonance with %v on the cone is at %v and not below that in free air, %v: are the curves swapped?", i+1, c.Added, c.read.Fs, free.read.Fs)
			}
			added = true
		case c.Box > 0:
			if !(u > 1) {
				return nil, fmt.Errorf("measure: curve %d: the resonance in a box of %v is at %v and not above that in free air, %v: are the curves swapped, or does the box leak?", i+1, c.Box, c.read.Fs, free.read.Fs)
			}
			boxed = true
		case !(math.Abs(math.Log(u)) < apart):
			return nil, fmt.Errorf("measure: curve %d: resonates at %v, the first in free air at %v: is its mass or box missing?", i+1, c.read.Fs, free.read.Fs)
		}
	}
	if added && f.Mms == 0 {
		c := curves[slices.IndexFunc(curves, func(c curve) bool { return c.Added > 0 })]
		u := fs / float64(c.read.Fs)
		m := float64(c.Added) / (u*u - 1)
		l.mms = add("Mms", m, m/1000, m*1000)
	}
	if boxed && !(f.Sd > 0 && (added || f.Mms > 0)) {
		c := curves[slices.IndexFunc(curves, func(c curve) bool { return c.Box > 0 })]
		u := float64(c.read.Fs) / fs
		v := float64(c.Box) * (u*u - 1)
		l.vas = add("Vas", v, v/1000, v*1000)
	}
	for i, c := range curves {
		if c.Box > 0 {
			l.box[i] = add(fmt.Sprintf("mass in the box of curve %d", i+1), 1, 0.3, 3)
			add(fmt.Sprintf("losses in the box of curve %d", i+1), 1.05, 0.05, 50)
		}
	}
	if f.Creep {
		l.creep = add("creep", 1, 1, 1)
		l.x[l.creep], l.lo[l.creep], l.hi[l.creep] = 0.03, 0, 0.4
	}
	l.anchors = slices.Clone(l.x[l.coil : l.coil+len(f.Coil.parts())])
	l.addPriors(first, added, boxed)
	return l, nil
}

// addPriors makes variables of what the curves can contradict.
func (l *layout) addPriors(first int, added, boxed bool) {
	a := l.fit.Accuracy
	add := func(name string, sd float64) int {
		l.x, l.lo, l.hi = append(l.x, 0), append(l.lo, -20), append(l.hi, 20)
		l.names = append(l.names, name)
		l.priors = append(l.priors, prior{name, len(l.x) - 1, sd})
		return len(l.priors) - 1
	}
	for i := range l.curves {
		l.drift[i], l.warmer[i] = -1, -1
		if i != first {
			l.drift[i] = add("drift of the compliance", float64(a.Drift))
			l.warmer[i] = add("warming of the coil", ts.Copper.Ratio(a.Temperature)-1)
		}
	}
	if added {
		l.added = add("added mass", float64(a.Added))
	}
	if boxed {
		l.boxes = add("box volume", float64(a.Box))
	}
	if l.fit.Sd > 0 && boxed && l.vas < 0 {
		l.sd = add("Sd", float64(a.Sd))
	}
	if l.fit.Mms > 0 && (added || boxed && l.vas < 0) {
		l.known = add("Mms", float64(a.Mms))
	}
}

// addCoil starts the coil at what the modulus says of its reactance at the top of the
// band and, for its slope, two octaves below.
func (l *layout) addCoil(add func(name string, start, lo, hi float64) int, c curve, re float64) {
	smooth := medians(c.modulus, thirdOctave(c.hz))
	last := len(c.hz) - 1
	reactance := func(i int) (x, w float64) {
		z := max(smooth[i], 1.02*re)
		return math.Sqrt(z*z - re*re), 2 * math.Pi * c.hz[i]
	}
	i, _ := slices.BinarySearch(c.hz, c.hz[last]/4)
	if lowest := 2 * float64(c.read.F2); c.hz[last] > 2*lowest && c.hz[i] < lowest {
		i, _ = slices.BinarySearch(c.hz, lowest) // below that it is the resonance that shows
	}
	xt, wt := reactance(last)
	xm, wm := reactance(i)
	inductance := xt / wt
	part := func(name string, start, span float64) int { return add(name, start, start/span, start*span) }
	var factors [][]float64 // of the parts, for other starts
	switch l.fit.Coil {
	case Plain:
		l.coil = part("Leb", inductance, 1e4)
		factors = [][]float64{{1}}
	case TwoBranch:
		l.coil = part("Leb", 0.6*inductance, 1e5)
		part("Le", max(xm/wm, inductance), 1e5)
		part("Rss", 0.6*xt, 1e5)
		factors = [][]float64{{1, 1, 1}, {1, 1, 0.2}, {1.5, 0.5, 3}}
	case SemiInductance:
		l.coil = part("Leb", 0.3*inductance, 1e5)
		part("Le", 3*max(xm/wm, inductance), 1e5)
		part("Rss", 4*xt, 1e5)
		part("Ke", xt/math.Sqrt(wt), 1e5)
		factors = [][]float64{{1, 1, 1, 1}, {2, 0.5, 0.3, 2}}
	default:
		n := 0.7
		if wt > 1.5*wm {
			n = min(max(math.Log(xt/xm)/math.Log(wt/wm), 0.3), 0.95)
		}
		l.coil = part("K", xt*math.Pow(lawAt/wt, n), 1e4)
		add("N", n, 0.02, 1)
		factors = [][]float64{{1, 1}}
	}
	for _, f := range factors {
		var start []float64
		for i, v := range f {
			start = append(start, l.x[l.coil+i]+math.Log(v))
		}
		l.starts = append(l.starts, start)
	}
}
