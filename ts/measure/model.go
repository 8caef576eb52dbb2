package measure

import (
	"math"

	"example.com/halfspace/ts"
	"example.com/halfspace/units"
)

// creepLoss is b = π/(2 ln 10): λb is the loss factor at fs that goes with a creep λ.
const creepLoss = math.Pi / (2 * math.Ln10)

// lawAt is where the variable of a power-law coil stands for its modulus: in the
// middle of the band, since K and N apart would hang together nearly completely.
const lawAt = 2 * math.Pi * 1000

var logLawAt = math.Log(lawAt)

// loose is the standard deviation of the logarithm of a part of the coil before
// anything is measured, so large that it decides only what nothing else does.
const loose = 100

// A layout says which variable of the fit is which; −1 is one that is not fitted.
// All but λ are logarithms.
type layout struct {
	fit    Fit
	curves []curve
	names  []string

	re, fs, qms, qes, coil, creep, mms, vas int
	box                                     []int // of each curve in a box: mass and loss ratio

	// What is known with an error and yet can be told from the curves, in its standard
	// deviations off: such a variable is a reading too, of zero.
	priors                  []prior
	added, boxes, sd, known int   // of all masses, all volumes, Sd, Mms
	drift, warmer           []int // of compliance and Re since the first curve in free air, for each

	anchors []float64 // where the variables of the coil are held loosely

	x, lo, hi []float64   // where to start, and the bounds
	starts    [][]float64 // of the coil's variables
}

type prior struct {
	name     string
	variable int
	sd       float64
}

// known holds what is not fitted, so that its errors can be tried.
type known struct {
	leads, lambda            float64
	scale, re, sd, mms, warm float64 // relative errors
}

// state is the model with its variables.
type state struct {
	re, ws, qms, qes, lambda float64
	logWs                    float64
	coil                     ts.Coil
	lawRe, lawIm             float64 // of a power law at lawAt
	mms, vas, sd             float64 // zero if they do not follow
	parts                    []part
	x                        []float64
}

// A part is what differs from curve to curve.
type part struct {
	mass, loss, stiff, box, re float64
}

// off returns how far what a prior is about is off.
func (l *layout) off(x []float64, i int) float64 {
	if i < 0 {
		return 0
	}
	return x[l.priors[i].variable] * l.priors[i].sd
}

func at(x []float64, i int) float64 {
	if i < 0 {
		return 0
	}
	return math.Exp(x[i])
}

// state evaluates variables; st is used again.
func (l *layout) state(st *state, x []float64, k *known) {
	st.x = x
	st.re = at(x, l.re)
	if l.re < 0 {
		st.re = float64(l.fit.Re) * (1 + k.re)
	}
	st.ws = 2 * math.Pi * at(x, l.fs)
	st.logWs = math.Log(st.ws)
	st.qms, st.qes = at(x, l.qms), at(x, l.qes)
	st.lambda = k.lambda
	if l.creep >= 0 {
		st.lambda = x[l.creep]
	}
	c := x[l.coil:]
	switch l.fit.Coil {
	case Plain:
		st.coil = ts.Coil{Leb: units.Inductance(math.Exp(c[0]))}
	case TwoBranch, SemiInductance:
		st.coil = ts.Coil{Leb: units.Inductance(math.Exp(c[0])), Le: units.Inductance(math.Exp(c[1])), Rss: units.Resistance(math.Exp(c[2]))}
		if l.fit.Coil == SemiInductance {
			st.coil.Ke = math.Exp(c[3])
		}
	default:
		n := math.Exp(c[1])
		modulus := math.Exp(c[0])
		st.coil = ts.Coil{K: modulus * math.Pow(lawAt, -n), N: n}
		sin, cos := math.Sincos(n * math.Pi / 2)
		st.lawRe, st.lawIm = modulus*cos, modulus*sin
	}

	st.mms, st.vas, st.sd = at(x, l.mms), at(x, l.vas), float64(l.fit.Sd)*(1+k.sd+l.off(x, l.sd))
	if l.fit.Mms > 0 {
		st.mms = float64(l.fit.Mms) * (1 + k.mms + l.off(x, l.known))
	}
	stiffness := float64(l.fit.Air.BulkModulus()) / (st.ws * st.ws) // Vas = stiffness Sd²/Mms
	switch {
	case st.vas == 0 && st.mms > 0:
		st.vas = stiffness * st.sd * st.sd / st.mms
	case st.mms == 0 && st.vas > 0:
		st.mms = stiffness * st.sd * st.sd / st.vas
	case st.mms > 0 && st.vas > 0:
		st.sd = math.Sqrt(st.vas * st.mms / stiffness)
	}
	for i := range l.curves {
		p := part{mass: 1, loss: 1, stiff: 1 / (1 + l.off(x, l.drift[i])), re: st.re * (1 + l.off(x, l.warmer[i]))}
		switch c := &l.curves[i]; {
		case c.Added > 0:
			p.mass = 1 + float64(c.Added)*(1+l.off(x, l.added))/st.mms
		case c.Box > 0:
			p.mass, p.loss = math.Exp(x[l.box[i]]), math.Exp(x[l.box[i]+1])
			p.box = st.vas / (float64(c.Box) * (1 + l.off(x, l.boxes)))
		}
		st.parts[i] = p
	}
}

// impedance returns the model without the leads at the angular frequency w, of which
// the logarithm is at hand where many are asked for.
func (st *state) impedance(p *part, w, logW float64) (re, im float64) {
	re = p.re
	if st.coil.K > 0 {
		r := math.Exp(st.coil.N * (logW - logLawAt))
		re += r * st.lawRe
		im += r * st.lawIm
	} else {
		im += w * float64(st.coil.Leb)
		if st.coil.Le > 0 {
			yr, yi := 1/float64(st.coil.Rss), -1/(w*float64(st.coil.Le))
			if st.coil.Ke > 0 {
				g := 1 / (st.coil.Ke * math.Sqrt(2*w)) // of Ke √(jω), as much real as imaginary
				yr, yi = yr+g, yi-g
			}
			y := yr*yr + yi*yi
			re += yr / y
			im -= yi / y
		}
	}
	x := w / st.ws
	creep := st.lambda * creepLoss
	sr, si := p.stiff, 0.0
	if st.lambda != 0 {
		q := 1 - st.lambda*(logW-st.logWs)/math.Ln10
		n := p.stiff * (1 + creep*creep) / (q*q + creep*creep)
		sr, si = n*q, n*creep
	}
	dr := p.loss/st.qms - creep + si/x
	di := p.mass*x - (sr+p.box)/x
	r := st.re / st.qes / (dr*dr + di*di)
	return re + r*dr, im - r*di
}

// residuals writes ln modulus and phase of the data less those of the model, then what
// the priors and the anchors are off.
func (l *layout) residuals(r []float64, st *state, k *known) {
	n := 0
	for i := range l.curves {
		c, p := &l.curves[i], &st.parts[i]
		for j, hz := range c.hz {
			re, im := st.impedance(p, 2*math.Pi*hz, c.logW[j])
			re += k.leads
			r[n] = c.log[j] - k.scale - 0.5*math.Log(re*re+im*im)
			n++
			if c.phase != nil {
				d := c.phase[j] - math.Atan2(im, re)
				if d > math.Pi || d < -math.Pi {
					d = math.Remainder(d, 2*math.Pi)
				}
				r[n] = d
				n++
			}
		}
	}
	for _, p := range l.priors {
		r[n] = st.x[p.variable]
		n++
	}
	for i, v := range l.anchors {
		r[n] = (st.x[l.coil+i] - v) / loose
		n++
	}
}
