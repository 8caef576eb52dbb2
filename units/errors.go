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
	return refuseUnless(v > 0, field, v, "must be positive and finite")
}

// NotNegative returns a *[RangeError] unless v is finite and zero or above.
func NotNegative[Q constraints.Float](field string, v Q) error {
	return refuseUnless(v >= 0, field, v, "must be zero or positive, and finite")
}

// Within returns a *[RangeError] unless lo <= v <= hi.
func Within[Q constraints.Float](field string, v, lo, hi Q) error {
	err := refuseUnless(lo <= v && v <= hi, field, v, fmt.Sprintf("must be from %v to %v", lo, hi))
	if r, ok := err.(*RangeError); ok && (r.Value == fmt.Sprint(lo) || r.Value == fmt.Sprint(hi)) {
		// Rounded, the value would look acceptable: write all of its digits.
		if m, ok := any(v).(encoding.TextMarshaler); ok {
			if text, err := m.MarshalText(); err == nil {
				r.Value = string(text)
			}
		}
	}
	return err
}

// refuseUnless is written so that NaN is refused.
func refuseUnless[Q constraints.Float](ok bool, field string, v Q, want string) error {
	if ok && !math.IsInf(float64(v), 0) {
		return nil
	}
	return &RangeError{Field: field, Value: fmt.Sprint(v), Want: want}
}
