package box

import (
	"cmp"
	"fmt"
	"math"

	"example.com/halfspace/units"
)

// A Verdict says how loud a signal may be played, and what then gives. It is volts
// first, and it keeps its signal: watts mean nothing without either.
type Verdict struct {
	Signal Signal
	Volts  units.Voltage       // RMS at the terminals; of tones one after the other, of each in the pass band
	First  Limit               // what gives there; None and +Inf volts without a limit
	At     units.Frequency     // the tone at which it gives; zero for signals played at once
	Each   Voltages            // at which each thing gives by itself
	Level  units.PressureLevel // of the signal (RMS) at Volts, at 1 m in half space; of tones, at At

	Rise        float64 // K, by which the coil is then warmer; zero for a cold one
	Compression float64 // dB by which Level is below that of a cold coil at these volts
}

// Watts returns what an amplifier is rated at that gives these volts into zn, the
// rated impedance: V²/zn, with the RMS voltage of the signal. Its peaks need a
// voltage higher by the crest factor, so an amplifier that is rated by sines needs
// more watts by the square of crest/√2.
func (v Verdict) Watts(zn units.Resistance) units.Power {
	return units.Power(float64(v.Volts) * float64(v.Volts) / float64(zn))
}

func (v Verdict) String() string {
	at := ""
	if v.At > 0 {
		at = fmt.Sprintf(" at %v", v.At)
	}
	return fmt.Sprintf("%.3g V (RMS) of %s: %v gives first%s", float64(v.Volts), v.Signal.Name, v.First, at)
}

// Loudest returns the voltage up to which a signal stays within limits, with a cold
// coil. The RMS of travel, air speed and current is √∫S|H|²df over the spectrum of
// the signal and what the system does with it per volt; the peak is taken as the RMS
// times the signal's crest factor, which is common practice and no law: resonances
// round the peaks of clipped noise off and bring new ones forth. Tones one after the
// other give what [System.MaxVoltage] does at the worst of them. Everything is
// linear, so a travel limit stands for where the driver stops being so.
//
// It allocates nothing beyond what [System.Check] does, and takes about 0.2 µs per line
// of the signal. Bad figures of system, limits or signal are errors.
func (s System) Loudest(g Signal, l Limits) (Verdict, error) {
	if err := cmp.Or(s.Check(), l.Check(), g.Check()); err != nil {
		return Verdict{}, err
	}
	a := s.Air.OrStandard()
	if !g.Apart {
		r := s.together(g.Lines, a)
		v := Verdict{Signal: g, Each: r.voltages(l, g.Crest, s.Driver.Re)}
		v.Volts, v.First = v.Each.First()
		v.Level = r.level(v.Volts)
		return v, nil
	}
	worst := tones{each: unlimited()}
	for _, line := range g.Lines {
		var r response
		r.add(s.at(line.Hz, a), line.Power)
		worst.add(r.voltages(l, g.Crest, s.Driver.Re), units.Frequency(line.Hz), r)
	}
	return worst.verdict(g), nil
}

// tones keeps the worst of what single tones may have.
type tones struct {
	each Voltages
	at   [len(Voltages{})]units.Frequency
	r    [len(Voltages{})]response
}

func (t *tones) add(each Voltages, f units.Frequency, r response) {
	for i, x := range each {
		if cmp.Less(x, t.each[i]) {
			t.each[i], t.at[i], t.r[i] = x, f, r
		}
	}
}

func (t *tones) verdict(g Signal) Verdict {
	v := Verdict{Signal: g, Each: t.each}
	v.Volts, v.First = t.each.First()
	v.At = t.at[v.First]
	v.Level = t.r[v.First].level(v.Volts)
	if v.First == None {
		v.Level = units.PressureLevel(math.Inf(1))
	}
	return v
}

func unlimited() (v Voltages) {
	for i := range v {
		v[i] = units.Voltage(math.Inf(1))
	}
	return v
}
