package parts

import (
	"io"
	"math"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// Owned is a part that lies in a drawer. Its Item has the value as measured, the
// uncertainty of the measurement as tolerance, no rating, no price, and a quantity
// of one.
type Owned struct {
	Item
	Nominal float64 // Ω, H or F
	Pair    string  // the same text on two parts of a pair; empty is single
}

// Drawer is what one owns. In one that is made by hand, rather than read, a pair
// letter stands on two parts of one kind.
type Drawer []Owned

// The columns of a drawer; the first two are those of a price list.
const (
	drawerNominal = iota + colKind + 1
	drawerMeasured
	drawerResistance
	drawerPair
	drawerNote
)

var drawerNames = []string{"id", "kind", "nominal", "measured", "resistance_ohm", "pair", "note"}

// ReadDrawer reads a list of measured parts as comma-separated values. The first
// line names the columns, and they stand in this order:
//
//	id              names the part, once in the list
//	kind            as in [ReadCatalogue]
//	nominal         what is printed on it, with its unit
//	measured        with its unit
//	resistance_ohm  in series, of a coil; for a capacitor it may be empty; for a
//	                resistor it is empty or repeats the measured value
//	pair            a letter that two parts of one kind and nominal value share, one
//	                for each speaker; empty for a single one
//	note            free text
//
// Lines that begin with # are comments. A loss factor is not measured, so that of a
// capacitor is zero; an old electrolytic has one of 0.05 or more. The uncertainty is
// that of the measurement, relative, as 0.01 for a meter good to one per cent. An
// error names the line and the column, the value, and what is wanted there.
func ReadDrawer(r io.Reader, uncertainty units.Ratio) (Drawer, error) {
	if !(uncertainty >= 0 && uncertainty < 1) {
		return nil, &units.RangeError{Field: "parts: uncertainty", Value: uncertainty.String(), Want: "must be zero or positive, and below 100 %"}
	}
	var d Drawer
	var records []*record
	pairs := map[string][]int{} // by letter, indices into d
	err := readLines(r, "drawer", drawerNames, func(rec *record) {
		o := rec.owned()
		o.Tolerance, o.Part.Tolerance = uncertainty, uncertainty
		if same := pairs[o.Pair]; o.Pair != "" && len(same) > 0 {
			if first := d[same[0]]; len(same) > 1 {
				rec.refuse(drawerPair, "must stand on two lines only")
			} else if first.Kind != o.Kind || first.Nominal != o.Nominal {
				rec.refuse(drawerPair, "must be of one kind and nominal value with "+first.ID)
			}
		}
		pairs[o.Pair] = append(pairs[o.Pair], len(d))
		d = append(d, o)
		records = append(records, rec)
	})
	if err != nil {
		return nil, err
	}
	for i, o := range d {
		if o.Pair != "" && len(pairs[o.Pair]) == 1 {
			records[i].refuse(drawerPair, "must stand on two lines, but stands on one")
			return nil, records[i].err
		}
	}
	return d, nil
}

func (r *record) owned() Owned {
	o := Owned{Pair: r.fields[drawerPair]}
	o.ID, o.Note, o.Quantity = r.fields[colID], r.fields[drawerNote], 1
	o.Kind = r.kind()
	o.Part.Kind = kinds[o.Kind].part
	switch o.Part.Kind {
	case ladder.Inductor:
		o.Nominal = float64(quantity[units.Inductance](r, drawerNominal))
		o.Part.Value = float64(quantity[units.Inductance](r, drawerMeasured))
		o.Part.Resistance = units.Resistance(r.number(drawerResistance))
	case ladder.Capacitor:
		o.Nominal = float64(quantity[units.Capacitance](r, drawerNominal))
		o.Part.Value = float64(quantity[units.Capacitance](r, drawerMeasured))
		if r.given(drawerResistance) {
			o.Part.Resistance = units.Resistance(r.number(drawerResistance))
		}
	case ladder.Resistor:
		o.Nominal = float64(quantity[units.Resistance](r, drawerNominal))
		o.Part.Value = float64(quantity[units.Resistance](r, drawerMeasured))
		if r.given(drawerResistance) && r.number(drawerResistance) != o.Part.Value {
			r.refuse(drawerResistance, "must be empty or the measured value of the resistor")
		}
	}
	return o
}

// Catalogue returns all parts, each once, for a single speaker.
func (d Drawer) Catalogue() Catalogue {
	c := make(Catalogue, len(d))
	for i, o := range d {
		c[i] = o.Item
	}
	return c
}

// Matched returns an item for each pair, once, for two speakers that are to be
// alike: its value, resistance and loss are the means of the two, its tolerance
// reaches to both of them and their uncertainties, its ID names both. Single parts
// are left out, and pairs so unlike that the tolerance would reach 100 %. The order
// is that in which the pairs are complete.
func (d Drawer) Matched() Catalogue {
	var c Catalogue
	first := map[string]Owned{}
	for _, b := range d {
		if b.Pair == "" {
			continue
		}
		a, ok := first[b.Pair]
		if !ok {
			first[b.Pair] = b
			continue
		}
		m := a.Item
		m.ID = a.ID + " & " + b.ID
		m.Part.Value = (a.Part.Value + b.Part.Value) / 2
		m.Part.Resistance = (a.Part.Resistance + b.Part.Resistance) / 2
		m.Part.Loss = (a.Part.Loss + b.Part.Loss) / 2
		off := func(o Owned, sign float64) float64 {
			return math.Abs(o.Part.Value*(1+sign*float64(o.Tolerance))/m.Part.Value - 1)
		}
		m.Tolerance = units.Ratio(max(off(a, 1), off(a, -1), off(b, 1), off(b, -1)))
		m.Part.Tolerance = m.Tolerance
		if m.Tolerance < 1 {
			c = append(c, m)
		}
	}
	return c
}
