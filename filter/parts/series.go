package parts

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"
)

// Series is a series of preferred values, named for how many of them there are in
// a decade.
//
// The values are those of IEC 60063, Preferred number series for resistors and
// capacitors: E3 to E24 with two digits, E48 to E192 with three.
type Series int

// The series of the standard.
const (
	E3   Series = 3
	E6   Series = 6
	E12  Series = 12
	E24  Series = 24
	E48  Series = 48
	E96  Series = 96
	E192 Series = 192
)

// e24 in tenths. Eight of them are not the rounded 10^(i/24): 2.7, 3.0, 3.3, 3.6,
// 3.9, 4.3, 4.7 and 8.2. Every second one is E12, every fourth E6, every eighth E3.
var e24 = [24]int{10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91}

// String returns the name, as "E12".
func (s Series) String() string { return "E" + strconv.Itoa(int(s)) }

// Values returns the values of one decade, from 1.0 up and below 10. Each is the
// floating-point number nearest to its decimal. It panics if s is not a series of
// the standard.
func (s Series) Values() []float64 {
	values := make([]float64, s.len())
	for i := range values {
		// A quotient of whole numbers is the number nearest to the decimal.
		values[i] = float64(s.hundredths(i)) / 100
	}
	return values
}

// Nearest returns the value of the series, in any decade, whose ratio to v is
// nearest to one: the boundary between two values is their geometric mean, and a
// tie goes to the lower. The result is the floating-point number nearest to its
// decimal, so 4.6e-6 gives exactly 4.7e-6 in [E12].
//
// It panics if v is not positive and finite, or s not a series of the standard.
func (s Series) Nearest(v float64) float64 {
	if !(v > 0) || math.IsInf(v, 0) {
		panic(fmt.Sprintf("parts: value %v: must be positive and finite", v))
	}
	decade := exponent(v)
	n := s.len()
	at := func(i int) float64 { return decimal(s.hundredths(i%n), decade+i/n) }

	// The decade begins at or below v, so there is always one below.
	above := sort.Search(n, func(i int) bool { return at(i) > v })
	lower, upper := at(above-1), at(above)
	if v/lower <= upper/v {
		return lower
	}
	return upper
}

// Between returns the values of the series from lo to hi, both included, ascending,
// over as many decades as that takes. Each is the floating-point number nearest to
// its decimal.
//
// It panics if lo is not positive, hi below lo or not finite, or s not a series of
// the standard.
func (s Series) Between(lo, hi float64) []float64 {
	if !(lo > 0 && hi >= lo) || math.IsInf(hi, 0) {
		panic(fmt.Sprintf("parts: values %v to %v: must be positive, finite and ascending", lo, hi))
	}
	var values []float64
	n := s.len()
	for i := n * exponent(lo); ; i++ {
		decade := int(math.Floor(float64(i) / float64(n)))
		v := decimal(s.hundredths(i-n*decade), decade)
		if v > hi {
			return values
		}
		if v >= lo {
			values = append(values, v)
		}
	}
}

// Bracket returns the largest value of the series that is not above v and the
// smallest that is not below it; both are v if it is a value of the series.
//
// It panics if v is not from 1e-300 to 1e300, or s not a series of the standard.
func (s Series) Bracket(v float64) (below, above float64) {
	if !(v >= 1e-300 && v <= 1e300) {
		panic(fmt.Sprintf("parts: value %v: must be from 1e-300 to 1e300", v))
	}
	near := s.Nearest(v)
	// The widest step of a series, of E3, is 2.2 and a little.
	around := s.Between(near/2.5, near*2.5)
	i, exact := slices.BinarySearch(around, v)
	if exact {
		return v, v
	}
	return around[i-1], around[i]
}

// exponent returns the decade of v, 0 for 1 up to 10, by the printed exponent, which
// is without the error of a logarithm.
func exponent(v float64) int {
	_, text, _ := strings.Cut(strconv.FormatFloat(v, 'e', -1, 64), "e")
	decade, _ := strconv.Atoi(text)
	return decade
}

// decimal returns hundredths/100 · 10^exponent, rounded once.
func decimal(hundredths, exponent int) float64 {
	v, _ := strconv.ParseFloat(fmt.Sprintf("%de%d", hundredths, exponent-2), 64)
	return v
}

func (s Series) len() int {
	switch s {
	case E3, E6, E12, E24, E48, E96, E192:
		return int(s)
	}
	panic(fmt.Sprintf("parts: no series %v", s))
}

// hundredths returns value i of the decade 1 to 10, times 100.
func (s Series) hundredths(i int) int {
	switch {
	case s <= E24:
		return 10 * e24[i*len(e24)/int(s)]
	case s == E192 && i == 185:
		return 920 // the standard's one exception to the rounded power, 9.19
	}
	return int(math.Round(100 * math.Pow(10, float64(i)/float64(s))))
}
