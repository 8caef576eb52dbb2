package ladder

import (
	"fmt"
	"math"

	"example.com/halfspace/units"
)

// Programme is what a speaker is fed with: a voltage and how it spreads over the
// frequencies.
type Programme struct {
	Volts units.Voltage // RMS of the whole
	Crest float64       // peak over RMS, at least 1: √2 for a sine, 2 for the noise of IEC 60268-5

	// Hz and Weight are as long as each other. Weight is the share of the mean square
	// of the voltage that lies about each frequency; all shares add up to 1, within
	// 1e-9. So pink noise has equal weights at frequencies a fixed ratio apart.
	Hz, Weight []float64
}

// Duty is what a part has to bear from a programme, or what the source has to give.
type Duty struct {
	Voltage units.Voltage // across it, RMS
	Current units.Current // through it, RMS
	Power   units.Power   // turned into heat, mean; of the load: taken; of the source: given

	// PeakVoltage and PeakCurrent are an estimate: RMS times the crest factor of the
	// programme, as if what passes through the network kept it. A filter changes it,
	// mostly toward that of noise, which is above 4 times its RMS for 0.006 % of the
	// time.
	PeakVoltage units.Voltage
	PeakCurrent units.Current
}

// Duties are those of a whole network.
type Duties struct {
	Source, Load Duty
	Parts        []Duty // along the signal path, as in [Network.Parts]
}

// Duty returns what all parts, load and source bear from a programme, for a load
// impedance in ohms at its frequencies. Frequencies do not act together in a linear
// network, so mean squares and powers add up; the powers of parts and load add up to
// that of the source.
//
// It is an error if the network does not pass [Network.Check], if the programme has
// no voltage, no frequencies or weights that do not add up to 1, if a load is not
// finite, or if the source is shorted at a frequency with a weight. Points of no
// weight do not matter. It panics if load is not as long as the programme.
func (n Network) Duty(p Programme, load []complex128) (Duties, error) {
	if len(p.Hz) != len(p.Weight) || len(p.Hz) != len(load) {
		panic(fmt.Sprintf("ladder: slices of different lengths: hz %d, weight %d, load %d", len(p.Hz), len(p.Weight), len(load)))
	}
	if err := n.Check(); err != nil {
		return Duties{}, err
	}
	if err := p.check(load); err != nil {
		return Duties{}, err
	}
	parts := 0
	for _, a := range n {
		parts += len(a.Parts)
	}
	d := Duties{Parts: make([]Duty, parts)}
	state, arms := State{Parts: make([]Stress, 0, parts)}, make([]passage, len(n))
	for k, hz := range p.Hz {
		weight := p.Weight[k]
		if weight == 0 {
			continue
		}
		if err := n.state(&state, arms, hz, load[k]); err != nil {
			return Duties{}, err
		}
		d.Source.add(weight, Stress{Voltage: 1, Current: state.Current, Power: real(state.Current)})
		d.Load.add(weight, state.Load)
		for i, s := range state.Parts {
			d.Parts[i].add(weight, s)
		}
	}
	d.Source.scale(p)
	d.Load.scale(p)
	for i := range d.Parts {
		d.Parts[i].scale(p)
	}
	return d, nil
}

// add collects mean squares per volt in the RMS fields.
func (d *Duty) add(weight float64, s Stress) {
	d.Voltage += units.Voltage(weight * squared(s.Voltage))
	d.Current += units.Current(weight * squared(s.Current))
	d.Power += units.Power(weight * s.Power)
}

// scale turns mean squares per volt into what they stand for.
func (d *Duty) scale(p Programme) {
	volts := float64(p.Volts)
	d.Voltage = p.Volts * units.Voltage(math.Sqrt(float64(d.Voltage)))
	d.Current = units.Current(volts * math.Sqrt(float64(d.Current)))
	d.Power *= units.Power(volts * volts)
	d.PeakVoltage = d.Voltage * units.Voltage(p.Crest)
	d.PeakCurrent = d.Current * units.Current(p.Crest)
}

func (p Programme) check(load []complex128) error {
	if err := units.Positive("ladder: programme: voltage", p.Volts); err != nil {
		return err
	}
	if !(p.Crest >= 1) || math.IsInf(p.Crest, 1) {
		return &units.RangeError{Field: "ladder: programme: crest factor", Value: fmt.Sprint(p.Crest), Want: "must be at least 1, and finite"}
	}
	sum := 0.0
	for k, hz := range p.Hz {
		if err := units.Positive("ladder: programme: frequency", units.Frequency(hz)); err != nil {
			return err
		}
		if w := p.Weight[k]; !(w >= 0 && w <= 1) {
			return &units.RangeError{Field: fmt.Sprintf("ladder: programme: weight at %v", units.Frequency(hz)), Value: fmt.Sprint(w), Want: "must be from 0 to 1"}
		}
		if !finite(load[k]) {
			return &units.RangeError{Field: fmt.Sprintf("ladder: load at %v", units.Frequency(hz)), Value: fmt.Sprint(load[k]) + " Ω", Want: "must be finite"}
		}
		sum += p.Weight[k]
	}
	if !(math.Abs(sum-1) <= 1e-9) {
		return &units.RangeError{Field: "ladder: programme: sum of the weights", Value: fmt.Sprintf("%.10g", sum), Want: "must be 1"}
	}
	return nil
}
