package report

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// number writes x with a fixed number of decimals, at most nine digits in all, so
// that every machine writes the same. It is the one way numbers leave a program.
func number(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	if x != 0 {
		whole := int(math.Floor(math.Log10(math.Abs(x)))) + 1
		decimals = min(decimals, max(0, 9-whole))
	}
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-") // no negative zero
	}
	return s
}

// A num is a number in JSON with up to seven significant digits.
type num float64

func (n num) MarshalJSON() ([]byte, error) {
	x := float64(n)
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil, fmt.Errorf("report: a result is %g", x)
	}
	short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 7, 64), 64)
	if err != nil {
		return nil, err
	}
	return json.Marshal(short)
}
