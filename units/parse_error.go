package units

import "fmt"

// A ParseError says which text was refused, why, and what would be accepted.
type ParseError struct {
	Quantity string // what was expected, as "volume"
	Text     string // what was found
	Problem  string // what is wrong with it, as "no unit; write L, cm³, m³, cu in or cu ft"
}

func (e *ParseError) Error() string {
	return fmt.Sprintf("%s %.60q: %s", e.Quantity, e.Text, e.Problem)
}
