// Package measure finds the parameters of a loudspeaker driver from its measured
// impedance, and says how far to trust them.
//
//	fit := measure.Fit{Coil: measure.SemiInductance, Creep: true, Re: 5.8, Sd: 0.0136}
//	result, err := fit.Curves(
//		measure.Run{Curve: free},
//		measure.Run{Curve: heavier, Added: 12 * units.Gram},
//	)
//	driver, err := result.Driver()
//
// [Fit.Curves] takes all curves of one driver at once, in free air, with a mass on the
// cone or in a closed box, and fits one model to all of them. [ReadPeak] and the
// functions beside it are the classic way: a few numbers read off the curve.
//
// Every figure comes as an [Estimate] with two standard deviations: by the scatter of
// the points about the fitted curve, and by what no point can show, such as the
// resistance of the leads. [Result.Warnings] tells what the data cannot carry.
// Impedances are in ohms and in e^{+jωt}: an inductance has a positive phase.
package measure
