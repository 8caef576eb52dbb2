package ts

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A Sheet is what a maker prints about a driver: any subset of these figures.
// Zero means not given.
type Sheet struct {
	Re   units.Resistance // to direct current
	Zn   units.Resistance // rated impedance
	Zmin units.Resistance // smallest modulus above fs
	Zmax units.Resistance // height of the peak at fs

	Fs            units.Frequency
	Qms, Qes, Qts float64
	Vas           units.Volume

	Sd       units.Area
	Diameter units.Length // of the piston, to the middle of the surround: another way to give Sd
	Mms      units.Mass   // moving mass with air load
	Mmd      units.Mass   // moving mass without air load
	Cms      units.Compliance
	Rms      units.MechanicalResistance
	Bl       units.ForceFactor

	Creep       float64          // loss of compliance per decade, as a fraction
	Le1k, Le10k units.Inductance // imaginary part of the coil's impedance over ω at 1 and 10 kHz

	Eta0   units.Ratio         // reference efficiency
	SPL1W  units.PressureLevel // at 1 m in half space, 1 W in Re
	SPL283 units.PressureLevel // at 1 m in half space, 2.83 V

	Xmax  units.Length // peak, one way
	Vd    units.Volume // Sd Xmax
	Power units.Power  // rated noise or thermal power

	Digits int // significant digits the sheet prints, for [Sheet.Audit]; 0 means 3
}

// A Step tells where one figure of a driver came from.
type Step struct {
	Figure string // "Bl"
	Value  string // with its unit
	From   string // "printed", or the relation and what it used
}

// Names of the figures a route runs through.
const (
	re, zmax, fs, qms, qes, qts, vas, sd, diameter = "Re", "Zmax", "fs", "Qms", "Qes", "Qts", "Vas", "Sd", "diameter"
	mms, mmd, cms, rms, bl, eta0, spl1w, spl283    = "Mms", "Mmd", "Cms", "Rms", "Bl", "eta0", "SPL 1 W", "SPL 2.83 V"
	xmax, vd                                       = "Xmax", "Vd"
)

// figures lists what is printed, in the order of the fields.
func (s Sheet) figures() []figure {
	return []figure{
		{re, float64(s.Re), s.Re}, {zmax, float64(s.Zmax), s.Zmax}, {fs, float64(s.Fs), s.Fs},
		{qms, s.Qms, units.Ratio(s.Qms)}, {qes, s.Qes, units.Ratio(s.Qes)}, {qts, s.Qts, units.Ratio(s.Qts)},
		{vas, float64(s.Vas), s.Vas}, {sd, float64(s.Sd), s.Sd}, {diameter, float64(s.Diameter), s.Diameter},
		{mms, float64(s.Mms), s.Mms}, {mmd, float64(s.Mmd), s.Mmd}, {cms, float64(s.Cms), s.Cms},
		{rms, float64(s.Rms), s.Rms}, {bl, float64(s.Bl), s.Bl}, {eta0, float64(s.Eta0), s.Eta0},
		{spl1w, float64(s.SPL1W), s.SPL1W}, {spl283, float64(s.SPL283), s.SPL283},
		{xmax, float64(s.Xmax), s.Xmax}, {vd, float64(s.Vd), s.Vd},
	}
}

type figure struct {
	name  string
	si    float64
	print fmt.Stringer
}

// Check reports the first printed figure that is negative, NaN or infinite, or
// that no passive driver can have.
func (s Sheet) Check() error {
	for _, f := range append(s.figures(),
		figure{"Zn", float64(s.Zn), s.Zn}, figure{"Zmin", float64(s.Zmin), s.Zmin},
		figure{"Le at 1 kHz", float64(s.Le1k), s.Le1k}, figure{"Le at 10 kHz", float64(s.Le10k), s.Le10k},
		figure{"power", float64(s.Power), s.Power},
	) {
		if !(f.si >= 0) || math.IsInf(f.si, 0) {
			return &units.RangeError{Field: "ts: " + f.name, Value: f.print.String(), Want: "must be positive, or zero for not given"}
		}
	}
	above := func(name string, v, than fmt.Stringer, thanName string, ok bool) error {
		if ok {
			return nil
		}
		return &units.RangeError{Field: "ts: " + name, Value: v.String(), Want: fmt.Sprintf("must be above %s %s", thanName, than)}
	}
	if err := cmp.Or(
		above("Zmax", s.Zmax, s.Re, re, s.Zmax == 0 || s.Re == 0 || s.Zmax > s.Re),
		above("Qms", units.Ratio(s.Qms), units.Ratio(s.Qts), qts, s.Qms == 0 || s.Qts == 0 || s.Qms > s.Qts),
		above("Qes", units.Ratio(s.Qes), units.Ratio(s.Qts), qts, s.Qes == 0 || s.Qts == 0 || s.Qes > s.Qts),
		above("Mms", s.Mms, s.Mmd, mmd, s.Mms == 0 || s.Mmd == 0 || s.Mms > s.Mmd),
		units.Within("ts: efficiency", s.Eta0, 0, 1),
	); err != nil {
		return err
	}
	if s.Digits < 0 {
		return &units.RangeError{Field: "ts: digits", Value: fmt.Sprint(s.Digits), Want: "must be positive, or zero for 3"}
	}
	return nil
}

// A rule finds one figure from others. The rules are tried in order and the
// first that applies wins, so better-conditioned relations stand first: Qms
// from Qts and Qes, which can multiply an error by ten, comes last.
type rule struct {
	figure string
	text   string
	needs  []string
	apply  func(v map[string]float64, a air.Air) float64
}

const twoPi = 2 * math.Pi

var rules = []rule{
	{re, "Zmax/(1 + Qms/Qes)", []string{zmax, qms, qes}, func(v map[string]float64, _ air.Air) float64 {
		return v[zmax] / (1 + v[qms]/v[qes])
	}},
	{re, "Qes Bl²/(2π fs Mms)", []string{qes, bl, fs, mms}, func(v map[string]float64, _ air.Air) float64 {
		return v[qes] * v[bl] * v[bl] / (twoPi * v[fs] * v[mms])
	}},

	{fs, "1/(2π √(Mms Cms))", []string{mms, cms}, func(v map[string]float64, _ air.Air) float64 {
		return 1 / (twoPi * math.Sqrt(v[mms]*v[cms]))
	}},
	{fs, "Qms Rms/(2π Mms)", []string{qms, rms, mms}, func(v map[string]float64, _ air.Air) float64 {
		return v[qms] * v[rms] / (twoPi * v[mms])
	}},
	{fs, "Qes Bl²/(2π Re Mms)", []string{qes, bl, re, mms}, func(v map[string]float64, _ air.Air) float64 {
		return v[qes] * v[bl] * v[bl] / (twoPi * v[re] * v[mms])
	}},

	{sd, "π/4 diameter²", []string{diameter}, func(v map[string]float64, _ air.Air) float64 {
		return math.Pi / 4 * v[diameter] * v[diameter]
	}},
	{sd, "√(Vas/(ρc² Cms))", []string{vas, cms}, func(v map[string]float64, a air.Air) float64 {
		return math.Sqrt(v[vas] / (float64(a.BulkModulus()) * v[cms]))
	}},
	{sd, "Vd/Xmax", []string{vd, xmax}, func(v map[string]float64, _ air.Air) float64 {
		return v[vd] / v[xmax]
	}},

	{mms, "Mmd + 16/3 ρ (Sd/π)^1.5", []string{mmd, sd}, func(v map[string]float64, a air.Air) float64 {
		return v[mmd] + AirMass(units.Area(v[sd]), a).In(units.Kilogram)
	}},
	{mms, "1/((2π fs)² Cms)", []string{fs, cms}, func(v map[string]float64, _ air.Air) float64 {
		return 1 / (sq(twoPi*v[fs]) * v[cms])
	}},
	{mms, "Qes Bl²/(2π fs Re)", []string{qes, bl, fs, re}, func(v map[string]float64, _ air.Air) float64 {
		return v[qes] * v[bl] * v[bl] / (twoPi * v[fs] * v[re])
	}},
	{mms, "Qms Rms/(2π fs)", []string{qms, rms, fs}, func(v map[string]float64, _ air.Air) float64 {
		return v[qms] * v[rms] / (twoPi * v[fs])
	}},
	{cms, "Vas/(ρc² Sd²)", []string{vas, sd}, func(v map[string]float64, a air.Air) float64 {
		return v[vas] / (float64(a.BulkModulus()) * sq(v[sd]))
	}},

	{qms, "2π fs Mms/Rms", []string{fs, mms, rms}, func(v map[string]float64, _ air.Air) float64 {
		return twoPi * v[fs] * v[mms] / v[rms]
	}},
	{qes, "2π fs Mms Re/Bl²", []string{fs, mms, re, bl}, func(v map[string]float64, _ air.Air) float64 {
		return twoPi * v[fs] * v[mms] * v[re] / sq(v[bl])
	}},
	{qms, "Qts Zmax/Re", []string{qts, zmax, re}, func(v map[string]float64, _ air.Air) float64 {
		return v[qts] * v[zmax] / v[re]
	}},
	{qms, "Qes (Zmax/Re − 1)", []string{qes, zmax, re}, func(v map[string]float64, _ air.Air) float64 {
		return v[qes] * (v[zmax]/v[re] - 1)
	}},
	{qes, "Qms/(Zmax/Re − 1)", []string{qms, zmax, re}, func(v map[string]float64, _ air.Air) float64 {
		return v[qms] / (v[zmax]/v[re] - 1)
	}},
	{qes, "1/(1/Qts − 1/Qms)", []string{qts, qms}, func(v map[string]float64, _ air.Air) float64 {
		return 1 / (1/v[qts] - 1/v[qms])
	}},

	// The mass from a level or an efficiency: 1 dB is 12 per cent.
	{eta0, "10^((SPL 1 W − K)/10)", []string{spl1w}, func(v map[string]float64, a air.Air) float64 {
		return math.Pow(10, (v[spl1w]-powerConstant(a))/10)
	}},
	{eta0, "10^((SPL 2.83 V − K)/10) Re/2.83²", []string{spl283, re}, func(v map[string]float64, a air.Air) float64 {
		return math.Pow(10, (v[spl283]-powerConstant(a))/10) * v[re] / sq(2.83)
	}},
	{vas, "η0 Qes c³/(4π² fs³)", []string{eta0, qes, fs}, func(v map[string]float64, a air.Air) float64 {
		c := float64(a.SpeedOfSound)
		return v[eta0] * v[qes] * c * c * c / (sq(twoPi) * v[fs] * v[fs] * v[fs])
	}},
	{qms, "1/(1/Qts − 1/Qes), ill-conditioned", []string{qts, qes}, func(v map[string]float64, _ air.Air) float64 {
		return 1 / (1/v[qts] - 1/v[qes])
	}},
	{sd, "√(Vas (2π fs)² Mms/(ρc²))", []string{vas, fs, mms}, func(v map[string]float64, a air.Air) float64 {
		return math.Sqrt(v[vas] * sq(twoPi*v[fs]) * v[mms] / float64(a.BulkModulus()))
	}},
}

func sq(x float64) float64 { return x * x }

// AirMass returns the mass of air that moves with a piston baffled on both
// sides at low frequency, 16/3 ρ a³ (Beranek and Mellow 2012, ch. 6, from memory).
func AirMass(sd units.Area, a air.Air) units.Mass {
	r := math.Sqrt(float64(sd) / math.Pi)
	return units.Mass(16.0 / 3 * float64(a.OrStandard().Density) * r * r * r)
}

// Driver finds the driver that a sheet describes and tells how. Resonance, Q
// and coil resistance are taken as printed where they are, since they decide
// the behaviour in a box and are read directly from an impedance curve; then a
// mass, printed or by the best route left; Bl, Cms and Rms follow, so that the
// driver is consistent whatever the sheet prints for them. [Sheet.Audit] tells
// where printed figures disagree. The zero air is standard air.
//
// The error says which figures are missing when no driver follows.
func (s Sheet) Driver(a air.Air) (Driver, []Step, error) {
	a = a.OrStandard()
	if err := s.Check(); err != nil {
		return Driver{}, nil, err
	}
	if err := a.Check(); err != nil {
		return Driver{}, nil, err
	}
	v := map[string]float64{}
	printed := s.figures()
	for _, f := range printed {
		if f.si > 0 {
			v[f.name] = f.si
		}
	}
	how := map[string]rule{}
	for i := 0; i < len(rules); i++ {
		r := rules[i]
		if _, known := v[r.figure]; known || slices.ContainsFunc(r.needs, func(n string) bool { return v[n] == 0 }) {
			continue
		}
		x := r.apply(v, a)
		if !(x > 0) || math.IsInf(x, 0) {
			return Driver{}, nil, fmt.Errorf("ts: %s from %s: %s gives %.4g: must be positive", r.figure, strings.Join(r.needs, ", "), r.text, x)
		}
		v[r.figure] = x
		how[r.figure] = r
		i = -1 // a new figure may open a better rule
	}
	var missing []string
	for _, n := range []string{re, fs, qms, qes, mms, sd} {
		if v[n] == 0 {
			missing = append(missing, n)
		}
	}
	if missing != nil {
		return Driver{}, nil, fmt.Errorf("ts: no driver follows from %s: %s cannot be found; give them, or what they follow from (Vas with Sd gives the mass, Zmax a Q)",
			given(printed), strings.Join(missing, ", "))
	}

	w := twoPi * v[fs]
	d := Driver{
		Re: units.Resistance(v[re]), Mms: units.Mass(v[mms]), Sd: units.Area(v[sd]),
		Bl:    units.ForceFactor(math.Sqrt(w * v[mms] * v[re] / v[qes])),
		Cms:   units.Compliance(1 / (w * w * v[mms])),
		Rms:   units.MechanicalResistance(w * v[mms] / v[qms]),
		Creep: s.Creep,
		Xmax:  s.Xmax,
		Power: s.Power,
	}
	coilFrom := "not given: none"
	switch {
	case s.Le10k > 0 && s.Le1k > 0 && s.Le10k <= s.Le1k/10:
		return Driver{}, nil, &units.RangeError{Field: "ts: Le at 10 kHz", Value: s.Le10k.String(),
			Want: fmt.Sprintf("must be above a tenth of Le at 1 kHz, %s", s.Le1k/10)}
	case s.Le10k > 0 && s.Le1k > 0:
		d.Coil, coilFrom = powerLaw(s.Le1k, s.Le10k), "power law through Le at 1 and 10 kHz"
	case s.Le1k > 0:
		d.Coil, coilFrom = Coil{Leb: s.Le1k}, "plain inductance, Le at 1 kHz"
	case s.Le10k > 0:
		d.Coil, coilFrom = Coil{Leb: s.Le10k}, "plain inductance, Le at 10 kHz"
	}
	if d.Xmax == 0 && s.Vd > 0 {
		d.Xmax = units.Length(float64(s.Vd) / v[sd])
	}
	if err := d.Check(); err != nil {
		return Driver{}, nil, err
	}

	return d, append(steps(d.Sheet(a), s, how), Step{"coil", fmt.Sprintf("%s at 1 kHz", d.Coil.Inductance(1000*units.Hertz)), coilFrom}), nil
}

// steps tells the route to the driver: each of the six figures it needed, after
// those it was found from, then what follows from them.
func steps(derived, printed Sheet, how map[string]rule) []Step {
	derived.Diameter, derived.Mmd = printed.Diameter, printed.Mmd
	value := map[string]string{}
	for _, f := range derived.figures() {
		value[f.name] = f.print.String()
	}
	var told []Step
	var tell func(figure string)
	tell = func(figure string) {
		if slices.ContainsFunc(told, func(s Step) bool { return s.Figure == figure }) {
			return
		}
		r, derived := how[figure]
		for _, n := range r.needs {
			tell(n)
		}
		from := "printed"
		if derived {
			from = r.text
		}
		told = append(told, Step{figure, value[figure], from})
	}
	for _, n := range []string{re, fs, qms, qes, mms, sd} {
		tell(n)
	}
	if printed.Xmax == 0 && printed.Vd > 0 {
		told = append(told, Step{xmax, value[xmax], "Vd/Sd"})
	}
	for _, s := range []Step{
		{bl, value[bl], "√(2π fs Mms Re/Qes)"},
		{cms, value[cms], "1/((2π fs)² Mms)"},
		{rms, value[rms], "2π fs Mms/Qms"},
	} {
		if !slices.ContainsFunc(told, func(t Step) bool { return t.Figure == s.Figure }) {
			told = append(told, s)
		}
	}
	return told
}

func given(printed []figure) string {
	var names []string
	for _, f := range printed {
		if f.si > 0 {
			names = append(names, f.name)
		}
	}
	if names == nil {
		return "an empty sheet"
	}
	return strings.Join(names, ", ")
}
