package align_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/box/align"
	"example.com/halfspace/port"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// The best boxes of another search on another model of the circuit: see
// testdata/goals.py.
func TestGoalsAgainstDifferentialEvolution(t *testing.T) {
	text, err := os.ReadFile("testdata/goals.json")
	if err != nil {
		t.Fatal(err)
	}
	var recorded struct {
		Goals []struct {
			Fs, Qms, Qes, Vas, Sd, Re, Xmax, QL, Peak, Dip, Cutoff, Volts float64
			Objective                                                     string
			MostVolume                                                    float64 `json:"most_volume"`
			From, To                                                      float64
			Reached                                                       bool
			Best                                                          float64
		}
	}
	if err := json.Unmarshal(text, &recorded); err != nil {
		t.Fatal(err)
	}
	if len(recorded.Goals) != 20 {
		t.Fatalf("%d goals", len(recorded.Goals))
	}
	for i, c := range recorded.Goals {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			t.Parallel()
			d, _, err := ts.Sheet{
				Re: units.Resistance(c.Re), Fs: units.Frequency(c.Fs), Qms: c.Qms, Qes: c.Qes,
				Vas: units.Volume(c.Vas), Sd: units.Area(c.Sd),
			}.Driver(air.Standard())
			if err != nil {
				t.Fatal(err)
			}
			g := align.Goal{
				Box: box.Vented{QL: c.QL}, Volume: align.Volumes{Most: units.Volume(c.MostVolume)},
				Cutoff: units.Frequency(c.Cutoff), Peak: c.Peak, Dip: c.Dip,
				Limits: box.Limits{Travel: units.Length(c.Xmax)},
				Signal: box.Sines(units.Frequency(c.From), units.Frequency(c.To)), Volts: units.Voltage(c.Volts),
			}
			for o := align.LowestCutoff; o <= align.MostOutput; o++ {
				if o.String() == c.Objective {
					g.Objective = o
				}
			}
			best, err := g.Solve(d, air.Standard())
			var impossible *align.Impossible
			if errors.As(err, &impossible) == c.Reached {
				t.Errorf("goal %d: %v, reached by the other search: %v", i, err, c.Reached)
				return
			}
			if !c.Reached {
				miss := math.Log1p(impossible.By)
				if !(math.Abs(miss-c.Best) < 1e-4) {
					t.Errorf("goal %d: missed by %v, other search by %v", i, miss, c.Best)
				}
				return
			}
			ratio := 0.0 // above 1 we are worse
			switch g.Objective {
			case align.LowestCutoff:
				ratio = float64(best.Cutoff) / c.Best
			case align.SmallestBox:
				ratio = float64(best.Volume) / c.Best
			case align.MostOutput:
				ratio = c.Best / float64(best.Volts)
			}
			t.Logf("%s: worse by a factor of %.6f", c.Objective, ratio)
			if !(math.Abs(ratio-1) < 0.005) {
				t.Errorf("goal %d, %s: we are worse by a factor of %.5f: %v", i, c.Objective, ratio, best.Design)
			}
		})
	}
}

// bass is an invented driver for goals.
func bass(tb testing.TB) ts.Driver {
	d := ofQts(tb, 0.38)
	d.Coil.Leb = units.Millihenry
	return d
}

func room() align.VentRoom {
	return align.VentRoom{
		Vent:  port.Vent{Wall: 3 * units.Millimetre, Outer: port.Flanged},
		Space: port.Space{Depth: 300 * units.Millimetre, Width: 250 * units.Millimetre, Height: 500 * units.Millimetre, Panel: 18 * units.Millimetre},
	}
}

// goals are some with many limits.
func goals(tb testing.TB) map[string]align.Goal {
	d := bass(tb)
	limits := box.Limits{Travel: d.Xmax, AirSpeed: 17}
	cone, err := box.PassiveConeOf(ts.Sheet{Fs: 25, Vas: 90 * units.Litre, Sd: 330 * units.SquareCentimetre, Qms: 8}, air.Standard())
	if err != nil {
		tb.Fatal(err)
	}
	heavy := cone
	heavy.Mms *= 3
	few := room()
	few.Diameters = []units.Length{50 * units.Millimetre, 70 * units.Millimetre, 100 * units.Millimetre, 120 * units.Millimetre}
	return map[string]align.Goal{
		"closed":          {Box: box.Closed{}, Peak: 0.5},
		"closed, small":   {Objective: align.SmallestBox, Box: box.Closed{QA: 30, FQ: 60}, Peak: 1, Cutoff: 64},
		"vented, flat":    {Box: box.Vented{QL: 7}, Peak: 0.2, Dip: 0.5},
		"vented, small":   {Objective: align.SmallestBox, Box: box.Vented{QL: 7, QA: 60}, Peak: 0.2, Dip: 0.5, Cutoff: 35},
		"vented, swift":   {Box: box.Vented{QL: 7}, Dip: 1, Delay: 12 * units.Millisecond},
		"vented, sines":   {Box: box.Vented{QL: 7}, Peak: 0.5, Dip: 0.5, Limits: limits, Signal: box.Sines(25, 200), Volts: 10, Vent: room()},
		"vented, few":     {Box: box.Vented{QL: 7}, Peak: 0.5, Dip: 0.5, Limits: limits, Signal: box.Pink(20, 200, 2), Volts: 14, Vent: few},
		"vented, loud":    {Objective: align.MostOutput, Box: box.Vented{QL: 7}, Peak: 0.5, Dip: 0.5, Cutoff: 38, Volume: align.Volumes{Most: 60 * units.Litre}, Limits: limits, Signal: box.Sines(30, 200), Vent: room()},
		"radiator, heavy": {Box: box.PassiveRadiator{Radiator: heavy}, Peak: 0.5, Dip: 0.5},
		"radiator, flat":  {Box: box.PassiveRadiator{Radiator: cone, QL: 12}, Peak: 0.5, Dip: 0.5},
	}
}

// What comes out is what the circuit does, and keeps the limits.
func TestGoalsKeepTheirLimits(t *testing.T) {
	d := bass(t)
	for name, g := range goals(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			checkLimits(t, name, g, d)
		})
	}
}

func checkLimits(t *testing.T, name string, g align.Goal, d ts.Driver) {
	bare := d
	bare.Coil = ts.Coil{}
	best, err := g.Solve(d, air.Air{})
	if err != nil {
		t.Fatal(err)
	}
	if len(best.Curve) < 3 && g.Objective != align.MostOutput || len(best.Curve) == 0 {
		t.Errorf("%s: a curve of %d points", name, len(best.Curve))
	}
	for i, b := range append([]align.Design{best.Design}, best.Curve...) {
		if i%4 > 1 {
			continue
		}
		s := box.System{Driver: bare, Enclosure: b.Box}
		f3, err := s.F3()
		if err != nil {
			t.Fatal(err)
		}
		near(t, name+": cut-off", float64(b.Cutoff/f3), 1, 1e-7)
		_, peak := s.Peak()
		near(t, name+": peak", b.Peak, max(0, peak), 1e-5)
		dip, delay := 0.0, 0.0
		for x := 2 * f3; x < 32*d.Fs(); x *= 1.005 {
			dip = max(dip, -s.Gain(x))
			delay = max(delay, float64(s.GroupDelay(x/2)))
		}
		near(t, name+": dip", b.Dip, dip, 1e-4)
		near(t, name+": delay", float64(b.Delay)/delay, 1, 3e-4)
		if p, ok := b.Box.(box.PassiveRadiator); ok {
			near(t, name+": tuning", float64(b.Tuning/p.Fb(air.Standard())), 1, 1e-9)
		}
		const part = 1 + 2e-4
		switch {
		case g.Peak > 0 && peak > g.Peak+1e-4, g.Dip > 0 && dip > g.Dip+2e-4,
			i == 0 && g.Cutoff > 0 && f3 > g.Cutoff*part,
			g.Delay > 0 && delay > float64(g.Delay)*part,
			g.Volume.Most > 0 && b.Volume > g.Volume.Most*part:
			t.Errorf("%s: limits are not kept: %+v", name, b)
		}
		if g.Limits == (box.Limits{}) {
			continue
		}
		loud, err := box.System{Driver: d, Enclosure: b.Box}.Loudest(g.Signal, g.Limits)
		if err != nil {
			t.Fatal(err)
		}
		near(t, name+": volts", float64(b.Volts/loud.Volts), 1, 1e-6)
		if !(loud.Volts*part > g.Volts) {
			t.Errorf("%s: stands %v, not %v", name, loud.Volts, g.Volts)
		}
		tuned, err := b.Vent.Tuned(b.Volume, b.Tuning, air.Standard())
		if err != nil {
			t.Fatal(err)
		}
		near(t, name+": length of the vent", float64(b.Vent.Length/tuned.Length), 1, 1e-9)
		near(t, name+": area of the vent", float64(b.Box.(box.Vented).Area/b.Vent.Area()), 1, 1e-12)
		if !(g.Vent.Space.Spare(b.Vent) > -1e-5) || g.Vent.Space.Holds(b.Vent) != nil {
			t.Errorf("%s: %+v does not fit", name, b.Vent)
		}
		if n := g.Vent.Diameters; n != nil && !slices.Contains(n, b.Vent.Diameter) {
			t.Errorf("%s: no such diameter: %v", name, b.Vent.Diameter)
		}
	}
	if first := best.Curve[0]; g.Objective == align.SmallestBox && !(first.Cutoff > g.Cutoff && first.Volume < best.Volume) {
		t.Errorf("%s: the curve keeps to the limit of the cut-off, from %v", name, first.Volume)
	}
	if spare := g.Vent.Space.Spare(best.Vent); g.Objective == align.MostOutput && !(spare < 1e-6) {
		t.Errorf("%s: the vent leaves %v", name, spare)
	}
	if heavy := slices.Contains(best.Binding, align.MostTuning); heavy != (name == "radiator, heavy") {
		t.Errorf("%s: binding %v", name, best.Binding)
	}
	for i := 1; i < len(best.Curve); i++ {
		a, b := best.Curve[i-1], best.Curve[i]
		if !(b.Volume > a.Volume) || g.Objective == align.MostOutput && !(b.Level > a.Level) || g.Objective != align.MostOutput && !(b.Cutoff < a.Cutoff) {
			t.Errorf("%s: the curve turns at %v", name, b.Volume)
		}
	}
}

// Where little air would do, the vent is as long as the panel is thick.
func TestShortVents(t *testing.T) {
	g := goals(t)["vented, sines"]
	g.Volts, g.Limits.AirSpeed, g.Peak, g.Dip = 1, 100, 9, 0
	g.Volume = align.Volumes{Least: 100 * units.Litre, Most: 120 * units.Litre}
	g.Tuning = align.Tunings{Least: 50, Most: 60}
	best, err := g.Solve(bass(t), air.Air{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "length", best.Vent.Length.In(g.Vent.Space.Panel), 1, 1e-6)
	if best.Volts < 3 {
		t.Errorf("%v is all that it stands", best.Volts)
	}
}

// Nothing nearby that keeps the limits is better: steps of the optimum into all
// directions.
func TestGoalsAreBestNearby(t *testing.T) {
	t.Parallel()
	d := ofQts(t, 0.38)
	g := goals(t)["vented, flat"]
	best, err := g.Solve(d, air.Air{})
	if err != nil {
		t.Fatal(err)
	}
	at := best.Box.(box.Vented)
	for deg := 0.0; deg < 360; deg += 5 {
		for _, step := range []float64{1e-3, 1e-2, 0.05, 0.3} {
			sin, cos := math.Sincos(deg * math.Pi / 180)
			v := at
			v.Vb *= units.Volume(math.Exp(step * cos))
			v.Fb *= units.Frequency(math.Exp(step * sin))
			s := box.System{Driver: d, Enclosure: v}
			f3, err := s.F3()
			_, peak := s.Peak()
			if err != nil || peak > g.Peak || f3 >= best.Cutoff {
				continue
			}
			dip := 0.0
			for x := 2.0; x < 16; x *= 1.02 {
				dip = max(dip, -s.Gain(f3*units.Frequency(x)))
			}
			if dip <= g.Dip {
				t.Errorf("%v tuned to %v has %v, below %v", v.Vb, v.Fb, f3, best.Cutoff)
			}
		}
	}
}

// A closed box without limits has the Q that the formula for the lowest cut-off gives.
func TestClosedGoalAgainstTheFormula(t *testing.T) {
	t.Parallel()
	d := ofQts(t, 0.38)
	best, err := align.Goal{Box: box.Closed{}}.Solve(d, air.Air{})
	if err != nil {
		t.Fatal(err)
	}
	c, err := best.Box.(box.Closed).Alignment(d, air.Air{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Butterworth", c.Qtc, align.ButterworthQ, 2e-4)
	near(t, "cut-off", float64(best.Cutoff/c.F3()), 1, 1e-9)
	small, err := align.Goal{Objective: align.SmallestBox, Box: box.Closed{}, Peak: 1}.Solve(d, air.Air{})
	if err != nil {
		t.Fatal(err)
	}
	q, err := align.ChebyshevQ(1)
	if err != nil {
		t.Fatal(err)
	}
	want, err := box.ClosedFor(d, q, air.Air{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "volume", float64(small.Volume/want.Vb), 1, 1e-4)
	if !slices.Equal(small.Binding, []align.Bound{align.PeakBound}) || small.Tuning != 0 {
		t.Errorf("binding: %v, tuning %v", small.Binding, small.Tuning)
	}
}

// A driver at half the frequencies with eight times the volume has the scaled box.
func TestGoalsScale(t *testing.T) {
	t.Parallel()
	d := ofQts(t, 0.38)
	big := d
	big.Sd *= 4
	big.Cms *= 0.5
	big.Mms *= 8
	big.Rms *= 4
	big.Bl *= 2
	g := align.Goal{Box: box.Vented{QL: 7}, Peak: 0.3, Dip: 0.6}
	one, err1 := g.Solve(d, air.Air{})
	two, err2 := g.Solve(big, air.Air{})
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	near(t, "volume", float64(two.Volume/one.Volume), 8, 1e-4)
	near(t, "tuning", float64(two.Tuning/one.Tuning), 0.5, 1e-5)
	near(t, "cut-off", float64(two.Cutoff/one.Cutoff), 0.5, 1e-5)
	again, err := g.Solve(d, air.Air{})
	if err != nil || again.Design != one.Design {
		t.Errorf("another time: %v, %v", again.Design, err)
	}
}

// Fewer limits never make it worse.
func TestGoalsWidenWithTheirLimits(t *testing.T) {
	t.Parallel()
	d := bass(t)
	last := math.Inf(1)
	for _, peak := range []float64{0.05, 0.2, 1, 3} {
		g := align.Goal{Box: box.Vented{QL: 7}, Peak: peak, Dip: 0.5, Volume: align.Volumes{Most: 100 * units.Litre}}
		best, err := g.Solve(d, air.Air{})
		if err != nil {
			t.Fatal(err)
		}
		if !(float64(best.Cutoff) <= last*(1+1e-6)) {
			t.Errorf("%v dB of peak: %v after %v Hz", peak, best.Cutoff, last)
		}
		last = float64(best.Cutoff)
	}
}

func TestImpossibleGoals(t *testing.T) {
	t.Parallel()
	d := bass(t)
	tight := room()
	tight.Space.Depth = 60 * units.Millimetre
	limits := box.Limits{Travel: d.Xmax, AirSpeed: 10}
	for _, c := range []struct {
		goal align.Goal
		want []align.Bound
	}{
		{align.Goal{Objective: align.SmallestBox, Box: box.Closed{}, Cutoff: 40}, []align.Bound{align.CutoffBound}},
		{align.Goal{Box: box.Vented{QL: 7}, Volume: align.Volumes{Most: 2 * units.Litre}, Peak: 0.1}, []align.Bound{align.MostVolume, align.PeakBound}},
		{align.Goal{Box: box.Vented{QL: 7}, Peak: 0.1, Dip: 0.5, Limits: limits, Signal: box.Sines(25, 100), Volts: 10, Vent: tight, Tuning: align.Tunings{Most: 40}, Volume: align.Volumes{Most: 50 * units.Litre}}, []align.Bound{align.MostVolume, align.MostTuning, align.RoomBound}},
		{align.Goal{Box: box.Closed{}, Limits: box.Limits{Travel: d.Xmax}, Signal: box.Sine(20), Volts: 1000}, []align.Bound{align.LeastVolume, align.ConeBound}},
	} {
		best, err := c.goal.Solve(d, air.Air{})
		var impossible *align.Impossible
		if !errors.As(err, &impossible) || !slices.Equal(impossible.Limits, c.want) || !(impossible.By > 0) || impossible.Nearest != best.Design || best.Box == nil {
			t.Errorf("%v, want %v: %v, %+v", c.want, c.want, err, best.Design)
			continue
		}
		if !strings.Contains(err.Error(), c.want[0].String()) || !strings.Contains(err.Error(), best.Volume.String()) {
			t.Errorf("%v", err)
		}
	}
}

func TestGoalRefusals(t *testing.T) {
	d := bass(t)
	limits := box.Limits{Travel: d.Xmax, AirSpeed: 17}
	sines := box.Sines(25, 200)
	sized := room()
	sized.Vent.Diameter = 0.1
	odd := room()
	odd.Diameters = []units.Length{0}
	slot := room()
	slot.Vent.Inner = port.AlongWall
	for want, g := range map[string]align.Goal{
		"align: box <nil>: must be a box.Closed":        {},
		"align: box box.InfiniteBaffle: must be":        {Box: box.InfiniteBaffle{}},
		"align: objective Objective(3)":                 {Box: box.Closed{}, Objective: 3},
		"align: least volume 50 L: must not be above":   {Box: box.Closed{}, Volume: align.Volumes{Least: 50 * units.Litre, Most: 40 * units.Litre}},
		"align: least tuning 50 Hz: must not be above":  {Box: box.Vented{}, Tuning: align.Tunings{Least: 50, Most: 40}},
		"align: most volume":                            {Box: box.Closed{}, Volume: align.Volumes{Most: -1}},
		"align: cut-off":                                {Box: box.Closed{}, Cutoff: units.Frequency(math.NaN())},
		"align: peak, dB":                               {Box: box.Closed{}, Peak: -1},
		"align: dip, dB":                                {Box: box.Closed{}, Dip: math.Inf(1)},
		"align: group delay":                            {Box: box.Closed{}, Delay: -1},
		"align: voltage -1 V":                           {Box: box.Closed{}, Volts: -1},
		"box: limit of travel":                          {Box: box.Closed{}, Limits: box.Limits{Travel: -1}},
		"box: signal":                                   {Box: box.Closed{}, Limits: limits, Volts: 1},
		"align: voltage 0 V: must be positive":          {Box: box.Closed{}, Limits: limits, Signal: sines},
		"align: voltage 5 V: must be zero":              {Box: box.Closed{}, Objective: align.MostOutput, Limits: limits, Signal: sines, Volts: 5},
		"align: limits none: must be given":             {Box: box.Closed{}, Objective: align.MostOutput, Signal: sines},
		"box: QL":                                       {Box: box.Vented{QL: -7}},
		"align: vent given: is for a box.Vented":        {Box: box.Closed{}, Vent: room()},
		"align: vent with a size":                       {Box: box.Vented{}, Limits: limits, Signal: sines, Volts: 1, Vent: sized},
		"align: diameter of a vent":                     {Box: box.Vented{}, Limits: limits, Signal: sines, Volts: 1, Vent: odd},
		"align: limit of air speed none: must be given": {Box: box.Vented{}, Vent: room()},
		"align: vent with an end along a wall: ":        {Box: box.Vented{}, Limits: limits, Signal: sines, Volts: 1, Vent: slot},
		"port: inside width 0 mm: must be positive":     {Box: box.Vented{}, Limits: limits, Signal: sines, Volts: 1, Vent: align.VentRoom{Space: port.Space{Depth: 0.3}}},
		"box: radiator: Sd 0":                           {Box: box.PassiveRadiator{}},
	} {
		_, err := g.Solve(d, air.Air{})
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("got %v, want %q", err, want)
		}
	}
	if _, err := (align.Goal{Box: box.Closed{}}).Solve(ts.Driver{}, air.Air{}); err == nil {
		t.Error("no driver is accepted")
	}
	if _, err := (align.Goal{Box: box.Closed{}}).Solve(d, air.Air{Density: 1}); err == nil {
		t.Error("air without a speed of sound is accepted")
	}
}

func BenchmarkSolveVented(b *testing.B)  { benchmarkGoal(b, "vented, sines") }
func BenchmarkSolveClosed(b *testing.B)  { benchmarkGoal(b, "closed") }
func BenchmarkSolveFlat(b *testing.B)    { benchmarkGoal(b, "vented, flat") }
func BenchmarkSolveLoudest(b *testing.B) { benchmarkGoal(b, "vented, loud") }

func benchmarkGoal(b *testing.B, name string) {
	d, g := bass(b), goals(b)[name]
	for b.Loop() {
		if _, err := g.Solve(d, air.Air{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkVented(b *testing.B) {
	d := ofQts(b, 0.3)
	for b.Loop() {
		if _, err := align.Vented(d, align.QB3, 7, air.Air{}); err != nil {
			b.Fatal(err)
		}
	}
}

// With vents that there are, nothing on a grid is better, judged by the circuit and
// the vents alone.
func TestGoalsWithVentsAgainstAGrid(t *testing.T) {
	t.Parallel()
	d := ofQts(t, 0.33)
	r := room()
	r.Diameters = []units.Length{100 * units.Millimetre, 50 * units.Millimetre, 70 * units.Millimetre}
	for _, g := range []align.Goal{
		{Objective: align.MostOutput, Cutoff: 50},
		{Objective: align.SmallestBox, Cutoff: 50, Volts: 8},
		{Objective: align.LowestCutoff, Volts: 9},
	} {
		g.Box, g.Peak, g.Volume.Most = box.Vented{QL: 7}, 0.5, 45*units.Litre
		g.Limits = box.Limits{Travel: d.Xmax, AirSpeed: 17}
		g.Signal, g.Vent = box.Sines(28, 100), r
		best, err := g.Solve(d, air.Air{})
		if err != nil {
			t.Errorf("%v: %v", g.Objective, err)
			continue
		}
		seen := 0
		for vb := 10 * units.Litre; vb <= g.Volume.Most; vb *= 1.08 {
			for fb := 20 * units.Hertz; fb < 60; fb *= 1.06 {
				s := box.System{Driver: d, Enclosure: box.Vented{Vb: vb, Fb: fb, QL: 7}}
				if _, peak := s.Peak(); peak > g.Peak {
					continue
				}
				f3, err := s.F3()
				if err != nil || g.Cutoff > 0 && f3 > g.Cutoff {
					continue
				}
				for _, diameter := range r.Diameters {
					v := r.Vent
					v.Diameter = diameter
					if v, err = v.Tuned(vb, fb, air.Air{}); err != nil || r.Space.Spare(v) < 0 || v.Length < r.Space.Panel {
						continue
					}
					s.Enclosure = box.Vented{Vb: vb, Fb: fb, QL: 7, Area: v.Area()}
					loud, err := s.Loudest(g.Signal, g.Limits)
					if err != nil {
						t.Fatal(err)
					}
					if loud.Volts < g.Volts {
						continue
					}
					seen++
					if g.Objective == align.MostOutput && loud.Volts > best.Volts ||
						g.Objective == align.SmallestBox && vb < best.Volume || g.Objective == align.LowestCutoff && f3 < best.Cutoff {
						t.Errorf("%v: %v tuned to %v through %v has %v, %v; found %+v", g.Objective, vb, fb, diameter, loud.Volts, f3, best.Design)
					}
				}
			}
		}
		if seen < 10 {
			t.Errorf("%v: only %d boxes on the grid keep the limits", g.Objective, seen)
		}
	}
}
