package units

import (
	"math"
	"strconv"
	"strings"
)

// format writes v for people.
func (s *spec) format(v float64) string {
	if s.people != nil {
		return s.people(v)
	}
	w := s.view(v)
	return withUnit(shifted(v, 4, -w.exponent), w.symbol)
}

// marshal writes v exactly: the shortest decimals that give v in SI, with the
// point moved to suit the unit.
func (s *spec) marshal(v float64) ([]byte, error) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil, &RangeError{Field: s.name, Value: shifted(v, 0, 0), Want: "must be finite to be written as text"}
	}
	w := s.view(v)
	return []byte(withUnit(shifted(v, 0, -w.exponent), w.symbol)), nil
}

// view returns the view with the highest start that v reaches.
func (s *spec) view(v float64) view {
	best := s.views[0]
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return best
	}
	best = view{from: -1}
	for _, w := range s.views {
		if math.Abs(v) >= w.from && w.from > best.from {
			best = w
		}
	}
	return best
}

func withUnit(number, symbol string) string {
	if symbol == "" {
		return number
	}
	return number + " " + symbol
}

// shifted returns v·10^shift in decimals, rounded to a number of significant
// digits, or the shortest that tell v from its neighbours for 0 digits. The
// point is moved in the text, so nothing is rounded twice. Powers of ten appear
// only far outside the sizes that occur.
func shifted(v float64, digits, shift int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(v, 'e', digits-1, 64), "e")
	e, _ := strconv.Atoi(exponent)
	d, negative := strings.CutPrefix(strings.Replace(mantissa, ".", "", 1), "-")
	d = strings.TrimRight(d, "0")
	point := e + shift + 1 // digits before the point
	switch {
	case d == "":
		d = "0"
	case point > 12 || point < -5:
		if len(d) > 1 {
			d = d[:1] + "." + d[1:]
		}
		d += "e" + strconv.Itoa(point-1)
	case point <= 0:
		d = "0." + strings.Repeat("0", -point) + d
	case point >= len(d):
		d += strings.Repeat("0", point-len(d))
	default:
		d = d[:point] + "." + d[point:]
	}
	if negative {
		d = "-" + d
	}
	return d
}
