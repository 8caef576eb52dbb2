package circuit

import (
	"encoding"
	"fmt"
	"strings"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// String writes a net list for people, rounded to four digits, in the form that
// [Circuit.UnmarshalText] reads.
func (c Circuit) String() string {
	return c.write(func(p ladder.Part) []string {
		fields := []string{units.Resistance(p.Value).String(), p.Resistance.String(), fmt.Sprintf("%.4g", p.Loss), fmt.Sprintf("%.4g %%", p.Tolerance.In(units.Percent))}
		switch p.Kind {
		case ladder.Inductor:
			fields[0] = units.Inductance(p.Value).String()
		case ladder.Capacitor:
			fields[0] = units.Capacitance(p.Value).String()
		}
		return fields
	})
}

// MarshalText writes a net list that UnmarshalText reads back to the same bits. It is
// an error if the circuit does not pass [Circuit.Check].
func (c Circuit) MarshalText() ([]byte, error) {
	if err := c.Check(); err != nil {
		return nil, err
	}
	text := c.write(func(p ladder.Part) []string {
		values := []encoding.TextMarshaler{units.Resistance(p.Value), p.Resistance, units.Ratio(p.Loss), p.Tolerance}
		switch p.Kind {
		case ladder.Inductor:
			values[0] = units.Inductance(p.Value)
		case ladder.Capacitor:
			values[0] = units.Capacitance(p.Value)
		}
		fields := make([]string, len(values))
		for i, v := range values {
			text, _ := v.MarshalText() // only fails for what Check refuses
			fields[i] = string(text)
		}
		return fields
	})
	return []byte(text), nil
}

// write writes the net list with value, resistance, loss factor and tolerance of a
// part as fields gives them.
func (c Circuit) write(fields func(ladder.Part) []string) string {
	var text strings.Builder
	for _, b := range c.Branches {
		p := b.Part
		f := fields(p)
		symbol, _, _ := strings.Cut(p.String(), " ")
		fmt.Fprintf(&text, "%s %s %s %s", b.From, b.To, symbol, f[0])
		if p.Resistance != 0 {
			text.WriteString("; " + f[1])
		}
		if p.Loss != 0 {
			text.WriteString("; tan δ " + f[2])
		}
		if p.Tolerance != 0 {
			text.WriteString("; ± " + f[3])
		}
		text.WriteByte('\n')
	}
	for _, l := range c.Loads {
		fmt.Fprintf(&text, "%s %s load %s\n", l.From, l.To, l.Name)
	}
	return text.String()
}

// UnmarshalText reads a net list, one part or load on a line: its two nodes, then R, L
// or C with a value, or the word load with a name. After a part and ; may come its
// series resistance, its loss factor with tan δ before it, and its tolerance with ±.
// Values are read as by [units.Parse]. What follows a # is a remark.
//
//	in  mid  C 10 µF; tan δ 0.0005; ± 5 %    # high-pass of the tweeter
//	mid 0    L 0.64 mH; 0.31 Ω
//	in  mid  load woofer
//	mid 0    load tweeter
//
// An error names line and column, both from 1, the column in characters; or it is
// that of [Circuit.Check]. After an error c is as it was.
func (c *Circuit) UnmarshalText(text []byte) error {
	var read Circuit
	for i, line := range strings.Split(string(text), "\n") {
		if column, err := read.readLine(line); err != nil {
			return fmt.Errorf("circuit: line %d, column %d: %w", i+1, column, err)
		}
	}
	if err := read.Check(); err != nil {
		return err
	}
	*c = read
	return nil
}

// readLine adds what a line says. An error comes with its column.
func (c *Circuit) readLine(line string) (int, error) {
	line, _, _ = strings.Cut(line, "#")
	rest := line
	column := func() int { return len([]rune(line)) - len([]rune(strings.TrimLeft(rest, " \t\r"))) + 1 }
	word := func() string {
		rest = strings.TrimLeft(rest, " \t\r")
		w := rest
		if k := strings.IndexAny(rest, " \t\r;"); k >= 0 {
			w = rest[:k]
		}
		rest = rest[len(w):]
		return w
	}
	if strings.TrimSpace(line) == "" {
		return 0, nil
	}
	from, to := word(), word()
	at := column()
	kind := word()
	var p ladder.Part
	switch kind {
	case "load":
		c.Loads = append(c.Loads, Load{strings.TrimSpace(rest), from, to})
		return 0, nil
	case "R":
	case "L":
		p.Kind = ladder.Inductor
	case "C":
		p.Kind = ladder.Capacitor
	default:
		return at, fmt.Errorf("%q: want two nodes, then R, L, C or load", kind)
	}
	for first := true; first || strings.HasPrefix(rest, ";"); first = false {
		rest = strings.TrimPrefix(rest, ";")
		at = column()
		field := rest
		if k := strings.IndexByte(rest, ';'); k >= 0 {
			field = rest[:k]
		}
		rest = rest[len(field):]
		if err := readField(&p, strings.TrimSpace(field), first); err != nil {
			return at, err
		}
	}
	c.Branches = append(c.Branches, Branch{from, to, p})
	return 0, nil
}

// readField reads the value of a part, or something else about it.
func readField(p *ladder.Part, text string, value bool) (err error) {
	if value {
		switch p.Kind {
		case ladder.Inductor:
			p.Value, err = parse[units.Inductance](text)
		case ladder.Capacitor:
			p.Value, err = parse[units.Capacitance](text)
		default:
			p.Value, err = parse[units.Resistance](text)
		}
		return err
	}
	var v float64
	if loss, ok := strings.CutPrefix(text, "tan δ"); ok {
		p.Loss, err = parse[units.Ratio](strings.TrimSpace(loss))
		return err
	}
	if tolerance, ok := strings.CutPrefix(text, "±"); ok {
		v, err = parse[units.Ratio](strings.TrimSpace(tolerance))
		p.Tolerance = units.Ratio(v)
		return err
	}
	v, err = parse[units.Resistance](text)
	p.Resistance = units.Resistance(v)
	return err
}

// parse is units.Parse for a number without its type.
func parse[Q ~float64, P interface {
	*Q
	UnmarshalText([]byte) error
}](text string) (float64, error) {
	v, err := units.Parse[Q, P](text)
	return float64(v), err
}
