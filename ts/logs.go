package ts

import (
	"math"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// logs are the logarithms (SI) of what fixes a driver, in the order of their indices.
// Xmax is among them for the sake of Vd.
type logs [7]float64

const (
	atRe = iota
	atBl
	atMms
	atCms
	atRms
	atSd
	atXmax
)

// driverLogs returns the logarithms of d; without Xmax its entry is zero.
func driverLogs(d Driver) logs {
	x := logs{
		math.Log(float64(d.Re)), math.Log(float64(d.Bl)), math.Log(float64(d.Mms)),
		math.Log(float64(d.Cms)), math.Log(float64(d.Rms)), math.Log(float64(d.Sd)),
	}
	if d.Xmax > 0 {
		x[atXmax] = math.Log(float64(d.Xmax))
	}
	return x
}

// into returns d with the six numbers of x.
func (x logs) into(d Driver) Driver {
	d.Re, d.Bl = units.Resistance(math.Exp(x[atRe])), units.ForceFactor(math.Exp(x[atBl]))
	d.Mms, d.Cms = units.Mass(math.Exp(x[atMms])), units.Compliance(math.Exp(x[atCms]))
	d.Rms, d.Sd = units.MechanicalResistance(math.Exp(x[atRms])), units.Area(math.Exp(x[atSd]))
	return d
}

// A slope is the logarithm of a figure and how it follows each of [logs].
type slope struct {
	ln float64
	by logs
}

// product returns the slope of e^ln times powers of the seven.
func (x logs) product(ln float64, powers logs) slope {
	for i, p := range powers {
		if p != 0 { // the logarithm of Rms may be infinite
			ln += p * x[i]
		}
	}
	return slope{ln, powers}
}

// power returns the slope of the k-th power of the figure.
func (a slope) power(k float64) slope {
	a.ln *= k
	for i := range a.by {
		a.by[i] *= k
	}
	return a
}

// sum returns the slope of the sum of two figures.
func sum(a, b slope) slope {
	top := max(a.ln, b.ln)
	wa, wb := math.Exp(a.ln-top), math.Exp(b.ln-top)
	s := slope{ln: top + math.Log(wa+wb)}
	for i := range s.by {
		s.by[i] = (float64(wa*a.by[i]) + float64(wb*b.by[i])) / (wa + wb)
	}
	return s
}

// figure returns the slope of what a sheet prints. A level stands as its efficiency:
// 1 dB is 0.23 of a logarithm. Mass without air load stands as that with it, given
// the printed one; so it needs it.
func (x logs) figure(name string, printed float64, a air.Air) slope {
	re := x.product(0, logs{atRe: 1})
	switch name {
	case "Re":
		return re
	case "Bl":
		return x.product(0, logs{atBl: 1})
	case "Mms":
		return x.product(0, logs{atMms: 1})
	case "Cms":
		return x.product(0, logs{atCms: 1})
	case "Rms":
		return x.product(0, logs{atRms: 1})
	case "Sd":
		return x.product(0, logs{atSd: 1})
	case "Xmax":
		return x.product(0, logs{atXmax: 1})
	case "Vd":
		return x.product(0, logs{atSd: 1, atXmax: 1})
	case "diameter":
		return x.product(math.Log(4/math.Pi)/2, logs{atSd: 0.5})
	case "fs":
		return x.product(-math.Log(twoPi), logs{atMms: -0.5, atCms: -0.5})
	case "Qms":
		return x.product(0, logs{atMms: 0.5, atCms: -0.5, atRms: -1})
	case "Qes":
		return x.product(0, logs{atMms: 0.5, atCms: -0.5, atRe: 1, atBl: -2})
	case "Qts":
		return sum(x.figure("Qms", 0, a).power(-1), x.figure("Qes", 0, a).power(-1)).power(-1)
	case "Vas":
		return x.product(math.Log(float64(a.BulkModulus())), logs{atSd: 2, atCms: 1})
	case "Zmax":
		return sum(re, x.product(0, logs{atBl: 2, atRms: -1}))
	case "eta0", "SPL 1 W":
		return x.product(math.Log(float64(a.Density)/(twoPi*float64(a.SpeedOfSound))), logs{atBl: 2, atSd: 2, atMms: -2, atRe: -1})
	case "SPL 2.83 V":
		return x.product(math.Log(float64(a.Density)/(twoPi*float64(a.SpeedOfSound))), logs{atBl: 2, atSd: 2, atMms: -2, atRe: -2})
	case "Mmd":
		load := x.product(math.Log(float64(AirMass(1, a))), logs{atSd: 1.5})
		s := x.product(0, logs{atMms: 1})
		whole := sum(slope{ln: math.Log(printed)}, load)
		for i := range s.by {
			s.by[i] -= whole.by[i]
		}
		s.ln += math.Log(printed) - whole.ln
		return s
	}
	panic("ts: no figure " + name)
}
