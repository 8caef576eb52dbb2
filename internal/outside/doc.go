// Package outside lets ngspice and SciPy recompute what the other packages
// compute.
//
// The cases stand in cases/*.json, in SI units and without reference to any
// language: drivers and boxes, crossover networks, filters, vents, air. From them
// come
//
//   - decks for ngspice, written here part by part: the electrical circuit, the
//     moving mass on its spring, the air in box and vent, coupled as the physics
//     couples them. No formula of the other packages is in them.
//   - the scripts in scipy/, which use SciPy's own filter design, quadrature, root
//     finding and linear algebra.
//
// Their answers are kept in testdata/, so the tests here need only Go: they compare
// our library with the recordings. Where the tools are installed,
//
//	go run ./internal/outside/recompute
//
// runs them again and compares with the recordings; -write records anew. ngspice 39
// and SciPy 1.10 made those that stand here. The program in pace compares not results
// but time, with NumPy.
//
// # How close
//
// Everything agrees to 1e-9 unless a test says why not. A complex value is measured
// by its modulus: the distance is divided by the modulus of the outside value, so
// that level and phase are both held, also far down a filter's slope. Two things
// cannot be measured so and have a scale of their own: the real power in a part
// that stores much more than it burns, where the scale is the apparent power; and
// group delay and step response, where values near a zero crossing are differences
// of larger ones, and the scale is the largest of the curve. Wider than 1e-9 is only
// what an open end becomes as waves shorten, which our library has as a fit, within 0.8 %.
//
// The worst differences over all cases: boxes 3e-13; ladders 2e-10, which is the
// current of one small capacitor at 20 Hz, where ngspice solves for it beside currents
// ten thousand times larger (the others 5e-12); filters 3e-14; fits 1e-11; the rest 3e-12.
package outside
