package measure_test

import (
	"testing"

	"example.com/halfspace/ts/measure"
	"example.com/halfspace/units"
)

func TestEstimateText(t *testing.T) {
	for want, e := range map[string]measure.Estimate[units.Frequency]{
		"37.800 ± 0.050":  {Value: 37.8, Scatter: 0.03, Systematic: 0.04},
		"1205 ± 130":      {Value: 1204.6, Scatter: 130},
		"0.0142 ± 0.0010": {Value: 0.0142, Systematic: 0.001},
		"37.8":            {Value: 37.8},
		"0":               {},
	} {
		if e.String() != want {
			t.Errorf("got %q, want %q", e.String(), want)
		}
	}
	if sd := (measure.Estimate[float64]{Scatter: 3, Systematic: 4}).SD(); sd != 5 {
		t.Errorf("3 and 4 together are %v", sd)
	}
}
