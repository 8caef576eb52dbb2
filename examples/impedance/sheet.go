package main

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
)

const sheetName = "sheet.toml"

// sheet writes the driver as the piece of a project file that holds its data sheet.
// What no impedance tells is as printed.
func (f found) sheet() []byte {
	s, p := f.result.Sheet(5), f.Printed
	var b bytes.Buffer
	fmt.Fprintf(&b, "[%s.sheet]          # %s, from its impedance\n", f.Driver, oneLine(f.Name))
	line := func(key, value string, given bool) {
		if given {
			fmt.Fprintf(&b, "%s = %s\n", key, value)
		}
	}
	number := func(key string, v float64) { line(key, fmt.Sprint(v), v > 0) }
	line("zn", exact(p.Zn), p.Zn > 0)
	line("re", exact(s.Re), s.Re > 0)
	line("fs", exact(s.Fs), s.Fs > 0)
	number("qms", s.Qms)
	number("qes", s.Qes)
	number("qts", s.Qts)
	line("vas", exact(s.Vas), s.Vas > 0)
	line("sd", exact(s.Sd), s.Sd > 0)
	line("mms", exact(s.Mms), s.Mms > 0)
	line("cms", exact(s.Cms), s.Cms > 0)
	line("rms", exact(s.Rms), s.Rms > 0)
	line("bl", exact(s.Bl), s.Bl > 0)
	number("creep", s.Creep)
	line("le1k", exact(s.Le1k), s.Le1k > 0)
	line("le10k", exact(s.Le10k), s.Le10k > 0)
	line("xmax", exact(p.Xmax), p.Xmax > 0)
	line("power", exact(p.Power), p.Power > 0)
	fmt.Fprintf(&b, "digits = %d\n", s.Digits)
	return b.Bytes()
}

// oneLine makes of a name what may stand in a comment: nothing in it ends the line, or
// cannot be seen.
func oneLine(name string) string {
	return strings.Join(strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsGraphic(r) || unicode.IsSpace(r) }), " ")
}

// exact writes a quantity, quoted, so that it is read back as it is.
func exact(q interface{ MarshalText() ([]byte, error) }) string {
	text, err := q.MarshalText()
	if err != nil {
		return `""` // not finite: no such figure gets here
	}
	return fmt.Sprintf("%q", text)
}
