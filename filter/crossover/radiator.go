package crossover

import "gonum.org/v1/gonum/spatial/r3"

// A Radiator is a driver as it is mounted.
type Radiator interface {
	// Impedance writes the impedance at the terminals, in ohms, at the
	// frequencies hz, in hertz, to z.
	Impedance(z []complex128, hz []float64)

	// Pressure writes the pressure per volt at the terminals in the direction
	// toward, seen from the acoustic centre, to p: in Pa at 1 m, with the flight
	// time left out. Only the direction of toward counts, not its length.
	Pressure(p []complex128, hz []float64, toward r3.Vec)
}
