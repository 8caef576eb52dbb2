package spread

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// A Comparison is of two designs, A and B, by a figure of which less is better.
type Comparison struct {
	Pairs       int
	Probability float64 // that B is better: the share of pairs, and half of those that are equal
	Gain        float64 // of B over A: the mean of the difference
	Noise       float64 // standard deviation of the difference
}

// Compare compares two designs by a figure of their draws, as [Draws.Flatness]; a and
// b are paired by index, so draw both with the same seed and drivers. A design with
// an infinite figure loses to one with a finite one; the gain is then infinite and
// the noise NaN.
//
// It panics if the lengths differ or are below 2.
func Compare(a, b []float64) Comparison {
	if len(a) != len(b) || len(a) < 2 {
		panic(fmt.Sprintf("spread: %d and %d figures: want as many of both, and two at least", len(a), len(b)))
	}
	c := Comparison{Pairs: len(a)}
	difference := make([]float64, len(a))
	for i := range a {
		switch {
		case b[i] == a[i]:
			c.Probability += 0.5
			continue // also if both are infinite
		case b[i] < a[i]:
			c.Probability++
		}
		difference[i] = a[i] - b[i]
	}
	c.Probability /= float64(len(a))
	c.Gain, c.Noise = stat.MeanStdDev(difference, nil)
	return c
}

// Indistinguishable compares as [Compare] does, and is true unless one of the two is
// better in at least the given share of pairs, as 0.9. Then whoever builds one of
// each cannot tell from the result which is the better design.
func Indistinguishable(a, b []float64, share float64) (Comparison, bool) {
	c := Compare(a, b)
	return c, !(math.Max(c.Probability, 1-c.Probability) >= share)
}
