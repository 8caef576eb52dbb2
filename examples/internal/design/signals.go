package design

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/box"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// A Played is how loud the finished speaker may play a signal.
type Played struct {
	Signal string
	Volts  units.Voltage // RMS at the speaker's input, which the speaker bears
	Amp    units.Voltage // to which the amplifier goes before its peaks clip
	Watts  units.Power   // into the rated impedance
	Level  units.PressureLevel
	First  string // what gives first
}

// crest is the crest factor of the noise that the speaker is judged with.
const crest = 2

// signals judges the finished speaker with noise: each driver gets what its network
// leaves of the spectrum.
func (d *Design) signals() error {
	s := &d.Speaker
	zn := d.Project.Woofer.Sheet.Zn
	amplifier := float64(d.Project.Volts(d.Project.Play.Amplifier)) * math.Sqrt2 / crest
	low := d.Project.Box.Tuning
	if low == 0 {
		low = d.Bass.F3
	}
	drivers := []struct {
		name   string
		system box.System
		limits box.Limits
	}{
		{"woofer", d.Bass.System, box.Limits{Travel: d.Woofer.Model.Xmax, AirSpeed: d.Project.Vent.AirSpeed, Heat: d.Woofer.Model.Power}},
		{"tweeter", box.System{Driver: d.Tweeter.Model, Enclosure: box.InfiniteBaffle{}, Air: d.Air}, box.Limits{Travel: d.Tweeter.Model.Xmax, Heat: d.Tweeter.Model.Power}},
	}
	for _, g := range []struct {
		name   string
		signal box.Signal
	}{
		{"programme noise (IEC 60268-1), as it is", box.Programme(crest)},
		{fmt.Sprintf("programme noise without what lies below %v", low), box.Programme(crest).HighPass(low, 4)},
		{fmt.Sprintf("pink noise without what lies below %v", low), box.Pink(20, 20000, crest).HighPass(low, 4)},
	} {
		p := Played{Signal: g.name, Volts: units.Voltage(math.Inf(1)), Amp: units.Voltage(amplifier), First: "nothing"}
		for w, x := range drivers {
			shaped, share, err := d.behind(s.Result.Transfer[w], g.signal)
			if err != nil {
				return err
			}
			v, err := x.system.Loudest(shaped, x.limits)
			if err != nil {
				return err
			}
			if input := v.Volts / units.Voltage(share); input < p.Volts {
				p.Volts, p.First = input, x.name+": "+v.First.String()
				if v.First == box.Vent {
					p.First = "vent"
				}
			}
		}
		_, gain, err := d.behind(s.Result.Sum[atEar], g.signal)
		if err != nil {
			return err
		}
		if math.IsInf(float64(p.Volts), 1) {
			p.Volts = p.Amp // no limits are known
		}
		p.Watts = units.Power(p.Volts*p.Volts) / units.Power(zn)
		p.Level = units.PressureLevel(d.Level(complex(gain, 0), p.Volts))
		s.Played = append(s.Played, p)
	}
	return nil
}

// behind returns a signal behind a transfer function on the grid, and the RMS voltage
// behind it per volt of the whole signal. What lies outside the grid is lost.
func (d *Design) behind(transfer []complex128, g box.Signal) (box.Signal, float64, error) {
	curve := response.Curve{Hz: d.Hz, HasPhase: true, H: make([]complex128, len(transfer))}
	for i, h := range transfer {
		curve.H[i] = h
		if h == 0 {
			curve.H[i] = 1e-12 // a short: a curve has no zeros
		}
	}
	out := g
	out.Lines = nil
	all, left := 0.0, 0.0
	var hz []float64
	for _, l := range g.Lines {
		all += l.Power
		if l.Hz >= d.Hz[0] && l.Hz <= d.Hz[len(d.Hz)-1] {
			hz, out.Lines = append(hz, l.Hz), append(out.Lines, l)
		}
	}
	h := make([]complex128, len(hz))
	if err := curve.Resample(h, hz); err != nil {
		return g, 0, err
	}
	for i := range out.Lines {
		a := cmplx.Abs(h[i])
		out.Lines[i].Power *= a * a
		left += out.Lines[i].Power
	}
	return out, math.Sqrt(left / all), nil
}
