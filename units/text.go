package units

import (
	"encoding"
	"fmt"
	"strconv"
)

// TEMPORARY SKELETON so that other packages compile; replaced by the real one.
type spec struct{ name string }

func (s *spec) format(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }
func (s *spec) marshal(v float64) ([]byte, error) {
	return strconv.AppendFloat(nil, v, 'g', -1, 64), nil
}
func unmarshal[Q ~float64](q *Q, s *spec, text []byte) error {
	v, err := strconv.ParseFloat(string(text), 64)
	*q = Q(v)
	return err
}

var frequencies, lengths, areas, volumes, masses, densities, compliances, mechanicalResistances, forceFactors, resistances, inductances, capacitances, voltages, currents, powers, pressureLevels, pressures, velocities, temperatures, angles, times, ratios, viscosities spec

// Parse reads a quantity with its unit.
func Parse[Q any, P interface {
	*Q
	encoding.TextUnmarshaler
}](text string) (Q, error) {
	var q Q
	err := P(&q).UnmarshalText([]byte(text))
	return q, err
}

var _ = fmt.Sprint
