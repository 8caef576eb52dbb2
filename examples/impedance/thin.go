package main

import (
	"fmt"
	"math"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// mostRows is how many rows of a curve are fitted. They stand 1.5 % apart from 10 Hz to
// 20 kHz: of a peak with a Q of 20 three lie above half its power and a dozen above a
// tenth. The fit's time grows faster than with the square of the rows.
const mostRows = 500

// rows says how many rows of a table lie in the band, and how many of them are used.
type rows struct{ used, of int }

func (r rows) String() string {
	if r.used == r.of {
		return fmt.Sprint(r.used)
	}
	return fmt.Sprintf("%d of %d", r.used, r.of)
}

// thin leaves of a long curve the rows nearest to places that stand evenly over the
// logarithm of frequency: in the band, below it and above it at most so many each. Rows
// are chosen and not averaged, so that each has the noise that was measured.
func thin(c response.Curve, from, to units.Frequency, most int) (response.Curve, rows) {
	lo, hi := 0, len(c.Hz) // of the band
	for lo < hi && c.Hz[lo] < float64(max(from, c.From)) {
		lo++
	}
	for hi > lo && to > 0 && c.Hz[hi-1] > float64(to) {
		hi--
	}
	out := c
	out.Hz, out.H = nil, nil
	add := func(first, end int) int {
		n := len(out.Hz)
		for _, i := range evenly(c.Hz[first:end], most) {
			out.Hz, out.H = append(out.Hz, c.Hz[first+i]), append(out.H, c.H[first+i])
		}
		return len(out.Hz) - n
	}
	add(0, lo)
	used := add(lo, hi)
	add(hi, len(c.Hz))
	return out, rows{used, hi - lo}
}

// evenly returns the indices of the frequencies nearest to so many places that stand
// evenly over the logarithm, each once, the first and the last among them; all, if
// there are no more.
func evenly(hz []float64, most int) []int {
	var chosen []int
	if len(hz) <= most {
		for i := range hz {
			chosen = append(chosen, i)
		}
		return chosen
	}
	last := len(hz) - 1
	span := math.Log(hz[last] / hz[0])
	at := 0
	for k := range most {
		// Between two frequencies that are as near it is the lower, whatever the last
		// digit says.
		place := hz[0] * math.Exp(span*float64(k)/float64(most-1)) * (1 - 1e-9)
		for at < last && hz[at+1]-place < math.Abs(place-hz[at]) {
			at++
		}
		if k == most-1 {
			at = last
		}
		if n := len(chosen); n == 0 || chosen[n-1] != at {
			chosen = append(chosen, at)
		}
	}
	return chosen
}
