package response

import (
	"cmp"
	"fmt"
	"strings"

	"example.com/halfspace/units"
)

// A Mounting says where a driver sat when its pressure was taken, and where the
// microphone was.
type Mounting uint8

const (
	// Unsaid is a curve of which nobody said how it was taken. Only operations
	// that do not need to know accept it.
	Unsaid Mounting = iota
	// HalfSpace is a driver flush in a wall without end, or a curve that has been
	// brought to that.
	HalfSpace
	// OnPanel is a driver on a panel or cabinet of finite size in free field,
	// full space: what a listener without a room hears.
	OnPanel
	// OnFloor is the same with panel and microphone on a hard floor: half space,
	// twice the pressure of OnPanel.
	OnFloor
	// NearCone is a microphone close to the centre of cone or dome.
	NearCone
	// NearVent is a microphone in the plane of the mouth of a vent, at its centre.
	NearVent
)

var mountings = [...]string{"", "half space", "on a panel", "on the floor", "near the cone", "near the vent"}

func (m Mounting) String() string {
	switch {
	case m == Unsaid:
		return "unsaid"
	case int(m) < len(mountings):
		return mountings[m]
	}
	return fmt.Sprintf("Mounting(%d)", uint8(m))
}

// MarshalText returns the words of m; none for Unsaid.
func (m Mounting) MarshalText() ([]byte, error) {
	if int(m) >= len(mountings) {
		return nil, m.refuse(m.String())
	}
	return []byte(mountings[m]), nil
}

// UnmarshalText reads what MarshalText writes.
func (m *Mounting) UnmarshalText(text []byte) error {
	for i, words := range mountings {
		if words == string(text) {
			*m = Mounting(i)
			return nil
		}
	}
	return m.refuse(fmt.Sprintf("%q", text))
}

func (Mounting) refuse(value string) error {
	return &units.RangeError{Field: "response: mounting", Value: value,
		Want: fmt.Sprintf("must be one of %q", mountings[1:])}
}

// Taken says how a curve was taken, and with that what it contains besides the
// driver. The zero value says nothing.
type Taken struct {
	Mounting Mounting
	Panel    string        // of OnPanel and OnFloor: which one and where on it, in words
	Box      string        // enclosure behind the driver, in words; empty for none, the rear side free
	Distance units.Length  // from driver to microphone; zero is 1 m. Means nothing near cone or vent
	Voltage  units.Voltage // at the terminals; zero if the curve is per volt
}

// Check returns an error if t contradicts itself: a panel where there is none, a
// negative distance or voltage.
func (t Taken) Check() error {
	var panel error
	if t.Panel != "" && t.Mounting != OnPanel && t.Mounting != OnFloor {
		panel = &units.RangeError{Field: "response: panel", Value: fmt.Sprintf("%q", t.Panel),
			Want: fmt.Sprintf("must be left out of a curve taken %q", t.Mounting)}
	}
	_, mounting := t.Mounting.MarshalText()
	return cmp.Or(mounting, panel,
		units.NotNegative("response: distance", t.Distance),
		units.NotNegative("response: voltage", t.Voltage))
}

// full returns t with what zeros stand for.
func (t Taken) full() Taken {
	t.Distance = cmp.Or(t.Distance, units.Metre)
	t.Voltage = cmp.Or(t.Voltage, units.Volt)
	if t.Mounting == NearCone || t.Mounting == NearVent {
		t.Distance = 0 // it means nothing there
	}
	return t
}

// String says it in words, as "half space, 2.83 V, 1 m".
func (t Taken) String() string {
	words := []string{t.Mounting.String()}
	if t.Panel != "" {
		words[0] += " (" + t.Panel + ")"
	}
	if t.Box != "" {
		words = append(words, "in "+t.Box)
	}
	if t.Voltage != 0 {
		words = append(words, t.Voltage.String())
	}
	if t.Distance != 0 {
		words = append(words, t.Distance.String())
	}
	return strings.Join(words, ", ")
}
