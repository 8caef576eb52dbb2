package response

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"example.com/halfspace/units"
)

// A Doubt is about something in a table that is allowed, and yet looks like a mistake.
type Doubt struct {
	Line   int    // where it shows, counted from 1; 0 if it is not known, or about the whole column
	Column int    // of the table, counted from 1
	Text   string // what looks odd, and what it may mean
}

func (d Doubt) String() string {
	if d.Line > 0 {
		return fmt.Sprintf("line %d, column %d: %s", d.Line, d.Column, d.Text)
	}
	return fmt.Sprintf("column %d: %s", d.Column, d.Text)
}

// Doubts returns what looks like a mistake in t if it is read as f says, for a person
// to decide. It raises none that would make [Table.Curve] fail, and looks at none of
// the columns that are not there. The thresholds are ours:
//
//   - A name says another unit than f: kHz, dB, ohm, Pa, deg, rad, or their signs.
//   - Frequencies end at 100 or below and begin below 1, a decade or more apart: of
//     audio tables in hertz none does, of those in kilohertz most do.
//   - A step of frequency is over three times the usual one of the eight around it,
//     in hertz and as a ratio: rows are missing.
//   - Levels in decibels are all positive, half of them below 30, the largest three times
//     the least or more: so are pascals and ohms, while sound pressure levels are higher
//     and levels relative to something go below zero. Or one is beyond ±300.
//   - Linear values all lie between 30 and 140: so do sound pressure levels, while no
//     loudspeaker has that many ohms everywhere, nor gives 30 Pa, 124 dB, everywhere.
//   - If f.Taken names a mounting, the largest pressure is above 500 Pa, 148 dB, or
//     below 0.1 mPa, 14 dB: the reference looks wrong.
//   - Phases in degrees never leave ±π while the level varies by 6 dB or more: radians,
//     since a level that varies turns the phase. Or all are zero: not measured.
//   - Phases in radians that are not wrapped, one being beyond a whole turn, jump by
//     over half a turn or climb by over a whole one: degrees.
//   - Phases step by over 135° from one row to the next, but for whole turns, and not in
//     a null, 6 dB below the level within four rows to either side, where they may: they
//     may unwrap to another curve. Nearly always a flight time is left in.
func (t *Table) Doubts(f Form) []Doubt {
	d := doubts{table: t}
	hz, level, phase := d.column(f.Frequency), d.column(f.Level), d.column(f.Phase)
	d.names(f)
	d.frequencies(f, hz)
	d.levels(f, level)
	if len(phase) == len(hz) && len(phase) == len(level) {
		d.phases(f, level, phase)
		d.steps(f, hz, level, phase)
	}
	return d.found
}

type doubts struct {
	table *Table
	found []Doubt
}

// column returns the column of that name, or nil.
func (d *doubts) column(name string) []float64 {
	if i := slices.Index(d.table.Names, name); i >= 0 {
		return d.table.Columns[i]
	}
	return nil
}

// add says that something shows in a row of a column, or in no single row if it is
// negative.
func (d *doubts) add(row int, column, format string, args ...any) {
	line := 0
	if row >= 0 && row < len(d.table.Lines) {
		line = d.table.Lines[row]
	}
	d.found = append(d.found, Doubt{line, slices.Index(d.table.Names, column) + 1, fmt.Sprintf(format, args...)})
}

// names looks for units in the names of columns.
func (d *doubts) names(f Form) {
	look := func(column, form string, against ...string) {
		if slices.Index(d.table.Names, column) < 0 {
			return
		}
		// Words of letters and signs: "SPL (dB)", "magnitude_ohm", "Phase, °".
		words := strings.FieldsFunc(column, func(r rune) bool {
			return !unicode.IsLetter(r) && !unicode.Is(unicode.So, r)
		})
		for _, w := range words {
			for _, unit := range against {
				if strings.EqualFold(w, unit) {
					d.add(-1, column, "is named %q, but read as %s", column, form)
					return
				}
			}
		}
	}
	look(f.Frequency, "hertz", "kHz")
	if f.Linear {
		look(f.Level, "linear", "dB", "dBSPL")
	} else {
		look(f.Level, "decibels", "Pa", "ohm", "ohms", "Ω")
	}
	if f.Radians {
		look(f.Phase, "radians", "deg", "degree", "degrees", "°")
	} else {
		look(f.Phase, "degrees", "rad", "radian", "radians")
	}
}

func (d *doubts) frequencies(f Form, hz []float64) {
	n := len(hz)
	if n < 2 {
		return
	}
	if hz[0] > 0 && hz[0] < 1 && hz[n-1] <= 100 && hz[n-1] >= 10*hz[0] {
		d.add(0, f.Frequency, "frequencies from %g to %g: kilohertz?", hz[0], hz[n-1])
	}
	for i := 1; i < n; i++ {
		usual, ratio := around(i, hz)
		if hz[i-1] > 0 && hz[i]-hz[i-1] > 3*usual && math.Log(hz[i]/hz[i-1]) > 3*ratio {
			d.add(i, f.Frequency, "nothing between %.6g and %.6g Hz, while steps around are about %.3g Hz: rows missing?", hz[i-1], hz[i], usual)
		}
	}
}

// around returns the usual step to the rows around row i, in hertz and as the
// logarithm of a ratio: medians of up to four steps on either side, of which the
// larger ones count where a table changes from fine to coarse. +Inf for fewer than
// three.
func around(i int, hz []float64) (usual, ratio float64) {
	var steps, ratios [8]float64
	n := 0
	for j := max(1, i-4); j <= min(i+4, len(hz)-1); j++ {
		if j != i {
			steps[n], ratios[n] = hz[j]-hz[j-1], math.Log(hz[j]/hz[j-1])
			n++
		}
	}
	if n < 3 {
		return math.Inf(1), math.Inf(1)
	}
	slices.Sort(steps[:n])
	slices.Sort(ratios[:n])
	return steps[n/2], ratios[n/2]
}

func (d *doubts) levels(f Form, level []float64) {
	if len(level) < 2 {
		return
	}
	low, high := slices.Min(level), slices.Max(level)
	lo, hi := slices.Index(level, low), slices.Index(level, high)
	switch {
	case !f.Linear && low > 0 && high >= 3*low && median(level) < 30:
		d.add(lo, f.Level, "levels from %.3g to %.3g dB, none negative: magnitudes, not decibels?", low, high)
		return
	case !f.Linear && high > 300:
		d.add(hi, f.Level, "a level of %.4g dB: a magnitude, not decibels?", high)
		return
	case !f.Linear && low < -300:
		d.add(lo, f.Level, "a level of %.4g dB: nothing was measured there?", low)
	case f.Linear && low >= 30 && high <= 140:
		d.add(lo, f.Level, "values from %.3g to %.3g: decibels, not magnitudes?", low, high)
		return
	}
	if f.Taken.Mounting == Unsaid {
		return
	}
	pressure := high
	if !f.Linear {
		pressure = FromDB(high)
		if f.Reference != 0 {
			pressure *= f.Reference
		}
	}
	if pressure > 500 || pressure < 1e-4 {
		d.add(hi, f.Level, "the largest pressure is %.3g Pa: is the reference right?", pressure)
	}
}

func median(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	return sorted[len(sorted)/2]
}

func (d *doubts) phases(f Form, level, phase []float64) {
	if len(phase) < 2 {
		return
	}
	low, high := slices.Min(phase), slices.Max(phase)
	far := slices.Index(phase, high)
	if -low > high {
		far = slices.Index(phase, low)
	}
	most := math.Max(-low, high)
	varies := slices.Max(level) - slices.Min(level)
	if f.Linear {
		varies = DB(complex(slices.Max(level)/slices.Min(level), 0))
	}
	switch {
	case low == 0 && high == 0:
		d.add(-1, f.Phase, "all phases are zero: leave the column out if they are not known")
	case !f.Radians && most <= 1.001*math.Pi && varies >= 6:
		d.add(far, f.Phase, "phases from %.3g to %.3g, while the level varies by %.3g dB: radians, not degrees?", low, high, varies)
	case f.Radians && most > 2*math.Pi:
		floor := phase[0]
		for i, p := range phase {
			switch {
			case i > 0 && math.Abs(p-phase[i-1]) > math.Pi:
				d.add(i, f.Phase, "phases go beyond a whole turn, and step from %.4g to %.4g: degrees, not radians?", phase[i-1], p)
				return
			case p > floor+2*math.Pi:
				d.add(i, f.Phase, "phases climb from %.4g to %.4g: degrees, not radians?", floor, p)
				return
			}
			floor = min(floor, p)
		}
	}
}

// steps looks for phases that may unwrap in two ways.
func (d *doubts) steps(f Form, hz, level, phase []float64) {
	turn := 360.
	if f.Radians {
		turn = 2 * math.Pi
	}
	const most = 135. / 360 // turns
	worst, at, count := 0., 0, 0
	for i := 1; i < len(phase); i++ {
		step := math.Abs(math.Remainder(phase[i]-phase[i-1], turn)) / turn
		if step > most && !null(i, level, f.Linear) {
			count++
			if step > worst {
				worst, at = step, i
			}
		}
	}
	if count == 0 {
		return
	}
	delay := units.Time(worst / (hz[at] - hz[at-1]))
	d.add(at, f.Phase, "the phase steps by %.0f° from %.6g to %.6g Hz, and in %s by over %.0f°: a flight time left in? A delay of %v does that",
		360*worst, hz[at-1], hz[at], plural(count, "place"), 360*most, delay)
}

// null says whether the level falls by 6 dB or more around the rows i−1 and i.
func null(i int, level []float64, linear bool) bool {
	low := min(level[i-1], level[i])
	side := min(slices.Max(level[max(0, i-5):i]), slices.Max(level[i:min(len(level), i+5)]))
	if linear {
		return side >= 2*low
	}
	return side >= low+6
}
