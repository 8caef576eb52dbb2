package align

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/box"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A RadiatorAlignment is a lossless box with a passive radiator, relative to its
// driver.
type RadiatorAlignment struct {
	Delta float64 // compliance of the radiator over that of the box, Vap/Vb
	Qts   float64 // of the driver, source resistance included
	Alpha float64 // Vas/Vb
	Y     float64 // fp/fs: resonance of the radiator in open air, where the response has its null
}

// H returns the tuning over fs: the radiator on the air of the box resonates at
// fp √(1 + δ).
func (r RadiatorAlignment) H() float64 { return r.Y * math.Sqrt(1+r.Delta) }

// leastDelta is where e below becomes 0.
const leastDelta = 1.191487883953118747

// FlatRadiator returns the flattest response that a passive radiator of the given
// δ = Vap/Vb allows. With the response N/D of the lossless system,
//
//	N = S²(P² + 1),  D = (S² + S/Qts + 1)(P² + 1 + δ) + α(P² + 1)
//	S = s/ωs,  P = s/ωp
//
// flattest means that |D|² − |N|² is the same at all frequencies. Comparing powers,
// with t = 1 + δ and e = (fs/fp)²:
//
//	M = (4t − 1 + √((4t − 1)² − 8t²))/2
//	e = (t²(M − 1)/M − M + t)/δ,  α = (M − t)/e − 1,  Qts² = e/(2(M − 1))
//
// (derived here). δ must be above 1.1915, where Vas/Vb grows without limit and Qts
// falls to 0. As δ grows it becomes [B4] with Qts 0.3827.
func FlatRadiator(delta float64) (RadiatorAlignment, error) {
	if !(delta > leastDelta) || math.IsInf(delta, 0) {
		return RadiatorAlignment{}, &units.RangeError{Field: "align: Vap/Vb", Value: fmt.Sprintf("%.4g", delta), Want: fmt.Sprintf("must be above %.4g and finite", leastDelta)}
	}
	t := 1 + delta
	m := (4*t - 1 + math.Sqrt((4*t-1)*(4*t-1)-8*t*t)) / 2
	e := (t*t*(m-1)/m - m + t) / delta
	return RadiatorAlignment{
		Delta: delta,
		Qts:   math.Sqrt(e / (2 * (m - 1))),
		Alpha: (m-t)/e - 1,
		Y:     1 / math.Sqrt(e),
	}, nil
}

// F3 returns the half-power cut-off over fs of a flattest response:
// |D|² = |N|² + (t + α)² with |N| = S²|1 − eS²| gives
//
//	(f3/fs)² = (1 + √(1 + 4e(t + α)))/(2e)
func (r RadiatorAlignment) F3() float64 {
	e := 1 / (r.Y * r.Y)
	return math.Sqrt((1 + math.Sqrt(1+4*e*(1+r.Delta+r.Alpha))) / (2 * e))
}

// FlatRadiatorFor returns the member of the family of [FlatRadiator] for a driver's
// Qts, source resistance included, which must be below that of the lossless [B4],
// 0.3827. Which radiator gives it follows: Vap is [RadiatorAlignment.Delta] times
// Vas/α.
func FlatRadiatorFor(qts float64) (RadiatorAlignment, error) {
	if err := units.Positive("align: Qts", qts); err != nil {
		return RadiatorAlignment{}, err
	}
	if !(qts < 1/root8) {
		return RadiatorAlignment{}, &units.RangeError{Field: "align: Qts", Value: fmt.Sprintf("%.4g", qts), Want: fmt.Sprintf("must be below %.4g: with a passive radiator the flattest response needs less than B4", 1/root8)}
	}
	log := bisect(math.Log(largestDelta-leastDelta), math.Log(1e-6), func(p float64) bool {
		r, err := FlatRadiator(leastDelta + math.Exp(p))
		return err != nil || r.Qts < qts
	})
	r, err := FlatRadiator(leastDelta + math.Exp(log))
	if err == nil && !(math.Abs(r.Qts/qts-1) < 1e-9) {
		return RadiatorAlignment{}, &units.RangeError{Field: "align: Qts", Value: fmt.Sprintf("%.6g", qts), Want: "is so near an end of the family that no radiator of this world has it"}
	}
	return r, err
}

// largestDelta is within 1e-6 of a vent in Qts.
const largestDelta = 1e6

// A RadiatorDesign is a box with a passive radiator for a driver.
type RadiatorDesign struct {
	RadiatorAlignment
	Box    box.PassiveRadiator // without losses
	Cutoff units.Frequency     // half power
}

// Radiator returns the flattest box with a passive radiator for the driver. The
// driver's Qts decides not only the volume but the radiator too: its Vap and its
// resonance; area is its effective area, of which only that is free. One with
// another Vap cannot be flattest here; what can be made of it is for a [Goal]. Zero
// air is standard air. Errors are those of [FlatRadiatorFor]; coil inductance is left
// out.
func Radiator(d ts.Driver, area units.Area, a air.Air) (RadiatorDesign, error) {
	if err := cmp.Or(d.Check(), a.OrStandard().Check(), units.Positive("align: radiator: Sd", area)); err != nil {
		return RadiatorDesign{}, err
	}
	r, err := FlatRadiatorFor(d.Qts())
	if err != nil {
		return RadiatorDesign{}, err
	}
	vb := d.Vas(a) / units.Volume(r.Alpha)
	cms := r.Delta * float64(vb) / (float64(a.OrStandard().BulkModulus()) * float64(area*area))
	wp := 2 * math.Pi * float64(d.Fs()) * r.Y
	b := box.PassiveRadiator{Vb: vb, Radiator: box.PassiveCone{
		Sd: area, Cms: units.Compliance(cms), Mms: units.Mass(1 / (wp * wp * cms)),
	}}
	return RadiatorDesign{RadiatorAlignment: r, Box: b, Cutoff: d.Fs() * units.Frequency(r.F3())}, b.Check()
}
