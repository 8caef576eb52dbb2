package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/halfspace/ts/measure"
	"example.com/halfspace/units"
)

// A figure is one number of the driver in the unit that people use for it.
type figure struct {
	Name, Unit                 string
	Value, Scatter, Systematic float64
	Cause                      string
	Printed                    float64 // zero: not given
}

func (f figure) sd() float64 { return math.Hypot(f.Scatter, f.Systematic) }

// decimals is as many as show two digits of the deviation, or five of the value.
func (f figure) decimals() int {
	of, digits := f.sd(), 2
	if !(of > 0) {
		of, digits = math.Abs(f.Value), 5
	}
	if of == 0 {
		return 0
	}
	return max(0, digits-1-int(math.Floor(math.Log10(of))))
}

func (f figure) text(v float64) string {
	return strings.TrimSpace(fmt.Sprintf("%.*f %s", f.decimals(), v, f.Unit))
}

// withSD writes value and deviation before their unit.
func (f figure) withSD() string {
	return strings.TrimSpace(fmt.Sprintf("%.*f ± %.*f %s", f.decimals(), f.Value, f.decimals(), f.sd(), f.Unit))
}

func figureOf[Q ~float64](name string, e measure.Estimate[Q], printed Q, unit Q, symbol string) figure {
	return figure{
		Name: name, Unit: symbol, Value: float64(e.Value / unit), Scatter: float64(e.Scatter / unit),
		Systematic: float64(e.Systematic / unit), Cause: e.Cause, Printed: float64(printed / unit),
	}
}

// figures lists what is known of the driver.
func (f found) figures() []figure {
	r, p, sheet := f.result, f.Printed, f.result.Sheet(0)
	all := []figure{
		figureOf("Re", r.Re, p.Re, units.Ohm, "Ω"),
		figureOf("fs", r.Fs, p.Fs, units.Hertz, "Hz"),
		figureOf("Qms", r.Qms, p.Qms, 1, ""),
		figureOf("Qes", r.Qes, p.Qes, 1, ""),
		figureOf("Qts", r.Qts, p.Qts, 1, ""),
		figureOf("Vas", r.Vas, p.Vas, units.Litre, "L"),
		figureOf("Sd", r.Sd, p.Sd, units.SquareCentimetre, "cm²"),
		figureOf("Mms", r.Mms, p.Mms, units.Gram, "g"),
		figureOf("Cms", r.Cms, p.Cms, units.MillimetrePerNewton, "mm/N"),
		figureOf("Rms", r.Rms, p.Rms, 1, "kg/s"),
		figureOf("Bl", r.Bl, p.Bl, 1, "T·m"),
		figureOf("creep", r.Creep, p.Creep, 1, ""),
		{Name: "Le at 1 kHz", Unit: "mH", Value: float64(sheet.Le1k / units.Millihenry), Printed: float64(p.Le1k / units.Millihenry)},
		{Name: "Le at 10 kHz", Unit: "mH", Value: float64(sheet.Le10k / units.Millihenry), Printed: float64(p.Le10k / units.Millihenry)},
	}
	return slices.DeleteFunc(all, func(x figure) bool { return x.Value == 0 })
}

// coil lists the parts of the coil's model.
func (f found) coil() []figure {
	c, sd := f.result.Coil, f.result.CoilScatter
	all := []figure{
		{Name: "Leb", Unit: "mH", Value: float64(c.Leb / units.Millihenry), Scatter: float64(sd.Leb / units.Millihenry)},
		{Name: "Le", Unit: "mH", Value: float64(c.Le / units.Millihenry), Scatter: float64(sd.Le / units.Millihenry)},
		{Name: "Ke", Unit: "Ω·√s", Value: c.Ke, Scatter: sd.Ke},
		{Name: "Rss", Unit: "Ω", Value: float64(c.Rss), Scatter: float64(sd.Rss)},
		{Name: "K", Unit: "Ω·s^N", Value: c.K, Scatter: sd.K},
		{Name: "N", Value: c.N, Scatter: sd.N},
	}
	return slices.DeleteFunc(all, func(x figure) bool { return x.Value == 0 })
}
