package response

import (
	"math"
	"math/cmplx"
)

// DB returns the level of h in decibels re 1, 20 lg |h|; -Inf for zero.
func DB(h complex128) float64 { return 20 * math.Log10(cmplx.Abs(h)) }

// FromDB returns the magnitude of a level in decibels re 1.
func FromDB(level float64) float64 { return math.Pow(10, level/20) }

// Phase returns the phase of h in degrees, from -180 to 180.
func Phase(h complex128) float64 { return cmplx.Phase(h) * 180 / math.Pi }

// Unwrap writes to dst the phases, in degrees, plus whole turns such that no
// step exceeds half a turn, and returns dst. A nil dst is allocated; dst may be
// phase itself. It panics if the lengths differ otherwise.
func Unwrap(dst, phase []float64) []float64 {
	if dst == nil {
		dst = make([]float64, len(phase))
	}
	if len(dst) != len(phase) {
		panic("response: destination and phases differ in length")
	}
	unwrap(dst, phase, 360)
	return dst
}

func unwrap(dst, phase []float64, turn float64) {
	turns, last := 0., 0.
	for i, p := range phase {
		if i > 0 {
			// To even, so that a step of exactly half a turn stays as it is.
			turns -= math.RoundToEven((p - last) / turn)
		}
		last = p
		dst[i] = p + float64(turns*turn)
	}
}
