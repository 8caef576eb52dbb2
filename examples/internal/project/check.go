package project

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
)

// Check reports the first thing that makes the project senseless, as a
// *[units.RangeError] whose field is the key in the file. What the packages of the
// library check is left to them.
func (p Project) Check() error {
	if err := finite("", reflect.ValueOf(p)); err != nil {
		return err
	}
	c := p.Crossover
	checks := []error{
		whole("speakers", p.Speakers, 1, 1000),
		whole("rules.parts", p.Rules.Parts, 0, 1000),
		whole("rules.sheets", p.Rules.Sheets, 0, 1000),
		units.NotNegative("rules.money", p.Rules.Money),
		units.NotNegative("rules.volume", p.Rules.Volume),
		units.NotNegative("rules.load", p.Rules.Load),
		words("rules.partkinds", p.Rules.PartKinds, "resistor", "coil", "capacitor"),
		words("rules.moneyfor", p.Rules.MoneyFor, "drivers", "crossover", "wood"),
		words("rules.volumeis", []string{p.Rules.VolumeIs}, "net", "gross", ""),
	}
	checks = append(checks, p.Woofer.check("woofer")...)
	checks = append(checks, p.Tweeter.check("tweeter")...)
	checks = append(checks,
		units.Positive("box.volume", p.Box.Volume),
		units.NotNegative("box.tuning", p.Box.Tuning),
		words("box.goal", []string{p.Box.Goal}, "lowest cut-off", "smallest box", "most output", ""),
		units.NotNegative("box.peak", p.Box.Peak),
		units.NotNegative("box.cutoff", p.Box.Cutoff),
		units.NotNegative("vent.inwall", p.Vent.InWall),
		units.NotNegative("vent.airspeed", p.Vent.AirSpeed),
		units.NotNegative("vent.room", p.Vent.Room),
		units.NotNegative("vent.x", p.Vent.X),
		units.NotNegative("vent.y", p.Vent.Y),
		whole("cabinet.layers", p.Cabinet.Layers, 0, 1000),
		whole("cabinet.spares", p.Cabinet.Spares, 0, 1000),
		units.NotNegative("cabinet.glue", p.Cabinet.Glue),
		units.NotNegative("cabinet.oversize", p.Cabinet.Oversize),
		units.Positive("sheet.thickness", p.Sheet.Thickness),
		units.NotNegative("sheet.known", p.Sheet.Known),
		units.NotNegative("sheet.trim", p.Sheet.Trim),
		units.NotNegative("sheet.price", p.Sheet.Price),
		units.Positive("crossover.frequency", c.Frequency),
		whole("crossover.lowpass", c.LowPass, 1, 4),
		whole("crossover.highpass", c.HighPass, 1, 4),
		units.NotNegative("crossover.trap", c.Trap),
		words("crossover.polarity", []string{c.Polarity}, "same", "inverted", ""),
		named("crossover.catalogue", c.Catalogue),
		whole("crossover.near", c.Near, 1, 50),
		whole("crossover.search", c.Search, 0, 7),
		units.NotNegative("crossover.resistorpower", c.ResistorPower),
		units.NotNegative("crossover.coilohms", c.CoilOhms),
		units.Positive("play.amplifier", p.Play.Amplifier),
		units.Positive("play.travel", p.Play.Travel),
		units.Positive("play.distance", p.Play.Distance),
		units.NotNegative("play.wall", p.Play.Wall),
	)
	if s := p.Sweeps; s != nil {
		checks = append(checks,
			named("sweeps.woofer.file", s.Woofer.File),
			named("sweeps.tweeter.file", s.Tweeter.File),
			named("sweeps.both.file", s.Both.File),
			units.Positive("sweeps.distance", s.Distance),
			band("sweeps", s.Lo, s.Hi))
	}
	if p.Vent.Length != 0 {
		checks = append(checks, refuse("vent.length", p.Vent.Length, "must be left out: it follows from the tuning"))
	}
	if t := p.Sheet; t.Known > 0 && !(t.Known < t.Thickness) {
		checks = append(checks, refuse("sheet.known", t.Known, "must be below its thickness"))
	}
	if c.Trap > 0 && c.LowPass < 2 {
		checks = append(checks, refuse("crossover.trap", c.Trap, "needs a low-pass of second order or more"))
	}
	return first(checks)
}

// check returns what is wrong with a driver and its curves, nils among it.
func (d Driver) check(key string) []error {
	var near []error
	if n := d.Near; n != nil {
		near = []error{named(key+".near.cone.file", n.Cone.File), band(key+".near", n.Lo, n.Hi)}
	}
	return append(near,
		units.Positive(key+".sheet.zn", d.Sheet.Zn),
		units.NotNegative(key+".price", d.Price),
		units.NotNegative(key+".x", d.X),
		units.NotNegative(key+".y", d.Y),
		units.NotNegative(key+".outer", d.Outer),
		units.NotNegative(key+".cutout", d.Cutout),
		units.NotNegative(key+".depth", d.Depth),
		units.NotNegative(key+".body", d.Body),
		units.NotNegative(key+".mass", d.Mass),
		units.NotNegative(key+".displaced", d.Displaced),
		units.Within(key+".centre", d.Centre, -1, 1),
		table(key+".impedance.file", d.Impedance.File, "its impedance in free air"),
		table(key+".response.file", d.Response.File, "its response"),
		units.Positive(key+".response.volts", d.Response.Volts),
		said(key+".response.taken", d.Response.Taken),
		units.NotNegative(key+".response.distance", d.Response.Distance),
		units.Within(key+".known", d.Known, 0, 1),
		units.NotNegative(key+".panel.curve.volts", d.Panel.Curve.Volts),
	)
}

// band refuses one that is upside down.
func band(key string, lo, hi units.Frequency) error {
	if err := units.Positive(key+".lo", lo); err != nil {
		return err
	}
	if !(hi > lo) {
		return refuse(key+".hi", hi, fmt.Sprintf("must be above %s.lo, %v", key, lo))
	}
	return nil
}

// said refuses a response of which nobody says how it was taken.
func said(key string, m response.Mounting) error {
	if m != response.Unsaid {
		return nil
	}
	return refuse(key, `""`, `must say how the response was taken: "half space" or "on a panel", say`)
}

func refuse(key string, value any, want string) error {
	return &units.RangeError{Field: key, Value: fmt.Sprint(value), Want: want}
}

func whole(key string, n, lo, hi int) error {
	if lo <= n && n <= hi {
		return nil
	}
	return refuse(key, n, fmt.Sprintf("must be from %d to %d", lo, hi))
}

func words(key string, given []string, allowed ...string) error {
	for _, w := range given {
		if !slices.Contains(allowed, w) {
			return refuse(key, fmt.Sprintf("%q", w), fmt.Sprintf("must be one of %q", allowed))
		}
	}
	return nil
}

func named(key, file string) error {
	if file == "" {
		return refuse(key, `""`, "must name a file")
	}
	return nil
}

// table refuses a driver without a curve that no data sheet replaces.
func table(key, file, of string) error {
	if file == "" {
		return refuse(key, `""`, fmt.Sprintf("must name a table of %s, measured or traced from the maker's plot; a data sheet alone is not enough", of))
	}
	return nil
}

// finite refuses plain numbers that are none: TOML knows inf and nan.
func finite(key string, v reflect.Value) error {
	switch v.Kind() {
	case reflect.Float64:
		if x := v.Float(); math.IsNaN(x) || math.IsInf(x, 0) {
			return refuse(key, x, "must be a finite number")
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return finite(key, v.Elem())
		}
	case reflect.Struct:
		for _, f := range reflect.VisibleFields(v.Type()) {
			if f.Anonymous {
				continue // its fields follow
			}
			if err := finite(strings.TrimPrefix(key+"."+strings.ToLower(f.Name), "."), v.FieldByIndex(f.Index)); err != nil {
				return err
			}
		}
	}
	return nil
}

func first(errs []error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
