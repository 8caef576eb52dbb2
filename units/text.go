package units

import (
	"encoding"
	"errors"
	"fmt"
	"math"
	"math/big"
	"strings"
)

// Parse reads a quantity: a number followed by its unit.
//
//	24 L   6.8 µF   37,8 Hz   3/4"   1-1/8 in   3' 4-1/8"   68 °F   4R7   0m82   85 %
//
// The result is the float64 nearest to the exact value of what was typed.
//
//   - Numbers: decimal point or comma, exponent, fraction, whole number with a
//     fraction (1 1/8 or 1-1/8). A comma is refused where it could separate
//     thousands: in 1,000 and in 1,000.5.
//   - Units: every quantity accepts those of its constants and their common
//     spellings; µ or u, Ω or ohm, cm³, cm3, cm^3 or cc, cu in or in³. Only
//     [Ratio] may stand without a unit, or in %.
//   - Capital letters matter where a unit begins with m or M (mH is accepted, MH is
//     not), elsewhere not (khz, HZ).
//   - Lengths may be feet with inches.
//   - Resistances, capacitances and inductances may be written in the letter code
//     of IEC 60062, in which the letter stands for the decimal point: 4R7, R47,
//     2k2, 4u7, 100n; inductances likewise: 330u, 1m2, m82. A capacitance in mF or m
//     is refused, since old parts mean µF by it.
//
// Text that cannot be read, is not finite or is too large for a float64 gives a
// *[ParseError].
func Parse[Q any, P interface {
	*Q
	encoding.TextUnmarshaler
}](text string) (Q, error) {
	var q Q
	err := P(&q).UnmarshalText([]byte(text))
	return q, err
}

// unmarshal leaves q alone unless the text is good.
func unmarshal[Q ~float64](q *Q, s *spec, text []byte) error {
	v, err := s.parse(string(text))
	if err != nil {
		return &ParseError{Quantity: s.name, Text: string(text), Problem: err.Error()}
	}
	*q = Q(v)
	return nil
}

// maxText is far beyond the longest number that means anything; it bounds the
// work that a text can cause.
const maxText = 1000

func (s *spec) parse(text string) (float64, error) {
	if len(text) > maxText {
		return 0, fmt.Errorf("longer than %d bytes", maxText)
	}
	text = tidy(text)
	if s.lettered {
		text = letterCode.ReplaceAllString(text, "$1$2.$4 $3")
	}
	exact, err := s.sum(text)
	if err != nil {
		return 0, err
	}
	v, _ := exact.Float64()
	switch {
	case math.IsInf(v, 0):
		return 0, errors.New("too large")
	case v == 0 && strings.HasPrefix(text, "-"):
		return math.Copysign(0, -1), nil // big.Rat has no negative zero
	}
	return v, nil
}

// sum reads feet with inches, and a single number with its unit otherwise.
func (s *spec) sum(text string) (*big.Rat, error) {
	if s.feet {
		if m := feetAndInches.FindStringSubmatch(text); m != nil {
			return s.feetInches(m[1], m[2], m[3])
		}
	}
	return s.single(text)
}

func (s *spec) feetInches(sign, feet, inches string) (*big.Rat, error) {
	whole, err := s.single(feet + " ft")
	if err != nil {
		return nil, err
	}
	part, err := s.single(inches)
	if err != nil {
		return nil, err
	}
	foot, _ := new(big.Rat).SetString("0.3048")
	if _, symbol, _ := number(inches); key(symbol) != "in" && key(symbol) != `"` || part.Cmp(foot) >= 0 {
		return nil, errors.New("feet must be followed by less than 12 inches")
	}
	whole.Add(whole, part)
	if sign == "-" {
		whole.Neg(whole)
	}
	return whole, nil
}

func (s *spec) single(text string) (*big.Rat, error) {
	if text == "" {
		return nil, errors.New("empty")
	}
	v, symbol, err := number(text)
	if err != nil {
		return nil, err
	}
	u, err := s.find(symbol)
	if err != nil {
		return nil, err
	}
	if u.offset != "" {
		offset, _ := new(big.Rat).SetString(u.offset)
		v.Add(v, offset)
	}
	scale, _ := new(big.Rat).SetString(u.scale)
	return v.Mul(v, scale), nil
}
