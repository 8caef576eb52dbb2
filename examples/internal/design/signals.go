package design

import (
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/box"
	"example.com/halfspace/filter/ladder"
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

// duties finds what each part bears from programme noise whose peaks are those of the
// amplifier.
func (d *Design) duties() error {
	s := &d.Speaker
	p := ladder.Programme{Volts: d.Project.Volts(d.Project.Play.Amplifier) * units.Voltage(math.Sqrt2/crest), Crest: crest}
	all := 0.0
	for _, l := range box.Programme(crest).Lines {
		if l.Hz >= d.Hz[0] && l.Hz <= d.Hz[len(d.Hz)-1] {
			p.Hz, p.Weight = append(p.Hz, l.Hz), append(p.Weight, l.Power)
			all += l.Power
		}
	}
	for i := range p.Weight {
		p.Weight[i] /= all
	}
	letter := 0
	for w, n := range s.Choice.Networks {
		load := make([]complex128, len(p.Hz))
		curve := response.Curve{Hz: d.Hz, H: s.Field.Load(w), HasPhase: true}
		if err := curve.Resample(load, p.Hz); err != nil {
			return err
		}
		duties, err := n.Duty(p, load)
		if err != nil {
			return err
		}
		for i, duty := range duties.Parts {
			x := &s.Stress[letter]
			letter++
			x.Noise = duty.Power
			share, err := s.Choice.Items[w][i].Bears(duty, inside)
			if err != nil {
				continue // no rating
			}
			x.Share = share
			if share > 1 {
				d.note("Part %s (%s) is not enough for programme noise with all of the amplifier: it would bear %.0f %% of its rating in a cabinet at %.0f °C.", x.Letter, x.Name, 100*float64(share), inside.Celsius())
			}
		}
	}
	return nil
}

// inside is how warm a cabinet is taken to be around the parts.
var inside = units.Celsius(40)

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
