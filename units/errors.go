package units

import (
	"encoding"
	"fmt"
	"math"

	"golang.org/x/exp/constraints"
)

// A RangeError says which value was refused and what would be accepted. Every
// package of this module reports values out of range with it.
type RangeError struct {
	Field string // what was refused, as "box: volume"
	Value string // the value as a person reads it, with its unit
	Want  string // the limit, as "must be positive"
}

func (e *RangeError) Error() string { return fmt.Sprintf("%s %s: %s", e.Field, e.Value, e.Want) }

// Positive returns a *[RangeError] unless v is finite and above zero.
func Positive[Q constraints.Float](field string, v Q) error {
	if v > 0 && finite(v) {
		return nil
	}
	return &RangeError{Field: field, Value: fmt.Sprint(v), Want: "must be positive and finite"}
}

// NotNegative returns a *[RangeError] unless v is finite and zero or above.
func NotNegative[Q constraints.Float](field string, v Q) error {
	if v >= 0 && finite(v) {
		return nil
	}
	return &RangeError{Field: field, Value: fmt.Sprint(v), Want: "must be zero or positive, and finite"}
}

// Within returns a *[RangeError] unless v is finite and lo <= v <= hi.
func Within[Q constraints.Float](field string, v, lo, hi Q) error {
	if lo <= v && v <= hi && finite(v) {
		return nil
	}
	value, low, high := fmt.Sprint(v), fmt.Sprint(lo), fmt.Sprint(hi)
	if m, ok := any(v).(encoding.TextMarshaler); ok && (value == low || value == high) {
		// Rounded, the value would look acceptable: write all of its digits.
		if text, err := m.MarshalText(); err == nil {
			value = string(text)
		}
	}
	return &RangeError{Field: field, Value: value, Want: "must be from " + low + " to " + high}
}

// finite leaves NaN to the comparisons beside it, which NaN fails.
func finite[Q constraints.Float](v Q) bool { return !math.IsInf(float64(v), 0) }
