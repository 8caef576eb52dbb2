package design

import (
	"math"
	"math/cmplx"
	"slices"

	"example.com/halfspace/filter/response"
)

// How far curves may stand from what the sheet of the same driver says before that
// looks like a mistake: common practice, no source. Drivers of one type scatter by
// half as much.
const (
	oddResonance = 1.3 // times
	oddRe        = 1.5 // least modulus over Re
	oddLevel     = 6   // dB
)

// sameDriver doubts an impedance, in free air on the grid, that is hardly of the driver
// on the sheet.
func (d *Design) sameDriver(key, file string, z []complex128) {
	model := d.driver(key).Model
	fs, re := float64(model.Fs()), float64(model.Re)
	modulus := make([]float64, len(z))
	for i := range z {
		modulus[i] = cmplx.Abs(z[i])
	}
	least := slices.Min(modulus)
	// The highest local peak; the coil may rise above it at the end of the grid.
	peak := 0
	for i := 1; i < len(z)-1; i++ {
		if modulus[i] > modulus[i-1] && modulus[i] >= modulus[i+1] && (peak == 0 || modulus[i] > modulus[peak]) {
			peak = i
		}
	}
	if at := d.Hz[peak]; peak == 0 {
		d.odd("%s: the impedance has no peak: is this the impedance of a driver?", file)
	} else if at > oddResonance*fs || at < fs/oddResonance {
		d.odd("%s: the impedance peaks at %.3g Hz, but the sheet's fs is %.3g Hz: are %s.sheet and this table of one driver, in free air?", file, at, fs, key)
	}
	// The modulus of a passive driver is nowhere below its Re.
	if least < 0.95*re || least > oddRe*re {
		d.odd("%s: the least impedance is %.3g Ω, but the sheet's Re is %.3g Ω: are %s.sheet and this table of one driver?", file, least, re, key)
	}
}

// sameLevel doubts a response, in half space on the grid, that is far from the level
// which follows from the sheet.
func (d *Design) sameLevel(key, file string, p []complex128) {
	lo, hi := 200., 800.
	if key == "tweeter" {
		lo, hi = 4000, 10000
	}
	sum, n := 0., 0
	for i, f := range d.Hz {
		if f >= lo && f <= hi {
			sum += response.DB(p[i] * complex(2.83/20e-6, 0))
			n++
		}
	}
	is, want := sum/float64(n), float64(d.driver(key).Model.SPL283(d.Air))
	if math.Abs(is-want) > oddLevel {
		d.odd("%s: %.1f dB at 1 m for 2.83 V, mean of %g Hz to %g Hz in half space, but %.1f dB follow from the sheet: are %s.sheet and this table of one driver, and volts and distance right?", file, is, lo, hi, want, key)
	}
}
