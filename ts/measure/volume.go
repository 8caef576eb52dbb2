package measure

import (
	"cmp"
	"fmt"

	"example.com/halfspace/units"
)

// VasInClosed returns the compliance volume of a driver from its resonance and
// electrical Q in free air and in a closed box of net volume v,
//
//	Vas = v (fc Qec/(fs Qes) − 1)
//
// which holds also if the air load in the box changes the moving mass. With a mass
// that stays the same, Qec/Qes is fc/fs; taking it as that when it is not gave 3.8 per
// cent too little for 3 per cent more mass in an example (R. H. Small, "Direct-Radiator
// Loudspeaker System Analysis", J. Audio Eng. Soc. 20(5), 1972, appendix, from memory).
// The error says that a figure is not positive or that the box does not stiffen.
func VasInClosed(fs units.Frequency, qes float64, fc units.Frequency, qec float64, v units.Volume) (units.Volume, error) {
	if err := cmp.Or(
		units.Positive("measure: fs", fs),
		units.Positive("measure: Qes", qes),
		units.Positive("measure: fc", fc),
		units.Positive("measure: Qec", qec),
		units.Positive("measure: box volume", v),
	); err != nil {
		return 0, err
	}
	if !(float64(fc)*qec > float64(fs)*qes) {
		return 0, &units.RangeError{Field: "measure: fc", Value: fmt.Sprintf("%v with Qec %.4g", fc, qec),
			Want: fmt.Sprintf("must with its Q be above fs, %v with Qes %.4g: a box stiffens", fs, qes)}
	}
	return v * units.Volume(float64(fc/fs)*qec/qes-1), nil
}

// VasInVented returns compliance volume and free-air resonance of a driver from the
// three frequencies of its impedance in a lossless vented box of net volume v: the
// peaks fl and fh, and fb, the minimum between them,
//
//	Vas = v (fh² − fb²)(fb² − fl²)/(fh² fl²),  fs = fl fh/fb
//
// (R. H. Small, "Vented-Box Loudspeaker Systems", J. Audio Eng. Soc. 21, 1973, from
// memory). The minimum shifts with inductance and losses, which this leaves out.
func VasInVented(fl, fb, fh units.Frequency, v units.Volume) (vas units.Volume, fs units.Frequency, err error) {
	if err := cmp.Or(
		units.Positive("measure: lower peak", fl),
		units.Positive("measure: fb", fb),
		units.Positive("measure: upper peak", fh),
		units.Positive("measure: box volume", v),
	); err != nil {
		return 0, 0, err
	}
	if !(fl < fb && fb < fh) {
		return 0, 0, &units.RangeError{Field: "measure: fb", Value: fb.String(),
			Want: fmt.Sprintf("must be between the peaks, %v and %v", fl, fh)}
	}
	// Without products of fourth order, which lose digits or overflow.
	h, l := float64(fb/fh), float64(fb/fl)
	return v * units.Volume((1-h*h)*(l*l-1)), fl * (fh / fb), nil
}
