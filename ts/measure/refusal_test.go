package measure_test

import (
	"errors"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/ts"
	"example.com/halfspace/ts/measure"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// change returns a curve with every value changed.
func change(c response.Curve, by func(h complex128) complex128) response.Curve {
	out := response.Curve{Hz: c.Hz, H: make([]complex128, len(c.H)), HasPhase: c.HasPhase}
	for i, h := range c.H {
		out.H[i] = by(h)
	}
	return out
}

// vented returns the impedance in a vented box, which has two peaks.
func vented(hz []float64) response.Curve {
	s := box.System{Driver: woofer(coils[measure.PowerLaw]).Driver, Enclosure: box.Vented{Vb: 0.02, Fb: 40}, Air: air.Standard()}
	c := response.Curve{Hz: hz, HasPhase: true}
	for _, f := range hz {
		c.H = append(c.H, s.At(units.Frequency(f)).Impedance)
	}
	return c
}

// Curves that cannot be fitted are named, with phase and without.
func TestUselessCurves(t *testing.T) {
	s := woofer(coils[measure.PowerLaw])
	hz := grid(10, 20000, 60)
	good := s.curve(hz, 0, 0)
	resistor := change(good, func(complex128) complex128 { return 8 })
	inductor := response.Curve{Hz: hz, HasPhase: true}
	for _, f := range hz {
		inductor.H = append(inductor.H, complex(6, 2*math.Pi*f*1e-3))
	}
	for name, c := range map[string]struct {
		curve response.Curve
		want  error
	}{
		"resistor":               {resistor, measure.ErrNoResonance},
		"resistor, modulus":      {modulus(resistor), measure.ErrNoResonance},
		"coil without a driver":  {modulus(inductor), measure.ErrNoResonance},
		"begins above the peak":  {s.curve(grid(45, 20000, 60), 0, 0), measure.ErrAtEdge},
		"begins at the peak":     {modulus(s.curve(grid(37.8, 20000, 60), 0, 0)), measure.ErrAtEdge},
		"ends at the peak":       {s.curve(grid(10, 37, 60), 0, 0), measure.ErrAtEdge},
		"ends beside the peak":   {s.curve(grid(10, 42, 60), 0, 0), measure.ErrAtEdge},
		"vented box":             {vented(hz), measure.ErrTwoResonances},
		"vented box, modulus":    {modulus(vented(hz)), measure.ErrTwoResonances},
		"radians as degrees":     {change(good, func(h complex128) complex128 { return cmplx.Rect(cmplx.Abs(h), cmplx.Phase(h)*math.Pi/180) }), measure.ErrPhase},
		"degrees as radians":     {change(good, func(h complex128) complex128 { return cmplx.Rect(cmplx.Abs(h), cmplx.Phase(h)*180/math.Pi) }), measure.ErrPhase},
		"turned sign":            {change(good, cmplx.Conj), measure.ErrPhase},
		"reversed polarity":      {change(good, func(h complex128) complex128 { return -h }), measure.ErrPhase},
		"phases zero everywhere": {change(good, func(h complex128) complex128 { return complex(cmplx.Abs(h), 0) }), measure.ErrPhase},
	} {
		r, err := measure.Fit{}.Curves(measure.Run{Curve: c.curve})
		if !errors.Is(err, c.want) || !strings.HasPrefix(err.Error(), "curve 1: measure: ") {
			t.Errorf("%s: want %q, got %v and fs %v", name, c.want, err, r.Fs)
		}
		if c.want != measure.ErrPhase {
			if _, err := measure.ReadPeak(c.curve, 5.8); !errors.Is(err, c.want) {
				t.Errorf("%s: reading: want %q, got %v", name, c.want, err)
			}
		}
	}
}

func TestRefused(t *testing.T) {
	s := woofer(coils[measure.PowerLaw])
	hz := grid(10, 20000, 40)
	free, heavy, boxed := s.curve(hz, 0, 0), s.curve(hz, 0.012, 0), s.curve(hz, 0, 0.015)
	one := []measure.Run{{Curve: free}}
	nan := units.Mass(math.NaN())
	for want, c := range map[string]struct {
		fit  measure.Fit
		runs []measure.Run
	}{
		"none of the curves is in free air":      {measure.Fit{}, []measure.Run{{Curve: heavy, Added: 0.012}}},
		"measure: none of the curves":            {measure.Fit{}, nil},
		"measure: Re -1 Ω: must be":              {measure.Fit{Re: -1}, one},
		"measure: leads -1 Ω":                    {measure.Fit{Leads: -1}, one},
		"measure: Sd -1 m²":                      {measure.Fit{Sd: -1}, one},
		"measure: Mms NaN":                       {measure.Fit{Mms: nan}, one},
		"measure: noise -1":                      {measure.Fit{Noise: -1}, one},
		"measure: accuracy of Sd":                {measure.Fit{Accuracy: measure.Accuracy{Sd: 2}}, one},
		"measure: upper end of the band 50 Hz":   {measure.Fit{From: 100, To: 50}, one},
		"measure: coil coil model 9":             {measure.Fit{Coil: 9}, one},
		"curve 2: measure: added mass -1 kg":     {measure.Fit{}, []measure.Run{{Curve: free}, {Curve: heavy, Added: -1}}},
		"curve 2: measure: added mass 12 g: mus": {measure.Fit{}, []measure.Run{{Curve: free}, {Curve: heavy, Added: 0.012, Box: 0.015}}},
		"above that of the cone itself":          {measure.Fit{Sd: s.Sd}, []measure.Run{{Curve: free}, {Curve: boxed, Box: 0.0002}}},
		"are the curves swapped?":                {measure.Fit{}, []measure.Run{{Curve: heavy}, {Curve: free, Added: 0.012}}},
		"is its mass or box missing?":            {measure.Fit{}, []measure.Run{{Curve: free}, {Curve: heavy}}},
		"does the box leak?":                     {measure.Fit{}, []measure.Run{{Curve: boxed}, {Curve: free, Box: 0.015}}},
		"curve 1: response: point 1: value":      {measure.Fit{}, []measure.Run{{Curve: change(free, func(complex128) complex128 { return complex(math.NaN(), 0) })}}},
		"air: density":                           {measure.Fit{Air: air.Air{SpeedOfSound: 345}}, one},
		"points are too few to tell":             {measure.Fit{From: 30, To: 40}, one},
	} {
		if _, err := c.fit.Curves(c.runs...); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
	good := measure.Reading{Re: 6, Zmax: 30, Fs: 40, F1: 30, F2: 53}
	if err := good.Check(); err != nil {
		t.Error(err)
	}
	for want, spoil := range map[string]func(r *measure.Reading){
		"measure: Re 0 Ω":     func(r *measure.Reading) { r.Re = 0 },
		"measure: Zmax 5 Ω":   func(r *measure.Reading) { r.Zmax = 5 },
		"measure: f1 41 Hz":   func(r *measure.Reading) { r.F1 = 41 },
		"measure: f2 39 Hz":   func(r *measure.Reading) { r.F2 = 39 },
		"measure: level 31 Ω": func(r *measure.Reading) { r.Level = 31 },
		"measure: fs NaN":     func(r *measure.Reading) { r.Fs = units.Frequency(math.NaN()) },
	} {
		r := good
		spoil(&r)
		if _, _, _, err := r.Q(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
	refused := func(want string, err error) {
		t.Helper()
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
	_, err := measure.ReadPeak(free, 0)
	refused("measure: Re 0 Ω", err)
	_, err = measure.MassByAdded(40, 30, 0)
	refused("measure: added mass 0", err)
	_, err = measure.MassByAdded(40, 41, 0.01)
	refused("must be below that without, 40 Hz", err)
	_, _, err = measure.MassLine(measure.Loaded{Fs: 40}, measure.Loaded{Fs: 40.1})
	refused("two different masses", err)
	_, _, err = measure.MassLine(measure.Loaded{Fs: 40}, measure.Loaded{Added: 0.01, Fs: 45})
	refused("is each frequency beside its own mass?", err)
	_, _, err = measure.MassLine(measure.Loaded{Fs: 40}, measure.Loaded{Added: nan, Fs: 30})
	refused("reading 2: added mass NaN", err)
	_, err = measure.VasInClosed(40, 0.4, 30, 0.4, 0.02)
	refused("a box stiffens", err)
	_, err = measure.VasInClosed(40, 0.4, 60, 0.6, 0)
	refused("box volume 0", err)
	_, _, err = measure.VasInVented(20, 70, 60, 0.02)
	refused("must be between the peaks", err)
	var m measure.CoilModel
	refused("must be one of power law", m.UnmarshalText([]byte("wire")))
	for _, want := range measure.CoilModels() {
		text, _ := want.MarshalText()
		if err := m.UnmarshalText(text); err != nil || m != want {
			t.Errorf("%s: %v, %v", text, m, err)
		}
	}
	panics := func(name string, f func()) {
		t.Helper()
		defer func() {
			if recover() == nil {
				t.Errorf("%s: no panic", name)
			}
		}()
		f()
	}
	panics("gain", func() { measure.MassGain(40, 40) })
	r := fit(t, measure.Fit{}, one...)
	panics("impedance", func() { r.Impedance(nil, hz, 0) })
}

// What the data cannot carry is said, and what they can is not.
func TestWarnings(t *testing.T) {
	semi, law := woofer(coils[measure.SemiInductance]), woofer(coils[measure.PowerLaw])
	hz := grid(10, 20000, 60)
	random := func() response.Curve { return modulus(semi.curve(hz, 0, 0)) }
	free, heavy, boxed := law.curve(hz, 0, 0), law.curve(hz, 0.012, 0), law.curve(hz, 0, 0.015)
	creeping := law
	creeping.creep = 0.12
	tall := law
	tall.Rms *= 0.4
	for want, c := range map[string]struct {
		fit  measure.Fit
		runs []measure.Run
	}{
		"":                  {measure.Fit{Re: law.Re, Sd: law.Sd}, []measure.Run{{Curve: free}, {Curve: heavy, Added: 0.012}, {Curve: boxed, Box: 0.015}}},
		"Re: not given":     {measure.Fit{}, []measure.Run{{Curve: free}}},
		"Mms, Vas: unknown": {measure.Fit{Re: law.Re}, []measure.Run{{Curve: free}}},
		"Re: 6.5 Ω given, but the points want 5.8": {measure.Fit{Re: 6.5}, []measure.Run{{Curve: free}}},
		"coil: a plain inductance over":            {measure.Fit{Coil: measure.Plain}, []measure.Run{{Curve: free}}},
		"residuals wander":                         {measure.Fit{Re: law.Re}, []measure.Run{{Curve: creeping.curve(hz, 0, 0)}}},
		"creep: none shows":                        {measure.Fit{Creep: true}, []measure.Run{{Curve: law.curve(grid(10, 20000, 61), 0, 0)}}},
		"on the slope of the peak":                 {measure.Fit{}, []measure.Run{{Curve: law.curve(grid(30, 20000, 80), 0, 0)}}},
		"the coil's impedance hardly shows":        {measure.Fit{Re: law.Re}, []measure.Run{{Curve: law.curve(grid(10, 110, 60), 0, 0)}}},
		"the points do not carry it; it is held":   {measure.Fit{Coil: measure.SemiInductance, To: 250, Noise: 0.01, PhaseNoise: 0.01}, []measure.Run{{Curve: law.curve(hz, 0, 0)}}},
		"Rss: open by a factor of":                 {measure.Fit{Coil: measure.SemiInductance, Noise: 0.02, PhaseNoise: 0.03}, []measure.Run{{Curve: random()}}},
		"contradict each other: it had to take":    {measure.Fit{Re: law.Re, Sd: law.Sd * 1.2}, []measure.Run{{Curve: free}, {Curve: heavy, Added: 0.012}, {Curve: boxed, Box: 0.015}}},
		"times the moving mass in the box":         {measure.Fit{Re: law.Re}, []measure.Run{{Curve: free}, {Curve: law.curve(hz, 0.006, 0.015), Box: 0.015}}},
		"this is not the driver's model":           {measure.Fit{Re: 4, Coil: measure.Plain}, []measure.Run{{Curve: free}}},
	} {
		r, err := c.fit.Curves(c.runs...)
		if err != nil {
			t.Errorf("want %q, got %v", want, err)
			continue
		}
		var all []string
		for _, w := range r.Warnings {
			all = append(all, w.String())
		}
		text := strings.Join(all, "\n")
		if want == "" && text != "" || !strings.Contains(text, want) {
			t.Errorf("want %q, got %q", want, text)
		}
	}
}

// The driver that comes out is that of the other packages: its impedance in a closed
// box is the curve measured there, and its sheet leads back to it.
func TestDriverInBox(t *testing.T) {
	s := woofer(coils[measure.PowerLaw])
	hz := grid(10, 20000, 60)
	r := fit(t, measure.Fit{Re: s.Re, Sd: s.Sd}, measure.Run{Curve: s.curve(hz, 0, 0)}, measure.Run{Curve: s.curve(hz, 0.012, 0), Added: 0.012})
	d, err := r.Driver()
	if err != nil {
		t.Fatal(err)
	}
	system := box.System{Driver: d, Enclosure: box.Closed{Vb: 0.015}, Air: air.Standard()}
	for _, f := range hz {
		if got, want := system.At(units.Frequency(f)).Impedance, s.impedance(f, 0, 0.015); !(cmplx.Abs(got-want) <= 1e-6*cmplx.Abs(want)) {
			t.Fatalf("%g Hz: %v, want %v", f, got, want)
		}
	}
	back, _, err := r.Sheet(0).Driver(air.Standard())
	if err != nil || !(off(back.Bl, d.Bl) <= 1e-9 && off(back.Cms, d.Cms) <= 1e-9 && off(back.Rms, d.Rms) <= 1e-9) {
		t.Errorf("%+v, want %+v, %v", back, d, err)
	}
	low := fit(t, measure.Fit{To: 2000}, measure.Run{Curve: s.curve(hz, 0, 0)}).Sheet(0)
	if !(off(low.Le1k, s.Coil.Inductance(1000)) <= 1e-6) || low.Le10k != 0 {
		t.Errorf("to 2 kHz: %v and %v", low.Le1k, low.Le10k)
	}
	short := r.Sheet(3)
	if want := (ts.Sheet{Fs: 37.8, Qms: 4.68, Bl: 6.7}); short.Fs != want.Fs || short.Qms != want.Qms || short.Bl != want.Bl || short.Digits != 3 {
		t.Errorf("to three digits: %+v", short)
	}
}
