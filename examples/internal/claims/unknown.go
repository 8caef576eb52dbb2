package claims

import (
	"fmt"
	"strings"

	"example.com/halfspace/examples/internal/nearest"
)

// unknown says that a name is not among those known, and which are near it.
func unknown(what, name string, known []string) string {
	near := nearest.Names(name, known)
	if len(near) == 0 {
		if len(known) > 12 {
			return fmt.Sprintf("no %s %s", what, quote(name))
		}
		near = known
		return fmt.Sprintf("no %s %s; there are %s", what, quote(name), strings.Join(near, ", "))
	}
	return fmt.Sprintf("no %s %s; near it are %s", what, quote(name), strings.Join(near, ", "))
}
