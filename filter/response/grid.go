package response

import "math"

// LogGrid returns frequencies evenly spaced in their logarithm from lo to hi,
// both exactly included, as few as give perDecade intervals or more to a decade.
// If the decades between lo and hi times perDecade are a whole number, that is
// the number of intervals. It panics unless 0 < lo < hi, finite, and perDecade > 0.
func LogGrid(lo, hi float64, perDecade int) []float64 {
	if !(lo > 0 && lo < hi) || math.IsInf(hi, 0) || perDecade <= 0 {
		panic("response: a grid needs 0 < lo < hi and at least one point a decade")
	}
	decades := math.Log10(hi / lo)
	n := max(1, int(math.Ceil(float64(decades*float64(perDecade))-1e-9)))
	hz := make([]float64, n+1)
	for i := range hz {
		hz[i] = lo * math.Pow(10, decades*float64(i)/float64(n))
	}
	hz[n] = hi
	return hz
}
