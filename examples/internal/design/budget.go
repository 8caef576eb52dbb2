package design

import (
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// A Budget is where the level goes, in dB at 1 m for 2.83 V.
type Budget struct {
	Woofer    float64 // in half space, mean of the band below the crossing
	Panel     float64 // what the panel takes from the bass, 60 to 150 Hz; 0 if its effect is not known
	Low       float64 // woofer on the panel behind its network, band below the crossing
	Tweeter   float64 // on the panel without network, band above the crossing
	Surplus   float64 // of the tweeter over the woofer on the panel
	Padding   float64 // what the tweeter's network takes in its band
	Speaker   float64 // mean of the whole band
	HalfSpace bool    // whether the woofer's half-space level is known
}

// Budget tells it.
func (d *Design) Budget() Budget {
	s := &d.Speaker
	p := d.Project.Crossover
	at := s.crossing()
	// Per volt at 1 m to a level for 2.83 V.
	gain := response.DB(complex(2.83/20e-6, 0))
	last := func(c Curves) []complex128 { return c.Stages[len(c.Stages)-1].P }
	var b Budget
	woofer, tweeter := last(d.Woofer.Curves), last(d.Tweeter.Curves)
	b.Speaker = float64(s.Sensitivity)
	b.Tweeter = d.mean(tweeter, units.Frequency(1.5*float64(at)), p.Hi) + gain
	onPanel := d.mean(woofer, p.Lo, units.Frequency(float64(at)/1.5)) + gain
	b.Surplus = b.Tweeter - onPanel
	b.Padding = -d.mean(s.Result.Transfer[1], units.Frequency(1.5*float64(at)), p.Hi)
	b.Low = onPanel + d.mean(s.Result.Transfer[0], p.Lo, units.Frequency(float64(at)/1.5))
	if panel := d.Woofer.Curves.Panel; panel != nil {
		b.Panel = d.mean(panel, 60, 150)
		half := make([]complex128, len(woofer))
		for i := range half {
			half[i] = woofer[i] / panel[i]
		}
		b.Woofer, b.HalfSpace = d.mean(half, p.Lo, units.Frequency(float64(at)/1.5))+gain, true
	}
	return b
}
