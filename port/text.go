package port

import (
	"fmt"
	"strings"
)

// MarshalText writes the words of String: "free", "flanged", "along a wall",
// "in a corner", "across the box", "in a duct".
func (m Mouth) MarshalText() ([]byte, error) {
	if m > InDuct {
		return nil, fmt.Errorf("port: no such mouth: %d", m)
	}
	return []byte(m.String()), nil
}

// UnmarshalText reads what MarshalText writes.
func (m *Mouth) UnmarshalText(text []byte) error {
	var words []string
	for k := Free; k <= InDuct; k++ {
		if k.String() == string(text) {
			*m = k
			return nil
		}
		words = append(words, k.String())
	}
	return fmt.Errorf("port: mouth %q: must be one of %s", text, strings.Join(words, ", "))
}
