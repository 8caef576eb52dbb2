package rational

import "math"

// A twice is an unevaluated sum of two floats, the second below the rounding of
// the first: about 32 digits. T. J. Dekker, "A floating-point technique for
// extending the available precision", Numerische Mathematik 18 (1971).
type twice struct{ hi, lo float64 }

// evaluateTwice returns the polynomial c at s like evaluate, with the
// intermediate results in twice the precision.
func evaluateTwice(c []float64, s complex128) complex128 {
	var re, im twice
	x, y := real(s), imag(s)
	for k := len(c) - 1; k >= 0; k-- {
		re, im = re.times(x).plus(im.times(-y)).plus(twice{c[k], 0}), re.times(y).plus(im.times(x))
	}
	return complex(re.hi, im.hi)
}

func (a twice) times(b float64) twice {
	p := float64(a.hi * b)
	return fastSum(p, float64(math.FMA(a.hi, b, -p))+float64(a.lo*b))
}

func (a twice) plus(b twice) twice {
	s := a.hi + b.hi
	t := s - a.hi
	e := (a.hi - (s - t)) + (b.hi - t)
	return fastSum(s, e+(a.lo+b.lo))
}

// fastSum needs |a| ≥ |b|.
func fastSum(a, b float64) twice {
	s := a + b
	return twice{s, b - (s - a)}
}
