package ts

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A Verdict says how far a printed figure stands from what others imply.
type Verdict uint8

// The verdicts, from good to bad.
const (
	Agrees        Verdict = iota // within what rounding explains, or below notice
	Noteworthy                   // more than rounding, less than usual scatter
	Doubtful                     // more than most sheets show
	Contradiction                // one of the figures must be wrong
)

func (v Verdict) String() string {
	return [...]string{"agrees", "note", "doubtful", "contradiction"}[v]
}

// A Finding compares one printed figure with what other printed figures imply.
type Finding struct {
	Figure      string   // "Vas"
	From        string   // "ρc² Sd² Cms"
	Uses        []string // the other figures
	Published   string   // with unit
	Implied     string   // with unit
	Discrepancy float64  // published over implied − 1, or the difference in dB for levels
	Rounding    float64  // what rounding alone explains, in the same measure
	Decibels    bool     // Discrepancy and Rounding are in dB
	Verdict     Verdict
	Remark      string // what may have happened; empty if nothing springs to mind
}

// String tells the finding in one line.
func (f Finding) String() string {
	size := apart(f.Discrepancy)
	if f.Decibels {
		size = fmt.Sprintf("%+.1f dB", f.Discrepancy)
	}
	text := fmt.Sprintf("%s: %s printed %s, %s gives %s (%s)", f.Verdict, f.Figure, f.Published, f.From, f.Implied, size)
	if f.Remark != "" {
		text += "; " + f.Remark
	}
	return text
}

// apart writes a relative discrepancy: in per cent, but the times it is off where
// those would be thousands.
func apart(by float64) string {
	if by >= 9 {
		return fmt.Sprintf("%.0f times", 1+by)
	}
	return fmt.Sprintf("%+.1f %%", 100*by)
}

// A check is one redundancy. free is what differing conventions explain; doubt
// and wrong are the limits of [Doubtful] and [Contradiction], as fractions or in
// dB. They follow a survey of 29 published sheets: half of them lie within a
// fifth to a third of doubt, and what lies beyond wrong could not be explained.
type check struct {
	figure, from       string
	needs              []string
	free, doubt, wrong float64
	decibels           bool
	imply              func(v map[string]float64, a air.Air) float64
}

var checks = []check{
	{qts, "Qms Qes/(Qms + Qes)", []string{qms, qes}, 0, 0.02, 0.05, false,
		func(v map[string]float64, _ air.Air) float64 { return 1 / (1/v[qms] + 1/v[qes]) }},
	{fs, "1/(2π √(Mms Cms))", []string{mms, cms}, 0, 0.02, 0.05, false,
		func(v map[string]float64, _ air.Air) float64 { return 1 / (twoPi * math.Sqrt(v[mms]*v[cms])) }},
	{qms, "2π fs Mms/Rms", []string{fs, mms, rms}, 0, 0.03, 0.08, false,
		func(v map[string]float64, _ air.Air) float64 { return twoPi * v[fs] * v[mms] / v[rms] }},
	{qes, "2π fs Mms Re/Bl²", []string{fs, mms, re, bl}, 0, 0.03, 0.08, false,
		func(v map[string]float64, _ air.Air) float64 { return twoPi * v[fs] * v[mms] * v[re] / sq(v[bl]) }},
	{vas, "ρc² Sd² Cms", []string{sd, cms}, 0.012, 0.03, 0.08, false,
		func(v map[string]float64, a air.Air) float64 { return float64(a.BulkModulus()) * sq(v[sd]) * v[cms] }},
	{eta0, "4π² fs³ Vas/(c³ Qes)", []string{fs, vas, qes}, 0, 0.04, 0.10, false,
		func(v map[string]float64, a air.Air) float64 {
			return sq(twoPi) / math.Pow(float64(a.SpeedOfSound), 3) * math.Pow(v[fs], 3) * v[vas] / v[qes]
		}},
	{eta0, "ρ (Bl Sd/Mms)²/(2πc Re)", []string{bl, sd, mms, re}, 0, 0.04, 0.10, false,
		func(v map[string]float64, a air.Air) float64 {
			return float64(a.Density) / (twoPi * float64(a.SpeedOfSound)) * sq(v[bl]*v[sd]/v[mms]) / v[re]
		}},
	{zmax, "Re (1 + Qms/Qes)", []string{re, qms, qes}, 0, 0.05, 0.12, false,
		func(v map[string]float64, _ air.Air) float64 { return v[re] * (1 + v[qms]/v[qes]) }},
	{vd, "Sd Xmax", []string{sd, xmax}, 0, 0.03, 0.08, false,
		func(v map[string]float64, _ air.Air) float64 { return v[sd] * v[xmax] }},
	{sd, "π/4 diameter²", []string{diameter}, 0, 0.03, 0.08, false,
		func(v map[string]float64, _ air.Air) float64 { return math.Pi / 4 * sq(v[diameter]) }},

	// K, the level of one acoustic watt, differs by 0.1 dB between conventions.
	{spl1w, "K + 10 log η0", []string{eta0}, 0.1, 0.3, 1, true,
		func(v map[string]float64, a air.Air) float64 { return powerConstant(a) + 10*math.Log10(v[eta0]) }},
	{spl283, "SPL 1 W + 10 log(2.83²/Re)", []string{spl1w, re}, 0.1, 0.3, 1, true,
		func(v map[string]float64, _ air.Air) float64 { return v[spl1w] + 10*math.Log10(sq(2.83)/v[re]) }},
	{spl283, "ρ Bl Sd 2.83 V/(2π Re Mms)", []string{bl, sd, re, mms}, 1, 2, 4, true,
		func(v map[string]float64, a air.Air) float64 {
			p := float64(a.Density) * v[bl] * v[sd] * 2.83 / (twoPi * v[re] * v[mms])
			return 20 * math.Log10(p/referencePressure)
		}},
}

// detours are redundancies for sheets that do not print the figure halfway, one of
// unless, over which the checks above go.
var detours = []struct {
	check
	unless []string
}{
	{check{vas, "ρc² Sd²/((2π fs)² Mms)", []string{sd, fs, mms}, 0.012, 0.05, 0.12, false,
		func(v map[string]float64, a air.Air) float64 {
			return float64(a.BulkModulus()) * sq(v[sd]) / (sq(twoPi*v[fs]) * v[mms])
		}}, []string{cms}},
	{check{qts, "1/(1/Qms + Bl²/(2π fs Mms Re))", []string{qms, fs, mms, re, bl}, 0, 0.03, 0.08, false,
		func(v map[string]float64, _ air.Air) float64 {
			return 1 / (1/v[qms] + sq(v[bl])/(twoPi*v[fs]*v[mms]*v[re]))
		}}, []string{qes}},
	{check{qts, "2π fs Mms/(Rms + Bl²/Re)", []string{fs, mms, rms, bl, re}, 0, 0.03, 0.08, false,
		func(v map[string]float64, _ air.Air) float64 {
			return twoPi * v[fs] * v[mms] / (v[rms] + sq(v[bl])/v[re])
		}}, []string{qms, qes}},
	{check{zmax, "Re Qms/Qts", []string{re, qms, qts}, 0, 0.05, 0.12, false,
		func(v map[string]float64, _ air.Air) float64 { return v[re] * v[qms] / v[qts] }}, []string{qes}},
	{check{zmax, "Re + Bl²/Rms", []string{re, bl, rms}, 0, 0.05, 0.12, false,
		func(v map[string]float64, _ air.Air) float64 { return v[re] + sq(v[bl])/v[rms] }}, []string{qms, qes}},
	{check{spl1w, "ρ Bl Sd √(1 W Re)/(2π Re Mms)", []string{bl, sd, re, mms}, 1, 2, 4, true,
		func(v map[string]float64, a air.Air) float64 {
			p := float64(a.Density) * v[bl] * v[sd] / (twoPi * math.Sqrt(v[re]) * v[mms])
			return 20 * math.Log10(p/referencePressure)
		}}, []string{eta0}},
	{check{spl283, "K + 10 log(η0 2.83²/Re)", []string{eta0, re}, 1, 2, 4, true,
		func(v map[string]float64, a air.Air) float64 {
			return powerConstant(a) + 10*math.Log10(v[eta0]*sq(2.83)/v[re])
		}}, []string{spl1w}},
	// One side of air instead of two explains up to an eighth.
	{check{mms, "Mmd + 16/3 ρ (Sd/π)^1.5", []string{mmd, sd}, 0, 0.05, 0.15, false,
		func(v map[string]float64, a air.Air) float64 {
			return v[mmd] + float64(AirMass(units.Area(v[sd]), a))
		}}, nil},
}

// Audit compares every printed figure with what the others imply, in a fixed
// order; it returns a finding for each redundancy, also where it agrees. A sheet
// without redundancy has none. The zero air is standard air.
//
// The limits of the verdicts are fractions of the figure: Qts and fs 2 and 5
// per cent (doubtful, contradiction), Qms, Qes and Vas 3 and 8, efficiency 4 and
// 10; 1.2 per cent of Vas are free for the ρ and c of the maker. A printed
// 2.83 V level is an average over a curve: up to 1 dB is free, 2 doubtful, 4 a
// contradiction. Mmd with the air load may be off by 5 and 15.
func (s Sheet) Audit(a air.Air) ([]Finding, error) {
	a = a.OrStandard()
	if err := s.Check(); err != nil {
		return nil, err
	}
	if err := a.Check(); err != nil {
		return nil, err
	}
	v := map[string]float64{}
	print := map[string]fmt.Stringer{}
	for _, f := range s.figures() {
		if f.si > 0 {
			v[f.name], print[f.name] = f.si, f.print
		}
	}
	all := checks[:len(checks):len(checks)]
	for _, d := range detours {
		if !slices.ContainsFunc(d.unless, func(n string) bool { return v[n] > 0 }) {
			all = append(all, d.check)
		}
	}
	var findings []Finding
	for _, c := range all {
		if v[c.figure] == 0 || !has(v, c.needs) {
			continue
		}
		f := Finding{
			Figure: c.figure, From: c.from, Uses: c.needs, Decibels: c.decibels,
			Published: print[c.figure].String(),
		}
		implied := c.imply(v, a)
		f.Implied = like(print[c.figure], implied)
		difference := func(x float64) float64 { return x/implied - 1 }
		if c.decibels {
			difference = func(x float64) float64 { return x - implied }
		}
		f.Discrepancy = difference(v[c.figure])
		f.Rounding = math.Abs(difference(implied + s.halfUnit(c.figure, v[c.figure])))
		for _, n := range c.needs {
			printed := v[n]
			v[n] += s.halfUnit(n, printed)
			f.Rounding += math.Abs(difference(c.imply(v, a)))
			v[n] = printed
		}
		size := math.Abs(f.Discrepancy)
		switch {
		case !(size > f.Rounding+c.free):
			f.Verdict = Agrees
		case size > c.wrong:
			f.Verdict = Contradiction
		case size > c.doubt:
			f.Verdict = Doubtful
		default:
			f.Verdict = Noteworthy
		}
		if f.Verdict > Agrees {
			f.Remark = remark(v, c, v[c.figure]/implied, f.Rounding)
		}
		findings = append(findings, f)
	}
	if s.Zn > 0 && s.Zmin > 0 {
		// IEC 60268-5 as reported: the modulus stays above 80 % of the rated impedance.
		f := Finding{
			Figure: "Zn", From: "Zmin/0.8, the largest rated impedance allowed", Uses: []string{"Zmin"},
			Published: s.Zn.String(), Implied: (s.Zmin / 0.8).String(),
			Discrepancy: max(0, float64(s.Zn)*0.8/float64(s.Zmin)-1), Rounding: s.halfUnit("Zmin", float64(s.Zmin)) / float64(s.Zmin),
		}
		if f.Discrepancy > f.Rounding {
			f.Verdict = Doubtful
		}
		findings = append(findings, f)
	}
	return findings, nil
}

// remark tells what may have happened where a print is ratio times what is implied: a
// slip by a power of ten comes before all else.
func remark(v map[string]float64, c check, ratio, rounding float64) string {
	if c.decibels {
		if c.figure == spl283 && slices.Contains(c.needs, spl1w) && sameLevels(v) {
			return equalLevels
		}
		return ""
	}
	tens := math.Pow(10, math.Round(math.Log10(ratio)))
	if tens == 1 || !(math.Abs(ratio/tens-1) <= c.doubt+c.free+rounding) {
		return ""
	}
	if tens > 1 {
		return fmt.Sprintf("%.0f times too large, a slip of unit or point there or in %s", tens, strings.Join(c.needs, ", "))
	}
	return fmt.Sprintf("%.0f times too small, a slip of unit or point there or in %s", 1/tens, strings.Join(c.needs, ", "))
}

const equalLevels = "both levels are the same, which only 8 Ω allows"

// sameLevels tells whether a sheet prints one level for 1 W and for 2.83 V although
// Re puts them more than half a decibel apart.
func sameLevels(v map[string]float64) bool {
	return has(v, []string{spl1w, spl283, re}) && math.Abs(v[spl1w]-v[spl283]) < 0.05 &&
		math.Abs(10*math.Log10(sq(2.83)/v[re])) > 0.5
}

func has(v map[string]float64, names []string) bool {
	for _, n := range names {
		if v[n] == 0 {
			return false
		}
	}
	return true
}

// halfUnit returns half a unit of the last printed digit of a figure.
func (s Sheet) halfUnit(figure string, x float64) float64 {
	if figure == spl1w || figure == spl283 {
		return 0.05 // levels are printed to 0.1 dB
	}
	digits := s.Digits
	if digits == 0 {
		digits = 3
	}
	return 0.5 * math.Pow(10, math.Floor(math.Log10(x))-float64(digits)+1)
}

// like prints x as the quantity of model.
func like(model fmt.Stringer, x float64) string {
	switch model.(type) {
	case units.Resistance:
		return units.Resistance(x).String()
	case units.Frequency:
		return units.Frequency(x).String()
	case units.Volume:
		return units.Volume(x).String()
	case units.Area:
		return units.Area(x).String()
	case units.PressureLevel:
		return units.PressureLevel(x).String()
	default:
		return units.Ratio(x).String()
	}
}
