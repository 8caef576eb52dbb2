package main

import (
	"fmt"
	"strings"

	"example.com/halfspace/ts/measure"
	"example.com/halfspace/units/air"
)

// found is the driver, and what other ways say of it.
type found struct {
	job
	air    air.Air
	result measure.Result
	others []other
}

// other is the fit with another model of the coil.
type other struct {
	Model  measure.CoilModel
	Result measure.Result
	Err    error
}

func (j job) find() (found, error) {
	f := found{job: j, air: air.Standard()}
	if j.Air != nil {
		var err error
		if f.air, err = j.Air.Air(); err != nil {
			return f, err
		}
	}
	fit := measure.Fit{
		Coil: j.Coil, Creep: j.Creep, Re: j.Re, Leads: j.Leads, Sd: j.Sd, Mms: j.Mms,
		From: j.From, To: j.To, Accuracy: j.Accuracy, Air: f.air,
	}
	var err error
	if f.result, err = fit.Curves(j.runs...); err != nil {
		return f, j.named(err)
	}
	for _, m := range measure.CoilModels() {
		o := other{Model: m, Result: f.result}
		if m != j.Coil {
			fit.Coil = m
			o.Result, o.Err = fit.Curves(j.runs...)
		}
		f.others = append(f.others, o)
	}
	return f, nil
}

// named says which file the curve of an error is.
func (j job) named(err error) error {
	text := err.Error()
	for i, c := range j.Curve {
		if rest, ok := strings.CutPrefix(text, fmt.Sprintf("curve %d: ", i+1)); ok {
			return fmt.Errorf("curve %d, %s: %s", i+1, c.File, rest)
		}
	}
	return err
}
