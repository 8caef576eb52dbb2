package golden

import (
	"math"
	"reflect"

	"github.com/google/go-cmp/cmp"
)

// Approx makes go-cmp compare floating-point and complex numbers of any defined
// type within fraction of the larger one, or within margin. cmpopts.EquateApprox
// would leave defined types such as units.Volume, and complex128, compared exactly.
func Approx(fraction, margin float64) cmp.Option {
	isNumber := func(p cmp.Path) bool {
		t := p.Last().Type()
		return t != nil && (t.Kind() == reflect.Float64 || t.Kind() == reflect.Complex128)
	}
	return cmp.FilterPath(isNumber, cmp.Comparer(func(x, y any) bool {
		a, b := reflect.ValueOf(x), reflect.ValueOf(y)
		if a.Kind() != b.Kind() {
			return false
		}
		if a.Kind() == reflect.Float64 {
			return near(a.Float(), b.Float(), fraction, margin)
		}
		return near(real(a.Complex()), real(b.Complex()), fraction, margin) &&
			near(imag(a.Complex()), imag(b.Complex()), fraction, margin)
	}))
}

// near never equates infinities of unlike sign, nor NaN with anything but NaN.
func near(x, y, fraction, margin float64) bool {
	if x == y || math.IsNaN(x) && math.IsNaN(y) {
		return true
	}
	if math.IsInf(x, 0) || math.IsInf(y, 0) {
		return false
	}
	return math.Abs(x-y) <= max(fraction*max(math.Abs(x), math.Abs(y)), margin)
}
