package ladder

import (
	"fmt"
	"math"
	"slices"
)

// Gradient is what a network does over a grid of frequencies, and how that changes
// with its parts. Its slices are reused from one call to the next.
//
// DH and DZin hold, by part along the signal path and by frequency, the derivatives
// of H, in 1/Ω, and of Zin to the impedance of the part. Everything about a part
// acts through its impedance, so these tell all: the derivative to its Resistance
// is the same number, [Network.ByValue] gives that to the logarithm of its Value,
// and [Part.Derivatives] what is left.
type Gradient struct {
	H, Zin   []complex128   // as [Network.Solve] gives them
	DH, DZin [][]complex128 // [part][frequency]
}

// Gradient fills g with the transfer and the input impedance of the network into a
// load, as [Network.Solve] does, and with their exact derivatives. Nothing is
// allocated if g comes from an earlier call with as many parts and frequencies.
//
// One walk from the load to the source gives the current I of each part, and one
// from the source to the load the current J that the part would have if the load
// drove the network and the source were a wire. Then, per volt or ampere at the
// end that drives,
//
//	dH/dZ = -I J,   dZin/dZ = (I/Iin)²
//
// which is the adjoint network of Director and Rohrer, The generalized adjoint
// network and network sensitivities, IEEE Transactions on Circuit Theory, 1969
// (from memory), in a ladder, which is reciprocal and so its own adjoint.
//
// It panics as Solve does. At an ideal resonance that leaves h = 0 the derivatives
// are still exact. If the source is shorted H has no derivative, and if nothing can
// flow Zin has none; they are then given as 0.
func (n Network) Gradient(g *Gradient, hz []float64, load []complex128) {
	if len(load) != len(hz) {
		panic(fmt.Sprintf("ladder: slices of different lengths: hz %d, load %d", len(hz), len(load)))
	}
	parts := 0
	for _, a := range n {
		parts += len(a.Parts)
	}
	g.fit(parts, len(hz))
	var w adjoint
	for from := 0; from < len(hz); from += blockLen {
		to := min(from+blockLen, len(hz))
		m := to - from
		w.start(hz[from:to], load[from:to])
		part := parts
		for k, a := range slices.Backward(n) {
			part -= len(a.Parts)
			w.back(a, k, g, part, from, m)
		}
		w.finish(g.H[from:to], g.Zin[from:to])
		w.turn(m)
		for k, a := range n {
			w.forth(a, k, g, part, from, m)
			part += len(a.Parts)
		}
	}
}

// fit makes room in g.
func (g *Gradient) fit(parts, points int) {
	if len(g.H) == points && len(g.DH) == parts && (parts == 0 || len(g.DH[0]) == points) {
		return
	}
	all := make([]complex128, (2+2*parts)*points)
	next := func() []complex128 {
		row := all[:points:points]
		all = all[points:]
		return row
	}
	g.H, g.Zin = next(), next()
	g.DH, g.DZin = make([][]complex128, parts), make([][]complex128, parts)
	for p := range parts {
		g.DH[p], g.DZin[p] = next(), next()
	}
}

// adjoint is the state of both walks. On the way back each part gets its current in
// its row of DZin, for 1 A in the load; on the way forth that becomes derivatives.
type adjoint struct {
	block
	a, b      [blockLen]complex128 // voltage at the source per volt, and per ampere, at the node reached
	perVolt   [blockLen]complex128 // 1 over the voltage at the source, for 1 A in the load
	perAmpere [blockLen]complex128
	cut       [blockLen]int32 // 1 + the arm nearest to the source that keeps all from what is behind it; 0: none
}

func (w *adjoint) start(hz []float64, load []complex128) {
	w.block.start(hz, load)
	clear(w.cut[:len(hz)])
}

// back carries the first m points over arm k, whose parts begin with part.
func (w *adjoint) back(a Arm, k int, g *Gradient, part, from, m int) {
	behind := part + len(a.Parts)
	switch {
	case len(a.Parts) == 0:
		w.pass(a, m)
		for j := range m { // an empty arm cuts at all frequencies
			w.keep(g, behind, from+j)
		}
	case a.Shunt:
		z := inSeries(a.Parts)
		i, q := g.DZin[part][from:from+m], g.DH[part][from:from+m]
		for j := range m {
			y, ok := reciprocal(z.at(w.w[j], w.iw[j]))
			if !ok {
				per, _ := reciprocal(w.v[j])
				i[j], q[j] = 1, w.load[j]*per
				w.v[j], w.i[j], w.load[j] = 0, 1, 0
				w.cut[j] = int32(k) + 1
				w.keep(g, behind, from+j)
				continue
			}
			i[j] = w.v[j] * y
			w.i[j] += i[j]
		}
	case len(a.Parts) == 1:
		copy(g.DZin[part][from:from+m], w.i[:m])
		w.series(inSeries(a.Parts), m)
	default:
		// Parts in parallel share the current as their admittances; the share stands
		// in DH until the walk forth.
		clear(w.y[:m])
		for p, x := range a.Parts {
			z, share := x.rlc(), g.DH[part+p][from:from+m]
			for j := range share {
				share[j], _ = reciprocal(z.at(w.w[j], w.iw[j]))
				w.y[j] += share[j]
			}
		}
		for j := range m {
			z, ok := reciprocal(w.y[j])
			if !ok {
				per, _ := reciprocal(w.i[j])
				for p := range a.Parts {
					y := g.DH[part+p][from+j]
					g.DZin[part+p][from+j], g.DH[part+p][from+j] = y, -y*y*w.load[j]*per
				}
				w.v[j], w.i[j], w.load[j] = 1, 0, 0
				w.cut[j] = int32(k) + 1
				w.keep(g, behind, from+j)
				continue
			}
			for p := range a.Parts {
				share := g.DH[part+p][from+j] * z
				g.DH[part+p][from+j], g.DZin[part+p][from+j] = share, w.i[j]*share
			}
			w.v[j] += w.i[j] * z
		}
	}
}

// keep takes everything from the parts behind a cut at one frequency.
func (w *adjoint) keep(g *Gradient, behind, at int) {
	for p := behind; p < len(g.DH); p++ {
		g.DH[p][at], g.DZin[p][at] = 0, 0
	}
}

// turn begins the walk forth.
func (w *adjoint) turn(m int) {
	for j := range m {
		w.perVolt[j], _ = reciprocal(w.v[j])
		w.perAmpere[j], _ = reciprocal(w.i[j])
		w.load[j] *= -w.perVolt[j] * w.perVolt[j] // -H per volt at the source
		w.a[j], w.b[j] = 1, 0
	}
}

// forth carries the first m points over arm k and turns currents into derivatives.
func (w *adjoint) forth(a Arm, k int, g *Gradient, part, from, m int) {
	cut := int32(k) + 1
	switch {
	case len(a.Parts) == 0:
		return
	case a.Shunt:
		z := inSeries(a.Parts)
		dh, dz := g.DH[part][from:from+m], g.DZin[part][from:from+m]
		for j := range dh {
			if w.cut[j] == cut {
				dh[j] *= w.perVolt[j]
			} else {
				y, _ := reciprocal(z.at(w.w[j], w.iw[j]))
				y *= w.b[j]
				w.a[j] += y
				dh[j] = -w.load[j] * dz[j] * y // across the path J is -B y
			}
			i := dz[j] * w.perAmpere[j]
			dz[j] = i * i
		}
		for p := part + 1; p < part+len(a.Parts); p++ { // the same current in all
			copy(g.DH[p][from:from+m], dh)
			copy(g.DZin[p][from:from+m], dz)
		}
	case len(a.Parts) == 1:
		z := inSeries(a.Parts)
		dh, dz := g.DH[part][from:from+m], g.DZin[part][from:from+m]
		for j := range dh {
			w.b[j] += w.a[j] * z.at(w.w[j], w.iw[j])
			dh[j] = w.load[j] * dz[j] * w.a[j]
			i := dz[j] * w.perAmpere[j]
			dz[j] = i * i
		}
	default:
		z := a.Parts[0].rlc()
		for j := range m {
			if w.cut[j] != cut { // the share of a part is the impedance of the arm over its own
				w.b[j] += w.a[j] * g.DH[part][from+j] * z.at(w.w[j], w.iw[j])
			}
		}
		for p := part; p < part+len(a.Parts); p++ {
			dh, dz := g.DH[p][from:from+m], g.DZin[p][from:from+m]
			for j := range dh {
				if w.cut[j] == cut {
					dh[j] *= w.perVolt[j]
				} else {
					dh[j] *= w.load[j] * dz[j] * w.a[j]
				}
				i := dz[j] * w.perAmpere[j]
				dz[j] = i * i
			}
		}
	}
}

// Derivatives returns the derivatives of the impedance of the part at hz hertz to
// its Value, in ohms per ohm, henry or farad, to its Resistance, and to its Loss.
func (p Part) Derivatives(hz float64) (value, resistance, loss complex128) {
	w := 2 * math.Pi * hz
	switch p.Kind {
	case Inductor:
		return complex(0, w), 1, 0
	case Capacitor:
		x := 1 / (w * p.Value)
		return complex(-p.Loss, 1) * complex(x/p.Value, 0), 1, complex(x, 0)
	}
	return 1, 1, 0
}

// ByValue writes to dst the derivatives to the natural logarithm of the Value of
// each part, given those to its impedance as in [Gradient]; dst may be perOhm
// itself. So a part larger by 1 % changes H by a hundredth of it.
//
// It panics if the slices are not of as many parts and frequencies as n and hz.
func (n Network) ByValue(dst, perOhm [][]complex128, hz []float64) {
	row := 0
	for _, a := range n {
		for _, p := range a.Parts {
			if row >= len(dst) || row >= len(perOhm) || len(dst[row]) != len(hz) || len(perOhm[row]) != len(hz) {
				panic(fmt.Sprintf("ladder: derivatives of part %d: not there or not at %d frequencies", row+1, len(hz)))
			}
			p.byValue(dst[row], perOhm[row], hz)
			row++
		}
	}
	if row != len(dst) || row != len(perOhm) {
		panic(fmt.Sprintf("ladder: derivatives of %d and %d parts, the network has %d", len(dst), len(perOhm), row))
	}
}

// byValue multiplies by the derivative of the impedance to ln Value.
func (p Part) byValue(dst, perOhm []complex128, hz []float64) {
	perOhm, hz = perOhm[:len(dst)], hz[:len(dst)]
	switch p.Kind {
	case Inductor:
		for k := range dst {
			dst[k] = perOhm[k] * complex(0, 2*math.Pi*hz[k]*p.Value)
		}
	case Capacitor:
		for k := range dst {
			x := 1 / (2 * math.Pi * hz[k] * p.Value)
			dst[k] = perOhm[k] * complex(-x*p.Loss, x)
		}
	default:
		for k := range dst {
			dst[k] = perOhm[k] * complex(p.Value, 0)
		}
	}
}

// Sensitivity writes to dst, by part and frequency, the sensitivity
//
//	S = d ln H / d ln Value
//
// of the network that g belongs to. Its real part is the relative change of the
// modulus per relative change of the part, its imaginary part the change of phase
// in radians. Where H is 0 it is given as 0. It panics as [Network.ByValue] does.
func (n Network) Sensitivity(dst [][]complex128, g *Gradient, hz []float64) {
	n.ByValue(dst, g.DH, hz)
	for k, h := range g.H {
		per, _ := reciprocal(h)
		for p := range dst {
			dst[p][k] *= per
		}
	}
}
