package units

import (
	"fmt"
	"strings"
)

// A spec says how one quantity is read and written.
type spec struct {
	name  string
	units []unit // what is read; messages list them in this order
	views []view // what is written; the first serves for zero

	people   func(v float64) string // writes for people instead of views
	bare     bool                   // a number without a unit is read too
	lettered bool                   // the letter code of IEC 60062 is read too
	feet     bool                   // feet with inches are read too
}

// A unit is (number + offset)·scale in SI. Both are exact decimals or fractions.
type unit struct {
	symbol string // as it is written in print
	keys   string // spellings that are read, in the form that key returns, between bars
	scale  string
	offset string // of a temperature scale, none elsewhere
}

// A view is a unit of 10^exponent in SI, written for magnitudes of at least from.
type view struct {
	symbol   string
	exponent int
	from     float64
}

// find returns the unit of a spelling.
func (s *spec) find(symbol string) (unit, error) {
	k := key(symbol)
	if k == "" && !s.bare {
		return unit{}, fmt.Errorf("no unit; write %s", s.accepted())
	}
	for _, u := range s.units {
		for spelling := range strings.SplitSeq(u.keys, "|") {
			if spelling == k {
				return u, nil
			}
		}
	}
	return unit{}, fmt.Errorf("unknown unit %.60q; write %s", symbol, s.accepted())
}

// accepted lists the units that are read.
func (s *spec) accepted() string {
	var list strings.Builder
	for i, u := range s.units {
		switch {
		case i == 0:
		case i == len(s.units)-1:
			list.WriteString(" or ")
		default:
			list.WriteString(", ")
		}
		list.WriteString(u.symbol)
	}
	return list.String()
}

// key returns the one form in which spellings of a unit are compared: no
// superscripts, one space for a product, small letters. An m or M at the
// beginning stays, since milli is not mega and the metre not molar.
func key(symbol string) string {
	k := strings.Join(strings.Fields(sameUnit.Replace(symbol)), " ")
	k = aroundSign.Replace(k)
	if !strings.HasPrefix(k, "M") {
		k = strings.ToLower(k)
	} else {
		k = "M" + strings.ToLower(k[1:])
	}
	if rest, ok := strings.CutPrefix(k, "u"); ok {
		k = "µ" + rest
	}
	return k
}

var (
	sameUnit = strings.NewReplacer(
		"²", "2", "³", "3", "^", "",
		"·", " ", "⋅", " ", "∙", " ", "*", " ",
		"μ", "µ", // Greek mu, micro sign
		"\u2126", "Ω", // ohm sign, Greek omega
		"″", `"`, "”", `"`, "“", `"`, "''", `"`, "′", "'", "’", "'",
		"℃", "°C", "℉", "°F", "º", "°",
		".", "",
	)
	aroundSign = strings.NewReplacer(" / ", "/", " /", "/", "/ ", "/", "° ", "°")
)
