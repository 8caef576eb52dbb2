package outside

import "strconv"

// Deck returns the network into its load as a circuit driven with 1 V at hz. The
// driver in its baffle is its voice coil in series with what motion looks like from
// the electrical side: mass as a capacitor, suspension as an inductor, losses as a
// resistor, all in parallel (the other analogy than that of [Box.Deck]).
//
// It answers current (from the source), load (voltage), load current, and for each
// part, numbered along the signal path, v0, i0, v1, i1 ...
func (l Ladder) Deck(drivers Drivers, hz float64) *Deck {
	d := &Deck{hz: hz}
	d.add("V", "in 0 dc 0 ac 1")
	at := d.node()
	d.ask("current", "i("+d.meter("in", at)+")")
	part := 0
	put := func(a, b string, p Part) {
		top := d.node()
		through := d.meter(a, top)
		var loss float64
		if p.Kind == "C" {
			loss = p.Loss / (d.omega() * p.Value)
		}
		d.chain(top, b, element{p.Kind, p.Value}, element{"R", p.Resistance}, element{"R", loss})
		d.ask("v"+strconv.Itoa(part), "v("+a+","+b+")")
		if b == "0" {
			d.asked[len(d.asked)-1] = "v(" + a + ")"
		}
		d.ask("i"+strconv.Itoa(part), "i("+through+")")
		part++
	}
	for _, a := range l.Arms {
		if !a.Shunt {
			next := d.node()
			for _, p := range a.Parts {
				put(at, next, p)
			}
			at = next
			continue
		}
		rung := at
		for i, p := range a.Parts {
			next := "0"
			if i < len(a.Parts)-1 {
				next = d.node()
			}
			put(rung, next, p)
			rung = next
		}
	}
	load := d.node()
	d.ask("load", "v("+at+")")
	d.ask("load current", "i("+d.meter(at, load)+")")
	if l.Driver == "" {
		d.chain(load, "0", element{"R", l.Ohms})
		return d
	}
	drv := drivers.Drivers[l.Driver]
	moving := d.node()
	d.voiceCoil(load, moving, drv)
	bl2 := drv.Bl * drv.Bl
	d.chain(moving, "0", element{"C", drv.Mms / bl2})
	d.chain(moving, "0", element{"L", drv.Cms * bl2})
	if drv.Rms > 0 {
		d.chain(moving, "0", element{"R", bl2 / drv.Rms})
	}
	return d
}
