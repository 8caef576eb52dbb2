package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"

	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/examples/internal/tomlfile"
	"example.com/halfspace/filter/response"
	"example.com/halfspace/ts"
	"example.com/halfspace/ts/measure"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A job is the project file: curves of one driver, and what else is known.
type job struct {
	Name   string
	Driver string // of a project that the result is for: woofer or tweeter

	Coil     measure.CoilModel
	Creep    bool
	Re       units.Resistance
	Leads    units.Resistance
	Sd       units.Area
	Mms      units.Mass
	From, To units.Frequency
	Air      *air.Conditions // nil: the standard air of the literature
	Accuracy measure.Accuracy
	Curve    []table
	Printed  ts.Sheet

	runs   []measure.Run // of long tables some rows
	rows   []rows        // of each
	doubts []string
}

// A table is one curve.
type table struct {
	File, Frequency, Modulus, Phase string
	Radians                         bool
	Added                           units.Mass
	Box                             units.Volume
}

// mostCurves is how many the names of the tables are made for.
const mostCurves = 6

func load(src project.Source, settings []string) (job, error) {
	var j job
	name := src.Shown + src.Name
	text, err := fs.ReadFile(src.Files, src.Name)
	if errors.Is(err, fs.ErrNotExist) {
		return j, fmt.Errorf("%s: no such file", name)
	} else if err != nil {
		return j, fmt.Errorf("%s: %w", name, err)
	}
	if err := tomlfile.Decode(bytes.TrimPrefix(text, []byte("\ufeff")), &j); err != nil {
		return j, fmt.Errorf("%s:%w", name, err)
	}
	for _, set := range settings {
		if err := tomlfile.Set(set, "leads=0.1ohm", &j); err != nil {
			return j, fmt.Errorf("-set %s: %w", set, err)
		}
	}
	switch {
	case j.Driver != "woofer" && j.Driver != "tweeter":
		return j, fmt.Errorf("%s: driver %q: must be woofer or tweeter", name, j.Driver)
	case len(j.Curve) == 0:
		return j, fmt.Errorf("%s: no [[curve]]: must have at least one", name)
	case len(j.Curve) > mostCurves:
		return j, fmt.Errorf("%s: %d curves: must be at most %d", name, len(j.Curve), mostCurves)
	}
	if err := j.Printed.Check(); err != nil {
		return j, fmt.Errorf("%s: printed: %w", name, err)
	}
	for i, t := range j.Curve {
		c, doubts, err := read(src, t)
		if err != nil {
			return j, err
		}
		for _, d := range doubts {
			j.doubts = append(j.doubts, fmt.Sprintf("curve %d: %s: %v.", i+1, t.File, d))
		}
		c, n := thin(c, j.From, j.To, mostRows)
		j.rows = append(j.rows, n)
		j.runs = append(j.runs, measure.Run{Curve: c, Added: t.Added, Box: t.Box})
	}
	return j, nil
}

func read(src project.Source, t table) (c response.Curve, doubts []response.Doubt, err error) {
	if !t.Radians {
		return src.Curve(project.Curve{File: t.File, Frequency: t.Frequency, Level: t.Modulus, Phase: t.Phase}, true)
	}
	f, err := src.Files.Open(t.File)
	if err != nil {
		return c, nil, fmt.Errorf("%s%s: no such file", src.Shown, t.File)
	}
	defer f.Close()
	form := response.Form{Frequency: t.Frequency, Level: t.Modulus, Phase: t.Phase, Linear: true, Radians: true}
	columns, err := response.Read(f)
	if err == nil {
		c, err = columns.Curve(form)
	}
	if err != nil {
		return c, nil, fmt.Errorf("%s%s: %w", src.Shown, t.File, err)
	}
	return c, columns.Doubts(form), nil
}
