package measure

import (
	"fmt"
	"math"
	"strconv"

	"golang.org/x/exp/constraints"
)

// An Estimate is a figure with its standard deviations, in its own unit. All zero
// means that the figure does not follow from what was measured.
type Estimate[Q constraints.Float] struct {
	Value      Q
	Scatter    Q      // standard deviation by the scatter of the points
	Systematic Q      // standard deviation by what [Accuracy] states, the same in every point
	Cause      string // which of that weighs most; empty for none
}

// SD returns the standard deviation by scatter and systematic errors together.
func (e Estimate[Q]) SD() Q { return Q(math.Hypot(float64(e.Scatter), float64(e.Systematic))) }

// String writes the value with its standard deviation, to as many digits as that
// justifies. Quantities are written in their SI unit, without its name.
func (e Estimate[Q]) String() string {
	v, sd := float64(e.Value), float64(e.SD())
	if !(sd > 0) || v == 0 {
		return strconv.FormatFloat(v, 'g', 6, 64)
	}
	// Two digits of the deviation.
	decimals := 1 - int(math.Floor(math.Log10(sd)))
	if decimals < 0 {
		decimals = 0
	}
	return fmt.Sprintf("%.*f ± %.*f", decimals, v, decimals, sd)
}
