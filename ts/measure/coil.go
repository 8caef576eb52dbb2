package measure

import (
	"fmt"
	"slices"
	"strings"
)

// A CoilModel says which parts of a [ts.Coil] are fitted. Over the whole audio band
// the power law and the semi-inductance fit real coils; a plain inductance bends every
// other figure with it unless the band ends at some ten times fs.
type CoilModel uint8

// The models of [ts.Coil].
const (
	PowerLaw       CoilModel = iota // K and N
	Plain                           // Leb
	TwoBranch                       // Leb, and Le beside Rss
	SemiInductance                  // Leb, and Le beside Ke and Rss
)

var coilNames = []string{"power law", "plain inductance", "two branches", "semi-inductance"}

// CoilModels returns all models, the one with the fewest parts first.
func CoilModels() []CoilModel { return []CoilModel{Plain, PowerLaw, TwoBranch, SemiInductance} }

func (c CoilModel) String() string {
	if int(c) < len(coilNames) {
		return coilNames[c]
	}
	return fmt.Sprintf("coil model %d", uint8(c))
}

// MarshalText implements [encoding.TextMarshaler].
func (c CoilModel) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText implements [encoding.TextUnmarshaler].
func (c *CoilModel) UnmarshalText(text []byte) error {
	i := slices.Index(coilNames, string(text))
	if i < 0 {
		return fmt.Errorf("measure: coil model %q: must be one of %s", text, strings.Join(coilNames, ", "))
	}
	*c = CoilModel(i)
	return nil
}

// parts names the fitted numbers of a model, in the order of the variables.
func (c CoilModel) parts() []string {
	switch c {
	case Plain:
		return []string{"Leb"}
	case TwoBranch:
		return []string{"Leb", "Le", "Rss"}
	case SemiInductance:
		return []string{"Leb", "Le", "Rss", "Ke"}
	default:
		return []string{"K", "N"}
	}
}
