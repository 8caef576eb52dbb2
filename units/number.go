package units

import (
	"errors"
	"fmt"
	"math/big"
	"regexp"
	"strconv"
	"strings"
)

var (
	signed   = regexp.MustCompile(`^([+-]?) ?(.*)$`)
	fraction = regexp.MustCompile(`^(?:(\d+)(?: | ?- |-))?(\d+) ?/ ?(\d+) ?(.*)$`)
	decimal  = regexp.MustCompile(`^([\d.,]+)(?:[eE]([+-]?\d+))? ?(.*)$`)

	startsWithDigit = regexp.MustCompile(`^\d`)

	// thousands is a comma that may separate thousands or decimals.
	thousands = regexp.MustCompile(`^[1-9]\d{0,2},\d{3}$`)
)

// tidy replaces what keyboards and typesetters write for the same thing.
func tidy(text string) string { return strings.Join(strings.Fields(sameNumber.Replace(text)), " ") }

var sameNumber = strings.NewReplacer(
	"−", "-", "–", "-", "⁄", "/",
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
)

// number reads the number that tidied text begins with, exactly, and returns
// the rest as it stands.
func number(text string) (v *big.Rat, rest string, err error) {
	m := signed.FindStringSubmatch(text)
	sign, text := m[1], m[2]
	if m = fraction.FindStringSubmatch(text); m != nil {
		v, err = mixed(m[1], m[2], m[3])
		rest = m[4]
	} else if m = decimal.FindStringSubmatch(text); m != nil {
		v, err = decimals(m[1], m[2])
		rest = m[3]
	} else {
		err = errors.New("does not begin with a number")
	}
	if err == nil && startsWithDigit.MatchString(rest) {
		err = errors.New("a space stands within the number")
	}
	if err != nil {
		return nil, "", err
	}
	if sign == "-" {
		v.Neg(v)
	}
	return v, rest, nil
}

func mixed(whole, numerator, denominator string) (*big.Rat, error) {
	if strings.Trim(denominator, "0") == "" {
		return nil, errors.New("division by zero")
	}
	// big.Rat would read a fraction with a leading zero as octal.
	n, _ := new(big.Int).SetString(numerator, 10)
	d, _ := new(big.Int).SetString(denominator, 10)
	v := new(big.Rat).SetFrac(n, d)
	if whole != "" {
		w, _ := new(big.Rat).SetString(whole)
		v.Add(v, w)
	}
	return v, nil
}

// maxExponent is far beyond what a float64 holds, and keeps big.Rat small.
const maxExponent = 1000

func decimals(mantissa, exponent string) (*big.Rat, error) {
	commas, points := strings.Count(mantissa, ","), strings.Count(mantissa, ".")
	switch {
	case commas > 0 && points > 0:
		return nil, fmt.Errorf("%s has a comma and a point; do not separate thousands", mantissa)
	case commas+points > 1:
		return nil, fmt.Errorf("%s has more than one decimal mark", mantissa)
	case thousands.MatchString(mantissa):
		return nil, fmt.Errorf("%s could mean %s or %s; write one of these", mantissa,
			strings.Replace(mantissa, ",", "", 1), strings.Replace(mantissa, ",", ".", 1))
	case len(mantissa) == commas+points:
		return nil, errors.New("does not begin with a number")
	}
	if exponent != "" {
		if e, err := strconv.Atoi(exponent); err != nil || e < -maxExponent || e > maxExponent {
			return nil, fmt.Errorf("exponent must be from -%d to %d", maxExponent, maxExponent)
		}
		exponent = "e" + exponent
	}
	v, ok := new(big.Rat).SetString(strings.Replace(mantissa, ",", ".", 1) + exponent)
	if !ok {
		return nil, errors.New("not a number")
	}
	return v, nil
}

// letterCode is a number with a letter for its decimal point; e is an exponent.
var letterCode = regexp.MustCompile(`^([+-]?)(\d*)([^\PLeE])(\d+)$`)

// feetAndInches splits at the first foot mark that has something behind it.
var feetAndInches = regexp.MustCompile(`^([+-]?) ?([^'′’a-z]+?) ?(?:['′’]|ft|feet|foot)(?: ?| ?- |-)(\d.*)$`)
