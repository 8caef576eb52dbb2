package measure

import (
	"fmt"
	"math"
	"strings"
)

// The limits of the warnings are ours.
const (
	vague      = 0.05 // scatter of a main figure that is worth a word
	vaguePart  = 0.25 // of a part of the coil
	poor       = 0.05 // residual that no meter has
	doubled    = 0.03 // usual residual around a peak that is not one
	wandering  = 0.5  // correlation of neighbouring residuals that no noise has
	visible    = 5e-4 // residual below which nobody cares how it wanders
	manyOut    = 0.1  // share of points left out that are no longer a few
	far        = 3    // standard deviations that what is known should not be off, together
	heavierBox = 0.2  // change of the moving mass in a box that air cannot make
)

func (s *solver) warnings(r *Result, d deviations) []Warning {
	var all []Warning
	warn := func(about, format string, args ...any) {
		all = append(all, Warning{about, fmt.Sprintf(format, args...)})
	}
	if !s.met {
		warn("fit", "did not settle: no figure is to be trusted")
	}
	for k, name := range s.names[:len(s.x)-len(s.priors)] {
		switch {
		case d.held[k] && k == s.creep:
			if s.x[k] > s.hi[k]/2 {
				warn("creep", "runs to its bound, %.2g: something else is taken for creep", s.x[k])
			} else {
				warn("creep", "none shows")
			}
		case s.frozen[k]:
			warn(name, "the points do not carry it; it is held at a round value")
		case d.held[k]:
			warn(name, "runs to its bound: the points do not need it")
		case k >= s.coil && k < s.coil+len(s.fit.Coil.parts()):
			if d.variable[k] > vaguePart {
				warn(name, "%s by scatter: the points hardly carry it", plusMinus(d.variable[k]))
			}
		case k == s.creep:
			if d.variable[k] > 0.5*s.x[k] {
				warn("creep", "%.3f ± %.3f: the points hardly carry it", s.x[k], d.variable[k])
			}
		case d.variable[k] > vague:
			warn(name, "%s by scatter: the points hardly carry it", plusMinus(d.variable[k]))
		}
	}
	if s.fit.Re == 0 {
		warn("Re", "not given: it, and Qes with it, rests on the coil model; measure it by a direct current")
	} else if off := math.Abs(d.wantRe); off > 0.02 && off > 3*math.Hypot(d.wantReSD, float64(s.fit.Accuracy.Re)) {
		warn("Re", "%v given, but the points want %.3g Ω: leads, a warm coil, or the coil model", s.fit.Re, float64(s.fit.Re)*math.Exp(d.wantRe))
	}
	if viscous := 1/r.Qms.Value - r.Creep.Value*creepLoss; viscous < 0 {
		warn("creep", "%.3f takes more than all losses at fs, 1/Qms: it is too large", r.Creep.Value)
	}
	widest := 0.0
	for i, c := range s.curves {
		name := fmt.Sprintf("curve %d", i+1)
		f := r.Runs[i]
		last := c.hz[len(c.hz)-1]
		widest = max(widest, last/float64(c.read.Fs))
		if c.read.F1 == 0 {
			warn(name, "begins at %.4g Hz, on the slope of the peak at %.4g Hz: start lower, half the peak is missing", c.hz[0], float64(c.read.Fs))
		}
		if !(last > 3*float64(c.read.F2)) {
			warn(name, "ends at %.4g Hz, soon after the peak: the coil's impedance hardly shows", last)
		}
		if share := float64(len(f.LeftOut)) / float64(len(c.hz)); share > manyOut {
			warn(name, "%d of %d points stand out: the model may be wrong, not they", len(f.LeftOut), len(c.hz))
		} else if n := longest(f.LeftOut); n >= 5 {
			warn(name, "%d points in a row stand out: the model may be wrong there, not they", n)
		}
		if float64(f.Modulus) > poor || float64(f.Phase) > poor {
			warn(name, "is %v and %v off: this is not the driver's model", f.Modulus, f.Phase)
		}
		if c.Box > 0 && !(math.Abs(f.MassRatio-1) < heavierBox) {
			warn(name, "needs %.2f times the moving mass in the box: a leak, filling, a wrong volume, or a coil that was warmer", f.MassRatio)
		}
	}
	if s.fit.Coil == Plain && widest > 12 {
		warn("coil", "a plain inductance over %.0f times fs: end the band at ten times fs, or take another model", widest)
	}
	if d.wander > wandering && max(s.noise[0], s.noise[1]) > visible {
		warn("fit", "residuals wander instead of scattering: the model leaves something out%s; ± by scatter is widened, and may still be too small", s.maybeCreep())
	}
	if r.Mms.Value == 0 && r.Vas.Value == 0 {
		warn("Mms, Vas", "unknown: they need a curve with a mass on the cone or in a closed box")
	}
	s.contradictions(warn)
	return all
}

func (s *solver) maybeCreep() string {
	if s.creep < 0 {
		return ", creep perhaps"
	}
	return ""
}

// plusMinus tells the standard deviation of a logarithm.
func plusMinus(sd float64) string {
	if sd > 1 {
		return fmt.Sprintf("open by a factor of %.1g", math.Exp(sd))
	}
	return fmt.Sprintf("± %.0f %%", 100*math.Expm1(sd))
}

// contradictions says if masses, boxes, area and suspension had to give way further
// than they should.
func (s *solver) contradictions(warn func(about, format string, args ...any)) {
	sum := 0.0
	var moved []string
	for _, p := range s.priors {
		v := s.x[p.variable]
		sum += v * v
		if math.Abs(v) > 1 {
			moved = append(moved, fmt.Sprintf("%s %+.1f %%", p.name, 100*v*p.sd))
		}
	}
	if sum > far*far {
		warn("fit", "curves and what is given contradict each other: it had to take %s", strings.Join(moved, ", "))
	}
}

// longest returns the length of the longest run of neighbours.
func longest(index []int) int {
	most, n := 0, 0
	for i, v := range index {
		if i > 0 && v == index[i-1]+1 {
			n++
		} else {
			n = 1
		}
		most = max(most, n)
	}
	return most
}
