package spread

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// ClopperPearson returns the interval in which a share lies of which k of n draws
// were, with at least the given confidence: outside it k or more, or k or fewer,
// would come up with less than half of what the confidence leaves (Clopper and
// Pearson, The use of confidence or fiducial limits illustrated in the case of the
// binomial, Biometrika 26, 1934; from memory). To 1e-9 or better.
//
// It is an error if k is not from 0 to n, n below 1, or the confidence not above 0
// and below 1.
func ClopperPearson(k, n int, confidence float64) (lo, hi float64, err error) {
	if err := checkCount(k, n, confidence); err != nil {
		return 0, 0, err
	}
	tail := (1 - confidence) / 2
	x, rest := float64(k), float64(n-k)
	lo, hi = 0, 1
	if k > 0 {
		lo = mathext.InvRegIncBeta(x, rest+1, tail)
	}
	if k < n {
		hi = 1 - mathext.InvRegIncBeta(rest, x+1, tail)
	}
	return lo, hi, nil
}

// Wilson returns the narrower interval whose confidence is right on average only:
// the shares p from which k/n is off by no more than z √(p(1-p)/n), with the normal
// quantile z (Wilson, Probable inference, the law of succession, and statistical
// inference, Journal of the American Statistical Association 22, 1927; from memory).
// The errors are those of [ClopperPearson].
func Wilson(k, n int, confidence float64) (lo, hi float64, err error) {
	if err := checkCount(k, n, confidence); err != nil {
		return 0, 0, err
	}
	z := mathext.NormalQuantile((1 + confidence) / 2)
	size, share := float64(n), float64(k)/float64(n)
	scale := 1 / (1 + z*z/size)
	middle := scale * (share + z*z/(2*size))
	reach := scale * z * math.Sqrt(share*(1-share)/size+z*z/(4*size*size))
	return max(0, middle-reach), min(1, middle+reach), nil
}
