package spread

import (
	"fmt"
	"math"

	"example.com/halfspace/units"
)

// Bands returns the level on axis in dB below which each of the shares of all draws lies, by
// share and frequency: the smallest one drawn that is not below that share. So
// Bands(0.05, 0.5, 0.95) gives the median and the band in which nine of ten lie.
//
// It is an error if a share is not from 0 to 1.
func (d *Draws) Bands(shares ...float64) ([][]float64, error) {
	for _, p := range shares {
		if err := units.Within("spread: share of the draws", p, 0, 1); err != nil {
			return nil, err
		}
	}
	bands := make([][]float64, len(shares))
	ranks := make([]int, len(shares))
	for i, p := range shares {
		bands[i] = make([]float64, len(d.Hz))
		ranks[i] = rank(p, len(d.Level))
	}
	const wide = 8 // frequencies that are read together, as they stand together in memory
	share((len(d.Hz)+wide-1)/wide, 1, func() func(int) {
		var columns [wide][]float64
		for c := range columns {
			columns[c] = make([]float64, len(d.Level))
		}
		var pick picker
		values := make([]float64, len(ranks))
		return func(block int) {
			from := block * wide
			n := min(wide, len(d.Hz)-from)
			for i, level := range d.Level {
				for c, x := range level[from : from+n] {
					columns[c][i] = x
				}
			}
			for c := range n {
				pick.values(values, columns[c], ranks)
				for i, v := range values {
					bands[i][from+c] = v
				}
			}
		}
	})
	return bands, nil
}

// rank returns which of n values in ascending order, counted from 0, is the first that
// is not below a share of them. A share as 0.07 is not quite that of 7 in 100.
func rank(share float64, n int) int {
	return max(0, int(math.Ceil(share*float64(n)-1e-9))-1)
}

// Match returns how well two speakers of a pair match: draws 0 and 1 make the first
// pair, 2 and 3 the next. It is the RMS over the band of the difference of their
// levels on axis in dB, infinite if one of them has a null.
func (d *Draws) Match() []float64 {
	pairs := make([]float64, len(d.Level)/2)
	for i := range pairs {
		left, right := d.Level[2*i][d.from:d.to], d.Level[2*i+1][d.from:d.to]
		sum := 0.0
		for k, l := range left {
			x := l - right[k]
			if math.IsNaN(x) { // both are nulls
				x = 0
			}
			sum += float64(x * x)
		}
		pairs[i] = math.Sqrt(sum / float64(len(left)))
	}
	return pairs
}

// A Limit is what a speaker must keep; zero is no limit.
type Limit struct {
	Flatness, Ripple, Largest float64          // at most so many dB, as of [Figures]
	Load                      units.Resistance // at least
}

// A Yield is how many draws keep a limit.
type Yield struct {
	Kept, Draws   int
	Share, Lo, Hi float64 // of those kept, and the interval it lies in with the confidence asked for, see [ClopperPearson]
}

// Yield counts the draws that keep the limit. It is an error if a limit is negative
// or not finite, if there is none, or if the confidence is not above 0 and below 1.
func (d *Draws) Yield(l Limit, confidence float64) (Yield, error) {
	if l == (Limit{}) {
		return Yield{}, &units.RangeError{Field: "spread: limit:", Value: "none", Want: "must be one at least, of flatness, ripple, largest deviation or load"}
	}
	for _, x := range []struct {
		field string
		v     float64
	}{{"flatness in dB", l.Flatness}, {"ripple in dB", l.Ripple}, {"largest deviation in dB", l.Largest}} {
		if err := units.NotNegative("spread: limit of the "+x.field, x.v); err != nil {
			return Yield{}, err
		}
	}
	if err := units.NotNegative("spread: limit of the load", l.Load); err != nil {
		return Yield{}, err
	}
	y := Yield{Draws: len(d.Figures)}
	for _, f := range d.Figures {
		if within(f.Flatness, l.Flatness) && within(f.Ripple, l.Ripple) && within(f.Largest, l.Largest) && f.Load >= l.Load {
			y.Kept++
		}
	}
	y.Share = float64(y.Kept) / float64(y.Draws)
	var err error
	y.Lo, y.Hi, err = ClopperPearson(y.Kept, y.Draws, confidence)
	return y, err
}

func within(x, limit float64) bool { return limit == 0 || x <= limit }

func checkCount(k, n int, confidence float64) error {
	if n < 1 || k < 0 || k > n {
		return &units.RangeError{Field: "spread:", Value: fmt.Sprintf("%d of %d", k, n), Want: "must be from none to all of one at least"}
	}
	if !(confidence > 0 && confidence < 1) {
		return &units.RangeError{Field: "spread: confidence", Value: fmt.Sprint(confidence), Want: "must be above 0 and below 1"}
	}
	return nil
}
