// Package response reads measured tables and makes curves of them: complex
// values over frequency, to be brought once onto the grid that a calculation
// uses.
//
//	table, err := response.Read(file)
//	curve, err := table.Curve(response.Form{Frequency: "Hz", Level: "dB", Phase: "deg"})
//	err = curve.Resample(h, hz)
//
// Curves are in e^{+jωt}: a delay is a falling phase. A level says nothing of
// what it is relative to; [Form] does.
package response
