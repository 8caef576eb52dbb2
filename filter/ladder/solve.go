package ladder

import (
	"fmt"
	"math"
	"slices"
)

// Solve fills h with the voltage at the load per volt of an ideal source, and zin
// with the impedance that the source sees, at the frequencies hz in hertz, for a
// load impedance in ohms given at the same frequencies.
//
// It panics if the four slices differ in length, if a frequency is not positive
// and finite, or if a load is not finite. The network should have passed
// [Network.Check]. Nothing is allocated.
//
// Ideal resonances are exact: where a shunt arm is a dead short or a series arm is
// open, h is 0; zin is 0 if the source is shorted, and infinite, as cmplx.IsInf
// tells, if nothing can flow. A load of 0 Ω has h = 0. An arm without parts, which
// Check refuses, is the empty sum: open in the signal path, a short across it.
func (n Network) Solve(h, zin []complex128, hz []float64, load []complex128) {
	if len(h) != len(hz) || len(zin) != len(hz) || len(load) != len(hz) {
		panic(fmt.Sprintf("ladder: slices of different lengths: h %d, zin %d, hz %d, load %d",
			len(h), len(zin), len(hz), len(load)))
	}
	// Voltage and current start with 1 A in the load and are carried to the source,
	// arm by arm, over a block of frequencies small enough for the stack and the
	// first-level cache. Only their ratios matter, so nothing is divided by a
	// complex number but to turn an arm into its admittance, and at the end.
	var b block
	for len(hz) > 0 {
		m := min(len(hz), blockLen)
		b.start(hz[:m], load[:m])
		for _, a := range slices.Backward(n) {
			b.pass(a, m)
		}
		b.finish(h[:m], zin[:m])
		h, zin, hz, load = h[m:], zin[m:], hz[m:], load[m:]
	}
}

const blockLen = 64

// block is the state of the walk from the load to the source at some frequencies.
type block struct {
	w, iw [blockLen]float64    // ω and 1/ω
	v, i  [blockLen]complex128 // at the node reached
	load  [blockLen]complex128 // voltage at the load that belongs to v and i
	y     [blockLen]complex128 // sum of the admittances of parallel parts
}

func (b *block) start(hz []float64, load []complex128) {
	load = load[:len(hz)]
	for k, f := range hz {
		z := load[k]
		w := 2 * math.Pi * f
		if !(w > 0 && w <= math.MaxFloat64) || !finite(z) {
			panic(fmt.Sprintf("ladder: frequency %v Hz, load %v Ω: must be positive and finite, and finite", f, z))
		}
		b.w[k], b.iw[k] = w, 1/w
		b.v[k], b.i[k], b.load[k] = z, 1, z
	}
}

// pass carries the first m points over one arm.
func (b *block) pass(a Arm, m int) {
	switch {
	case a.Shunt:
		b.shunt(inSeries(a.Parts), m)
	case len(a.Parts) == 1:
		b.series(inSeries(a.Parts), m)
	default:
		b.parallel(a.Parts, m)
	}
}

// series carries over an impedance in the signal path.
func (b *block) series(z rlc, m int) {
	w := b.w[:m]
	iw, v, i := b.iw[:len(w)], b.v[:len(w)], b.i[:len(w)]
	for k := range w {
		v[k] += i[k] * z.at(w[k], iw[k])
	}
}

// shunt carries over an impedance across the signal path.
func (b *block) shunt(z rlc, m int) {
	w := b.w[:m]
	iw, v, i := b.iw[:len(w)], b.v[:len(w)], b.i[:len(w)]
	for k := range w {
		y, ok := reciprocal(z.at(w[k], iw[k]))
		if !ok { // a dead short: nothing behind it matters
			v[k], i[k], b.load[k] = 0, 1, 0
			continue
		}
		i[k] += v[k] * y
	}
}

// parallel carries over parts in parallel in the signal path.
func (b *block) parallel(parts []Part, m int) {
	w := b.w[:m]
	iw, y, v, i := b.iw[:len(w)], b.y[:len(w)], b.v[:len(w)], b.i[:len(w)]
	clear(y)
	for _, p := range parts {
		z := p.rlc()
		for k := range w {
			yk, _ := reciprocal(z.at(w[k], iw[k]))
			y[k] += yk
		}
	}
	for k := range y {
		z, ok := reciprocal(y[k])
		if !ok { // open: nothing behind it matters
			v[k], i[k], b.load[k] = 1, 0, 0
			continue
		}
		v[k] += i[k] * z
	}
}

func (b *block) finish(h, zin []complex128) {
	zin = zin[:len(h)]
	v, i, load := b.v[:len(h)], b.i[:len(h)], b.load[:len(h)]
	for k := range h {
		perVolt, ok := reciprocal(v[k])
		if !ok { // the source is shorted
			h[k], zin[k] = 0, 0
			continue
		}
		h[k] = load[k] * perVolt
		perAmpere, ok := reciprocal(i[k])
		if !ok { // nothing flows
			zin[k] = infinite
			continue
		}
		zin[k] = v[k] * perAmpere
	}
}

var infinite = complex(math.Inf(1), 0)

// rlc is the impedance r + t/ω + j(lω - s/ω) of a resistor, a coil and a capacitor
// in series, with s = 1/C and t = tan δ/C. Any number of parts in series is one rlc.
type rlc struct{ r, l, s, t float64 }

func (p Part) rlc() rlc {
	switch p.Kind {
	case Inductor:
		return rlc{r: float64(p.Resistance), l: p.Value}
	case Capacitor:
		return rlc{r: float64(p.Resistance), s: 1 / p.Value, t: p.Loss / p.Value}
	}
	return rlc{r: p.Value + float64(p.Resistance)}
}

func inSeries(parts []Part) rlc {
	var sum rlc
	for _, p := range parts {
		z := p.rlc()
		sum.r += z.r
		sum.l += z.l
		sum.s += z.s
		sum.t += z.t
	}
	return sum
}

// at returns the impedance at w = ω, with iw = 1/ω. The products are rounded
// before they meet, so that no processor fuses them and misses an exact resonance.
func (z rlc) at(w, iw float64) complex128 {
	return complex(z.r+float64(z.t*iw), float64(z.l*w)-float64(z.s*iw))
}

// finite is false if a part is infinite or NaN, as zero times it is then NaN.
func finite(z complex128) bool { return 0*real(z) == 0 && 0*imag(z) == 0 }

// reciprocal returns 1/z, or 0 and false if z is zero. It spares the general
// complex division of the language, which must treat infinities.
func reciprocal(z complex128) (complex128, bool) {
	re, im := real(z), imag(z)
	d := re*re + im*im
	if d == 0 {
		return 0, false
	}
	d = 1 / d
	return complex(re*d, -im*d), true
}
