package box

import (
	"cmp"

	"example.com/halfspace/units/air"
)

// Bandpass6Series is a sixth-order band-pass box of the series kind: the vent of
// the rear chamber leads into the front chamber, whose vent leads outside. The
// tuning of each chamber is that of its volume with its own vent, the other end
// open. Leaks go to the outside.
//
// With the terms S, N, P, Y that the response of a [Vented] has (see
// [System.Functions]) for rear (r) and front (f), B = S + N/QL of the rear, and
// k = Vr ωr/(Vf ωf),
//
//	D    = k Br Nf Pf + Yr Yf
//	Za   = Pr (k Br Nf Pf + Nr Yf)/(ωr Cr D)
//	vent = Br Nf Pr/D,  rear vent = −(k Br Nf Pf + Nr Yf)/D
//	net  = Pr (Sr Nf (1 + Pf/QLf) − Sf Pf Nr/QLr)/D
//
// (derived here: two nodes, the cone's flow into one and out of the other). It falls
// by 24 dB per octave below its band and by 12 above.
type Bandpass6Series struct {
	Rear, Front Vented
}

// Check implements [Enclosure].
func (b Bandpass6Series) Check() error {
	return cmp.Or(inChamber("rear chamber", b.Rear.Check()), inChamber("front chamber", b.Front.Check()))
}

// Flow implements [Enclosure].
func (b Bandpass6Series) Flow(s complex128, a air.Air) Flow {
	Sr, nr, pr, yr := b.Rear.terms(s)
	Sf, nf, pf, yf := b.Front.terms(s)
	qlr, qlf := inverse(b.Rear.QL), inverse(b.Front.QL)
	br := Sr + scale(nr, qlr)
	far := scale(br*nf*pf, b.ratio())
	both := far + nr*yf
	r := reciprocal(far + yr*yf)
	return Flow{
		Za:   scale(pr*both*r, b.Rear.stiffness(a)),
		Net:  pr * (Sr*nf*(1+scale(pf, qlf)) - scale(Sf*pf*nr, qlr)) * r,
		Vent: br * nf * pr * r,
		Rear: -both * r,
	}
}

func (b Bandpass6Series) ratio() float64 {
	return float64(b.Rear.Vb) * b.Rear.omega() / (float64(b.Front.Vb) * b.Front.omega())
}

// Openings implements [Enclosure].
func (b Bandpass6Series) Openings() Openings {
	return Openings{Vent: b.Front.Area, Rear: b.Rear.Area}
}

func (b Bandpass6Series) polynomials(air.Air) polynomials {
	Sr, nr, pr, yr := b.Rear.polynomialTerms()
	Sf, nf, pf, yf := b.Front.polynomialTerms()
	qlr, qlf := inverse(b.Rear.QL), inverse(b.Front.QL)
	br := Sr.plus(nr.scaled(qlr))
	far := br.times(nf).times(pf).scaled(b.ratio())
	both := far.plus(nr.times(yf))
	out := Sr.times(nf).times(poly{1}.plus(pf.scaled(qlf)))
	return polynomials{
		den:  far.plus(yr.times(yf)),
		load: Sr.times(pr).times(both).scaled(1 / float64(b.Rear.Vb)),
		net:  pr.times(out.plus(Sf.times(pf).times(nr).scaled(-qlr))),
		vent: br.times(nf).times(pr),
		rear: both.scaled(-1),
	}
}
