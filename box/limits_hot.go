package box

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/interp"

	"example.com/halfspace/ts"
	"example.com/halfspace/units"
)

// Heating says how a coil warms while a signal plays.
type Heating struct {
	Thermal ts.Thermal
	Metal   ts.Metal
	After   units.Time // of playing from cold; zero is until nothing changes any more
	Rise    float64    // largest of the coil above a room of 20 °C, K
}

// Check refuses impossible figures, and a rise of more than 500 K, which no coil survives.
func (h Heating) Check() error {
	return cmp.Or(
		h.Thermal.Check(),
		units.Within("box: heating: temperature coefficient, per kelvin,", float64(h.Metal), 0, 0.01),
		units.NotNegative("box: heating: time", h.After),
		units.Positive("box: heating: largest rise, in kelvins,", h.Rise),
		units.Within("box: heating: largest rise, in kelvins,", h.Rise, 0, 500),
	)
}

func (h Heating) after() units.Time {
	if h.After == 0 {
		return units.Time(math.Inf(1))
	}
	return h.After
}

// LoudestHot returns what [System.Loudest] does, after the signal has warmed the coil
// for a while at that very voltage. A warm coil has a higher Re: less current, less
// heat, a higher Qts and another response, all of which is solved again. Heat gives
// where the coil reaches the largest rise of h, or the heat in its Re, warm, that of
// l, whichever is first. What has not given up to there never does: its voltage is
// +Inf.
//
// A signal that starts cold must respect [System.Loudest] too: the cone travels
// farthest before the coil is warm. The heat is that of the coil at the average power
// of the signal; tones one after the other are each held for all of the time.
//
// The rise is good to 1e-4. A call takes some milliseconds, and for tones one after
// the other about a millisecond for each.
func (s System) LoudestHot(g Signal, l Limits, h Heating) (Verdict, error) {
	if err := cmp.Or(s.Check(), l.Check(), g.Check(), h.Check()); err != nil {
		return Verdict{}, err
	}
	if !g.Apart {
		w := warming{s, g.Lines, g.Crest, l, h}
		v := Verdict{Signal: g, Each: w.voltages()}
		v.Volts, v.First = v.Each.First()
		w.tell(&v, v.Volts)
		return v, nil
	}
	worst := tones{each: unlimited()}
	var decides warming
	var gain units.Voltage
	for _, line := range g.Lines {
		w := warming{s, []Line{{line.Hz, 1}}, g.Crest, l, h}
		each := w.voltages()
		k := units.Voltage(math.Sqrt(line.Power))
		for i := range each {
			each[i] /= k
		}
		if before, _ := worst.each.First(); cmp.Less(slices.Min(each[:]), before) {
			decides, gain = w, k
		}
		worst.add(each, units.Frequency(line.Hz), response{})
	}
	v := worst.verdict(g)
	decides.tell(&v, v.Volts*gain)
	return v, nil
}

// warming is a system that plays the lines of a signal at once.
type warming struct {
	s     System
	lines []Line
	crest float64
	l     Limits
	h     Heating
}

// at returns what 1 V does when the coil is warmer by rise, and where the limits are.
func (w warming) at(rise float64) (response, Voltages) {
	s := w.s
	s.Driver = s.Driver.Heated(rise, w.h.Metal)
	r := s.together(w.lines, s.Air.OrStandard())
	return r, r.voltages(w.l, w.crest, s.Driver.Re)
}

// nodes of a curve over temperature.
const nodes = 17

// heat returns the heat in Re per square of the voltage, by the rise of the coil up
// to the largest. It is so smooth that a few values make it to 1e-4.
func (w warming) heat() func(rise float64) float64 {
	x, y := make([]float64, nodes), make([]float64, nodes)
	for i := range x {
		x[i] = w.h.Rise * float64(i) / (nodes - 1)
		r, _ := w.at(x[i])
		y[i] = r.current * float64(w.s.Driver.Heated(x[i], w.h.Metal).Re)
	}
	var c interp.NotAKnotCubic
	if err := c.Fit(x, y); err != nil {
		panic(err) // the positions ascend
	}
	return func(rise float64) float64 { return c.Predict(min(max(rise, 0), w.h.Rise)) }
}

// rise returns by how much the coil is warmer at a voltage.
func (w warming) rise(heat func(float64) float64, v float64) float64 {
	rise, _ := w.h.Thermal.RiseUnder(func(coil float64) units.Power { return units.Power(v * v * heat(coil)) }, w.h.after())
	return rise
}

func (w warming) voltages() Voltages {
	heat := w.heat()
	least := math.Inf(1) // so much heat flows whatever the rise
	for i := range nodes {
		least = min(least, heat(w.h.Rise*float64(i)/(nodes-1)))
	}
	perWatt, _ := w.h.Thermal.Rise(1, w.h.after())
	hottest := zero(1.001*math.Sqrt(w.h.Rise/perWatt/least), func(v float64) float64 { return w.rise(heat, v)/w.h.Rise - 1 })

	each := unlimited()
	each[Heat] = units.Voltage(hottest)
	_, cold := w.at(0)
	for i, x := range cold {
		if math.IsInf(float64(x), 1) {
			continue
		}
		used := func(v float64) float64 {
			_, hot := w.at(w.rise(heat, v))
			return v/float64(hot[i]) - 1
		}
		if used(hottest) >= 0 {
			each[i] = units.Voltage(zero(hottest, used))
		}
	}
	return each
}

// tell fills in what follows from the voltage at the terminals.
func (w warming) tell(v *Verdict, volts units.Voltage) {
	v.Rise = w.rise(w.heat(), float64(volts))
	cold, _ := w.at(0)
	hot, _ := w.at(v.Rise)
	v.Level = hot.level(volts)
	v.Compression = float64(cold.level(volts) - v.Level)
}

// zero returns where f, −1 at 0 and not below 0 at hi, is zero to 1e-9: a secant that
// halves the value of an end it has kept twice (the Illinois method).
func zero(hi float64, f func(float64) float64) float64 {
	lo, flo, fhi := 0.0, -1.0, f(hi)
	kept := 0
	for range 100 {
		mid := hi - fhi*(hi-lo)/(fhi-flo)
		y := f(mid)
		switch {
		case math.Abs(y) < 1e-9:
			return mid
		case y > 0:
			hi, fhi = mid, y
			if kept > 0 {
				flo /= 2
			}
			kept = 1
		default:
			lo, flo = mid, y
			if kept < 0 {
				fhi /= 2
			}
			kept = -1
		}
	}
	return math.NaN()
}
