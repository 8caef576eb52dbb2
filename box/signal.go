package box

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"

	"example.com/halfspace/filter/rational"
	"example.com/halfspace/units"
)

// A Signal is what is played: lines of a spectrum, all at once or one at a time. How
// loud a speaker may play depends on it more than on the speaker, so no limit makes
// sense without one. Made once, it serves any number of systems.
type Signal struct {
	Name  string // as a report says it
	Lines []Line
	Crest float64 // peak over RMS as a ratio: √2 of a sine, 2 (6 dB) of noise as the standards play it
	Apart bool    // tones that are tried one after the other, not together
}

// A Line is a tone, or the noise of a narrow band. Lines played together divide the
// square of the voltage in proportion to Power. Of lines played apart each has Power
// times the square, so that 1 is a tone in the pass band of a filter.
type Line struct {
	Hz    float64
	Power float64
}

// linesPerOctave of noise leave an error below 0.1 % in the limits of a box whose
// resonances have a Q up to 10: lines that are evenly spaced over log f converge
// exponentially, and the corners of the noise add 1e-4.
const linesPerOctave = 24

// Check reports the first figure that no signal can have.
func (g Signal) Check() error {
	if len(g.Lines) == 0 {
		return &units.RangeError{Field: "box: signal", Value: fmt.Sprintf("%q", g.Name), Want: "must have lines"}
	}
	sum := 0.0
	for _, l := range g.Lines {
		if err := cmp.Or(
			units.Positive("box: signal: frequency", units.Frequency(l.Hz)),
			units.NotNegative("box: signal: power of a line", l.Power),
		); err != nil {
			return err
		}
		sum += l.Power
	}
	if err := units.Positive("box: signal: power of all lines", sum); err != nil {
		return err
	}
	if !(g.Crest >= 1) || math.IsInf(g.Crest, 0) {
		return &units.RangeError{Field: "box: signal: crest factor", Value: fmt.Sprint(g.Crest), Want: "must be at least 1 and finite"}
	}
	return nil
}

// Sine returns one tone.
func Sine(f units.Frequency) Signal {
	return Signal{Name: fmt.Sprintf("sine of %v", f), Lines: []Line{{float64(f), 1}}, Crest: math.Sqrt2}
}

// Sines returns tones from one frequency to another, tried one after the other: the
// worst of them decides. There are 48 per octave and both ends, so that of a limit
// with a peak of Q 3 it misses less than 0.1 %.
func Sines(from, to units.Frequency) Signal {
	g := Signal{Name: fmt.Sprintf("sine of any frequency from %v to %v", from, to), Crest: math.Sqrt2, Apart: true}
	octaves := math.Log2(float64(to / from))
	n := cells(octaves, 2*linesPerOctave)
	for i := range n + 1 {
		g.Lines = append(g.Lines, Line{float64(from) * math.Exp2(octaves*float64(i)/float64(n)), 1})
	}
	if n > 0 {
		g.Lines[n].Hz = float64(to)
	}
	return g
}

// Pink returns noise of equal power per octave between sharp corners. A crest factor
// of 2 is that of the clipped noise of IEC 60268-5 and AES2 (from memory).
func Pink(from, to units.Frequency, crest float64) Signal {
	return Signal{
		Name:  fmt.Sprintf("pink noise from %v to %v, crest factor %.3g", from, to, crest),
		Lines: noise(float64(from), float64(to), func(float64) float64 { return 0 }),
		Crest: crest,
	}
}

// Programme returns noise with the spectrum of the simulated programme of IEC
// 60268-1: third-octave levels in dB from 20 Hz to 20 kHz, with straight lines over
// log f between. The levels are from memory, not read. Up to 1 kHz they are well
// remembered; above they are doubtful by 1 dB, from 10 kHz on by 3 dB. Since limits of
// bass speakers count the power of the whole spectrum, 1 dB above 1 kHz moves them by
// 0.3 dB; 3 dB above 10 kHz do not matter.
func Programme(crest float64) Signal {
	return Signal{
		Name:  fmt.Sprintf("programme of IEC 60268-1, crest factor %.3g", crest),
		Lines: noise(20, 20e3, programme),
		Crest: crest,
	}
}

// programme interpolates the levels, of which the first is at 20 Hz and the 31st at
// 20 kHz.
func programme(hz float64) float64 {
	levels := [...]float64{
		-13.5, -10.2, -7.4, -5.2, -3.5, -2.3, -1.4, -0.9, -0.5, -0.2, // 20 to 160 Hz
		-0.1, 0, 0, 0, 0, 0, 0, -0.1, -0.3, -0.6, // 200 Hz to 1.6 kHz
		-1.0, -1.6, -2.5, -3.7, -5.1, -7.0, -9.0, -11.4, -13.8, -16.3, -18.9, // 2 to 20 kHz
	}
	at := 10 * math.Log10(hz/20)
	i := min(max(int(at), 0), len(levels)-2)
	return levels[i] + (at-float64(i))*(levels[i+1]-levels[i])
}

// noise returns the middles of cells of equal width over log f.
func noise(from, to float64, level func(hz float64) float64) []Line {
	octaves := math.Log2(to / from)
	n := cells(octaves, linesPerOctave)
	lines := make([]Line, n)
	for i := range lines {
		hz := from * math.Exp2(octaves*(float64(i)+0.5)/float64(n))
		lines[i] = Line{hz, math.Pow(10, level(hz)/10)}
	}
	return lines
}

// cells returns how many divide a range, and none if it is no range: [Signal.Check]
// then refuses the signal.
func cells(octaves, perOctave float64) int {
	if !(octaves > 0 && octaves < 100) {
		return 0
	}
	return int(math.Ceil(octaves * perOctave))
}

// Through returns the signal behind a filter. The voltage of noise is then that
// behind it, at the terminals; that of tones one after the other is what a tone in
// its pass band has, where the filter's gain is 1. The crest factor stays.
func (g Signal) Through(f rational.Func) Signal {
	return g.filtered("filtered", func(hz float64) float64 {
		a := cmplx.Abs(f.AtHz(hz))
		return a * a
	})
}

// HighPass returns the signal behind a Butterworth high-pass with half power at f; see
// [Signal.Through]. Below the tuning of a vented box little else holds the cone.
func (g Signal) HighPass(f units.Frequency, order int) Signal {
	return g.filtered(fmt.Sprintf("high-passed at %v (order %d)", f, order), func(hz float64) float64 {
		return 1 / (1 + math.Pow(float64(f)/hz, 2*float64(order)))
	})
}

func (g Signal) filtered(how string, gain2 func(hz float64) float64) Signal {
	g.Name += ", " + how
	lines := make([]Line, len(g.Lines))
	for i, l := range g.Lines {
		lines[i] = Line{l.Hz, l.Power * gain2(l.Hz)}
	}
	g.Lines = lines
	return g
}
