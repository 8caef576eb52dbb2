package port

import (
	"math"

	"example.com/halfspace/units"
)

// End corrections of round ends at low frequency, in radii. The package uses
// the exact values; the printed ones stand beside them for comparison with
// the literature.
const (
	// FreeExact is a thin tube that ends in open space: the static integral of
	// Levine and Schwinger (Physical Review 73, 1948, 383), evaluated anew.
	FreeExact = 0.6127010359
	// FreePrinted is the same as printed since 1948, 0.0006 high.
	FreePrinted = 0.6133
	// FlangedExact is a tube that ends in an infinite flange, with the flow
	// free to crowd towards the edge: a variational solution, the same for eight
	// to twelve kinds of flow.
	FlangedExact = 0.8216742364
	// FlangedPrinted is the same as printed by Nomura, Yamamura and Inawashiro (1960).
	FlangedPrinted = 0.8217
	// Piston is a rigid piston in an infinite flange, 8/(3π) (Rayleigh). It is
	// often taken for a flanged tube, which it makes 3.3 % of the correction too
	// long: air does not move like a piston at the mouth.
	Piston = 8 / (3 * math.Pi)
)

// EndCorrection returns what one end of each vent adds to its length if it is
// sharp and has no neighbours, valid while the vent is small against the
// wavelength (see [Mouth.OpenEnd] for more). The vent must pass its check with m
// at one of its ends.
//
//	round      flanged 0.82167 a; free 0.61270 a for a thin tube, rising with Wall
//	           towards the flanged value (Dalmont, Nederveen and Joly, Journal of
//	           Sound and Vibration 244, 2001, 505, with the exact limits put in;
//	           within 0.0045 a of a boundary-element solution). A wall is a mirror:
//	           see [MutualEnd].
//	rectangle  the value of the round end of equal area, times the ratio of the
//	           two as rigid pistons, which is known in closed form. Walls are
//	           mirrors: along a wall the piston has twice the short side, in a
//	           corner it is doubled both ways. Flanged it is right to 0.5 % for
//	           a square and 1.5 % short at 8:1, against a variational
//	           solution (the piston alone is 2 to 3.6 % long); free it is an estimate.
//	AcrossBox  two-dimensional flow from height h into height H, closed form
//	           (conformal map), see the source.
//	InDuct     for a round vent in the middle of a round duct of b times its radius:
//	           a polynomial in q = a/b through a mode-matching solution, within
//	           0.00005 a, exact at q = 0 and 1; the usual rule, 0.82167 a (1 − 1.25 q),
//	           is 0.018 a long at 0.3. Other shapes are taken as
//	           the round ones of equal area.
//
// In a corner the correction of a rectangle is exactly twice that without walls; on
// one wall it is 1.37 times (square) to 1.6 times (8:1).
func (v Vent) EndCorrection(m Mouth) units.Length {
	a := math.Sqrt(v.section(0) / math.Pi) // of the circle of equal area
	switch m {
	case AcrossBox:
		return acrossBox(v.Height, v.Clear)
	case InDuct:
		return units.Length(inDuct(math.Sqrt(float64(v.Area()/v.Section))) * a)
	}
	perRadius := FlangedExact
	if m == Free {
		perRadius = free(a / (a + float64(v.Wall)))
	}
	if v.round() {
		image := 2 * float64(v.ToWall) / a
		switch m {
		case AlongWall:
			perRadius += MutualEnd(image)
		case InCorner:
			perRadius += 2*MutualEnd(image) + MutualEnd(math.Sqrt2*image)
		}
		return units.Length(perRadius * a)
	}
	w, h := float64(max(v.Width, v.Height)), float64(min(v.Width, v.Height))
	switch m {
	case AlongWall:
		h *= 2
	case InCorner:
		w, h = 2*w, 2*h
	}
	// The images move the same air, so the mean potential on the piston with its
	// images is the potential on the vent itself.
	return units.Length(perRadius / Piston * rectangle(w, h))
}

// end is what one end adds, with its rounding and its neighbours.
func (v Vent) end(m Mouth, r units.Length) units.Length {
	if r != 0 && m == Free {
		v.Wall += r // what widens is a flange
	}
	return v.EndCorrection(m) - units.Length(v.rounding(r)) + v.neighbours(m)
}

// free is the correction, in inner radii, of a tube of inner over outer radius
// x in open space: 0 < x <= 1.
func free(x float64) float64 {
	bend := 1 - float64(x*x*x*x*x)
	return FlangedExact + float64(x*(FreeExact-FlangedExact)) + float64(0.057*x*bend)
}

// rectangle is the end correction of a rigid rectangular piston in an infinite
// flange: its mean potential at unit velocity,
//
//	d = (1/2πS) ∫∫ dS dS'/|r−r'|
//
// in closed form.
func rectangle(w, h float64) float64 {
	w, h = max(w, h), min(w, h)
	diagonal := math.Hypot(w, h)
	asinhs := float64(w*math.Asinh(h/w)) + float64(h*math.Asinh(w/h))
	// (w³ + h³ − diagonal³)/(w h), without the difference of the large ones
	cubes := float64(h*h/w) - float64(h/w*(float64(diagonal*diagonal)+float64(diagonal*w)+float64(w*w))/(diagonal+w))
	return (asinhs + cubes/3) / math.Pi
}

// acrossBox is the correction of a two-dimensional channel of height h that
// opens, flush with one wall, into one of height clear. With q = h/clear
//
//	d/h = (2/π) [(1+q²)/(2q) ln((1+q)/(1−q)) + ln((1−q²)/(4q))]
func acrossBox(h, clear units.Length) units.Length {
	q := float64(h / clear)
	q2 := float64(q * q)
	perHeight := 2 / math.Pi * (float64((1+q2)/(2*q)*2*math.Atanh(q)) + math.Log((1-q2)/(4*q)))
	return units.Length(perHeight * float64(h))
}

// inDuct is the correction, in radii, of a round tube that opens concentrically into
// a duct of 1/q times its radius.
func inDuct(q float64) float64 {
	p, power := 0., q
	for _, c := range [...]float64{-1.34731099, 0.2858189, -0.01382178, 0.18239827, -0.21463618, 0.10755178} { // of q, q³ ...; −1 in all
		p += float64(c * power)
		power *= float64(q * q)
	}
	return FlangedExact * (1 + p)
}
