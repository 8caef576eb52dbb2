package document

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Number writes x for a table with a fixed number of decimals, but at most nine
// significant digits, so that every machine writes the same; nothing if x is no
// number.
func Number(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	for significant(s) > 9 {
		if decimals == 0 {
			return strconv.FormatFloat(x, 'g', 9, 64)
		}
		decimals--
		s = strconv.FormatFloat(x, 'f', decimals, 64)
	}
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-") // no negative zero
	}
	return s
}

// significant counts the digits of a number from the first that is not 0.
func significant(s string) int {
	return len(strings.TrimLeft(strings.ReplaceAll(s, ".", ""), "-0"))
}

// A Num is a number in JSON with up to seven significant digits.
type Num float64

func (n Num) MarshalJSON() ([]byte, error) {
	x := float64(n)
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil, fmt.Errorf("a result is %g", x)
	}
	short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 7, 64), 64)
	if err != nil {
		return nil, err
	}
	return json.Marshal(short + 0) // no negative zero
}
