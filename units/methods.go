package units

// In returns v as a plain number of the given unit.
func (v Frequency) In(unit Frequency) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Frequency) String() string { return frequencies.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Frequency) MarshalText() ([]byte, error) { return frequencies.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Frequency) UnmarshalText(text []byte) error { return unmarshal(v, &frequencies, text) }

// In returns v as a plain number of the given unit.
func (v Length) In(unit Length) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Length) String() string { return lengths.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Length) MarshalText() ([]byte, error) { return lengths.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Length) UnmarshalText(text []byte) error { return unmarshal(v, &lengths, text) }

// In returns v as a plain number of the given unit.
func (v Area) In(unit Area) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Area) String() string { return areas.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Area) MarshalText() ([]byte, error) { return areas.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Area) UnmarshalText(text []byte) error { return unmarshal(v, &areas, text) }

// In returns v as a plain number of the given unit.
func (v Volume) In(unit Volume) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Volume) String() string { return volumes.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Volume) MarshalText() ([]byte, error) { return volumes.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Volume) UnmarshalText(text []byte) error { return unmarshal(v, &volumes, text) }

// In returns v as a plain number of the given unit.
func (v Mass) In(unit Mass) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Mass) String() string { return masses.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Mass) MarshalText() ([]byte, error) { return masses.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Mass) UnmarshalText(text []byte) error { return unmarshal(v, &masses, text) }

// In returns v as a plain number of the given unit.
func (v Density) In(unit Density) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Density) String() string { return densities.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Density) MarshalText() ([]byte, error) { return densities.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Density) UnmarshalText(text []byte) error { return unmarshal(v, &densities, text) }

// In returns v as a plain number of the given unit.
func (v Compliance) In(unit Compliance) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Compliance) String() string { return compliances.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Compliance) MarshalText() ([]byte, error) { return compliances.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Compliance) UnmarshalText(text []byte) error { return unmarshal(v, &compliances, text) }

// In returns v as a plain number of the given unit.
func (v MechanicalResistance) In(unit MechanicalResistance) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v MechanicalResistance) String() string { return mechanicalResistances.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v MechanicalResistance) MarshalText() ([]byte, error) {
	return mechanicalResistances.marshal(float64(v))
}

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *MechanicalResistance) UnmarshalText(text []byte) error {
	return unmarshal(v, &mechanicalResistances, text)
}

// In returns v as a plain number of the given unit.
func (v ForceFactor) In(unit ForceFactor) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v ForceFactor) String() string { return forceFactors.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v ForceFactor) MarshalText() ([]byte, error) { return forceFactors.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *ForceFactor) UnmarshalText(text []byte) error { return unmarshal(v, &forceFactors, text) }

// In returns v as a plain number of the given unit.
func (v Resistance) In(unit Resistance) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Resistance) String() string { return resistances.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Resistance) MarshalText() ([]byte, error) { return resistances.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Resistance) UnmarshalText(text []byte) error { return unmarshal(v, &resistances, text) }

// In returns v as a plain number of the given unit.
func (v Inductance) In(unit Inductance) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Inductance) String() string { return inductances.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Inductance) MarshalText() ([]byte, error) { return inductances.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Inductance) UnmarshalText(text []byte) error { return unmarshal(v, &inductances, text) }

// In returns v as a plain number of the given unit.
func (v Capacitance) In(unit Capacitance) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Capacitance) String() string { return capacitances.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Capacitance) MarshalText() ([]byte, error) { return capacitances.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Capacitance) UnmarshalText(text []byte) error { return unmarshal(v, &capacitances, text) }

// In returns v as a plain number of the given unit.
func (v Voltage) In(unit Voltage) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Voltage) String() string { return voltages.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Voltage) MarshalText() ([]byte, error) { return voltages.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Voltage) UnmarshalText(text []byte) error { return unmarshal(v, &voltages, text) }

// In returns v as a plain number of the given unit.
func (v Current) In(unit Current) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Current) String() string { return currents.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Current) MarshalText() ([]byte, error) { return currents.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Current) UnmarshalText(text []byte) error { return unmarshal(v, &currents, text) }

// In returns v as a plain number of the given unit.
func (v Power) In(unit Power) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Power) String() string { return powers.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Power) MarshalText() ([]byte, error) { return powers.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Power) UnmarshalText(text []byte) error { return unmarshal(v, &powers, text) }

// In returns v as a plain number of the given unit.
func (v PressureLevel) In(unit PressureLevel) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v PressureLevel) String() string { return pressureLevels.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v PressureLevel) MarshalText() ([]byte, error) { return pressureLevels.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *PressureLevel) UnmarshalText(text []byte) error { return unmarshal(v, &pressureLevels, text) }

// In returns v as a plain number of the given unit.
func (v Pressure) In(unit Pressure) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Pressure) String() string { return pressures.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Pressure) MarshalText() ([]byte, error) { return pressures.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Pressure) UnmarshalText(text []byte) error { return unmarshal(v, &pressures, text) }

// In returns v as a plain number of the given unit.
func (v Velocity) In(unit Velocity) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Velocity) String() string { return velocities.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Velocity) MarshalText() ([]byte, error) { return velocities.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Velocity) UnmarshalText(text []byte) error { return unmarshal(v, &velocities, text) }

// In returns v as a plain number of the given unit.
func (v Temperature) In(unit Temperature) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Temperature) String() string { return temperatures.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Temperature) MarshalText() ([]byte, error) { return temperatures.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Temperature) UnmarshalText(text []byte) error { return unmarshal(v, &temperatures, text) }

// In returns v as a plain number of the given unit.
func (v Angle) In(unit Angle) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Angle) String() string { return angles.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Angle) MarshalText() ([]byte, error) { return angles.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Angle) UnmarshalText(text []byte) error { return unmarshal(v, &angles, text) }

// In returns v as a plain number of the given unit.
func (v Time) In(unit Time) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Time) String() string { return times.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Time) MarshalText() ([]byte, error) { return times.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Time) UnmarshalText(text []byte) error { return unmarshal(v, &times, text) }

// In returns v as a plain number of the given unit.
func (v Ratio) In(unit Ratio) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Ratio) String() string { return ratios.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Ratio) MarshalText() ([]byte, error) { return ratios.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Ratio) UnmarshalText(text []byte) error { return unmarshal(v, &ratios, text) }

// In returns v as a plain number of the given unit.
func (v Viscosity) In(unit Viscosity) float64 { return float64(v / unit) }

// String writes v for people, rounded to four significant digits.
func (v Viscosity) String() string { return viscosities.format(float64(v)) }

// MarshalText writes v so that it parses back to the same bits. NaN and infinities give a *[RangeError].
func (v Viscosity) MarshalText() ([]byte, error) { return viscosities.marshal(float64(v)) }

// UnmarshalText reads a number with its unit, see [Parse]. After an error v is as it was.
func (v *Viscosity) UnmarshalText(text []byte) error { return unmarshal(v, &viscosities, text) }
