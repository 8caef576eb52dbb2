package filter

import (
	"cmp"
	"math"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// A MovingCoil is the impedance of a driver as lumped elements: Re, then the coil's
// inductance, then the resonance. What is zero is not there; only Re always is.
type MovingCoil struct {
	Re units.Resistance

	// The coil: Le, in series with L2 and R2 in parallel, the usual model of the
	// eddy currents in the iron (Leb, Le and Rss of a ts.Coil). L2 and R2 come
	// together. A semi-inductance, which rises as √f, is no lumped element: fit these
	// three to it over the band that matters.
	Le, L2 units.Inductance
	R2     units.Resistance

	// The resonance as mounted: in free air, or of the closed box.
	Fs       units.Frequency
	Qes, Qms float64

	// A vented box about a driver whose Fs, Qes and Qms are those in free air:
	// Fb is the tuning, Alpha is Vas/Vb, and QL the leak at Fb, where zero is none.
	// R. H. Small, "Vented-box loudspeaker systems", Journal of the Audio
	// Engineering Society 21 (1973).
	Fb        units.Frequency
	Alpha, QL float64
}

// Check returns an error unless Re is positive and all else is zero or positive, and
// what belongs together is given together.
func (m MovingCoil) Check() error {
	if err := cmp.Or(
		units.Positive("filter: coil resistance", m.Re),
		units.NotNegative("filter: coil inductance", m.Le),
		units.NotNegative("filter: coil inductance L2", m.L2),
		units.NotNegative("filter: coil resistance R2", m.R2),
		units.NotNegative("filter: resonance", m.Fs),
		units.NotNegative("filter: tuning", m.Fb),
		units.NotNegative("filter: ql", m.QL),
	); err != nil {
		return err
	}
	if m.L2 > 0 || m.R2 > 0 {
		if err := cmp.Or(units.Positive("filter: coil inductance L2", m.L2), units.Positive("filter: coil resistance R2", m.R2)); err != nil {
			return err
		}
	}
	if m.Fs > 0 || m.Qes != 0 || m.Qms != 0 || m.Fb > 0 {
		if err := cmp.Or(
			units.Positive("filter: resonance", m.Fs),
			units.Positive("filter: qes", m.Qes),
			units.Positive("filter: qms", m.Qms),
		); err != nil {
			return err
		}
	}
	if m.Fb > 0 || m.Alpha != 0 || m.QL > 0 {
		return cmp.Or(units.Positive("filter: tuning", m.Fb), units.Positive("filter: alpha", m.Alpha))
	}
	return nil
}

// motion is what the moving parts look like from the terminals: res, l and c in
// parallel, and across them, if there is a vented box, lb, cb and rb in series.
type motion struct{ res, l, c, lb, cb, rb float64 }

func (m MovingCoil) motion() motion {
	w, re := 2*math.Pi*float64(m.Fs), float64(m.Re)
	e := motion{res: re * m.Qms / m.Qes, l: re / (w * m.Qes), c: m.Qes / (w * re)}
	if m.Fb > 0 {
		wb := 2 * math.Pi * float64(m.Fb)
		e.lb = e.l / m.Alpha
		e.cb = 1 / (wb * wb * e.lb)
		if m.QL > 0 {
			e.rb = wb * e.lb / m.QL
		}
	}
	return e
}

// Impedance returns the impedance at the terminals, in ohms, at the frequency hz in
// hertz, which must be positive. m should have passed Check.
func (m MovingCoil) Impedance(hz float64) complex128 {
	w := 2 * math.Pi * hz
	z := complex(float64(m.Re), w*float64(m.Le))
	if m.L2 > 0 {
		z += 1 / complex(1/float64(m.R2), -1/(w*float64(m.L2)))
	}
	if m.Fs > 0 {
		e := m.motion()
		y := complex(1/e.res, w*e.c-1/(w*e.l))
		if m.Fb > 0 {
			y += 1 / complex(e.rb, w*e.lb-1/(w*e.cb))
		}
		z += 1 / y
	}
	return z
}

// Conjugate returns the branch across the driver that makes its impedance Re at all
// frequencies. With the driver Re + Zx the branch is
//
//	Re + Re²/Zx
//
// whatever Zx is: each part of the driver has its dual in the branch, what stands in
// series there stands in parallel here, and there is one Re only. A [Zobel] beside a
// [ResonanceTrap] brings two, and undershoots.
//
// The branch is a ladder with its far end open: it hangs across the driver and leads
// nowhere. If it is a single shunt arm, as for the coil or the resonance alone, it
// may be appended to a network like any other section. [Across] gives the impedance of
// a driver with the branch; a network before it is then solved into that.
//
//	Re                                 in series
//	C = Le/Re²                         across, for Le
//	R = Re²/R2 + C = L2/Re²            across, for L2 and R2
//	R = Re·Qes/Qms + L + C             for the resonance: L = Re·Qes/(2πFs),
//	                                   C = 1/(2πFs·Re·Qes)
//	C, L, R in parallel                at its end, for a vented box: C = L of the
//	                                   resonance's dual coil, tuned to Fb
//
// For the box these are C = 1/(2πFs·Re·Qes·Alpha), L = 1/((2πFb)²C) and, with a leak,
// R = QL·2πFb·L.
func (m MovingCoil) Conjugate() (ladder.Network, error) {
	if err := m.Check(); err != nil {
		return nil, err
	}
	re := float64(m.Re)
	dual := func(value float64) units.Capacitance { return units.Capacitance(value / (re * re)) }
	var across ladder.Network // what stands behind Re
	if m.Le > 0 {
		across = append(across, ladder.Shunt(ladder.C(dual(float64(m.Le)))))
	}
	if m.L2 > 0 {
		across = append(across, ladder.Shunt(ladder.R(units.Resistance(re*re/float64(m.R2))), ladder.C(dual(float64(m.L2)))))
	}
	if m.Fs > 0 {
		e := m.motion()
		trap := []ladder.Part{
			ladder.R(units.Resistance(re * re / e.res)),
			ladder.L(units.Inductance(re * re * e.c)),
			ladder.C(dual(e.l)),
		}
		if m.Fb > 0 {
			for _, p := range trap {
				across = append(across, ladder.Series(p))
			}
			across = append(across, ladder.Shunt(ladder.C(dual(e.lb))), ladder.Shunt(ladder.L(units.Inductance(re*re*e.cb))))
			if e.rb > 0 {
				across = append(across, ladder.Shunt(ladder.R(units.Resistance(re*re/e.rb))))
			}
		} else {
			across = append(across, ladder.Shunt(trap...))
		}
	}
	switch {
	case len(across) == 0: // a resistance needs nothing
		return nil, nil
	case len(across) > 1:
		return append(ladder.Network{ladder.Series(ladder.R(m.Re))}, across...), nil
	}
	// One arm takes Re in, and a resistor of its own with it.
	parts := across[0].Parts
	if parts[0].Kind == ladder.Resistor {
		parts[0].Value += re
	} else {
		parts = append([]ladder.Part{ladder.R(m.Re)}, parts...)
	}
	return ladder.Network{ladder.Shunt(parts...)}, nil
}

// Across writes to z the impedance of a load with a branch across it, at the
// frequencies hz in hertz; z and load may be the same slice. The branch is a ladder
// with its far end open, as from [MovingCoil.Conjugate]; an empty one is nothing.
//
// It panics as [ladder.Network.Solve] does if slices differ in length or a number is
// none. The branch should have passed [ladder.Network.Check].
func Across(z []complex128, hz []float64, load []complex128, branch ladder.Network) {
	if len(z) != len(hz) || len(load) != len(hz) {
		panic("filter: slices of different lengths")
	}
	h, in := make([]complex128, len(hz)), make([]complex128, len(hz))
	end := make([]complex128, len(hz))
	for i := range end {
		end[i] = 1e30 // Ω: open, to the last bit of what any part does
	}
	branch.Solve(h, in, hz, end)
	for i, b := range in {
		if load[i] == 0 || b == 0 {
			z[i] = 0
			continue
		}
		z[i] = 1 / (1/load[i] + 1/b)
	}
}
