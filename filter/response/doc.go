// Package response reads measured tables and makes curves of them: complex
// values over frequency, to be brought once onto the grid that a calculation
// uses.
//
//	table, err := response.Read(file)
//	curve, err := table.Curve(response.Form{Frequency: "Hz", Level: "dB", Phase: "deg"})
//	err = curve.Resample(h, hz)
//
// Between table and grid a curve can be
//
//   - looked at: [Table.Doubts] tells what in a table looks like a mistake,
//     [Limits.Judge] whether a curve keeps within a mask, [Curve.Mean] its level in a
//     band;
//   - smoothed: [Curve.Smooth], [Curve.InBands];
//   - scaled: [Curve.PerVolt], [Curve.Shift], [Curve.Delay];
//   - put together with others: [Average] and [AverageComplex], [Curve.Times] and
//     [Curve.Over], [NearField] and [Splice];
//   - given a phase, or made of an impulse response: [Curve.MinimumPhase],
//     [Impulse.Gate].
//
// What joins curves stands on the frequencies of the first, within the band where all
// are valid. A curve may say how it was taken ([Taken]) and from where on it is valid;
// what cannot be right then is refused: an average of drivers on a panel and in the
// half space, or a level below the lowest frequency of a gate. No operation changes
// the curves it is given; results may share their frequencies.
//
// Curves are in e^{+jωt}: a delay is a falling phase. A level says nothing of
// what it is relative to; [Form] does.
package response
