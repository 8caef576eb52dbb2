package outside

import "strconv"

// Deck returns the network into its load as a circuit driven with 1 V at hz. It
// answers current (from the source), load (voltage), load current, and for each part,
// numbered along the signal path, v0, i0, v1, i1 ...
func (l Ladder) Deck(drivers Drivers, hz float64) *Deck {
	d := &Deck{hz: hz}
	d.add("V", "in 0 dc 0 ac 1")
	at := d.node()
	d.ask("current", "i("+d.meter("in", at)+")")
	part := 0
	for _, a := range l.Arms {
		if !a.Shunt {
			next := d.node()
			for _, p := range a.Parts {
				d.part(at, next, p, part)
				part++
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
			d.part(rung, next, p, part)
			part++
			rung = next
		}
	}
	d.load(at, "0", l.Driver, l.Ohms, drivers, "load", "load current")
	return d
}

// part puts a part between two nodes and asks for its voltage and current, under v
// and i with a number.
func (d *Deck) part(a, b string, p Part, number int) {
	top := d.node()
	through := d.meter(a, top)
	var loss float64
	if p.Kind == "C" {
		loss = p.Loss / (d.omega() * p.Value)
	}
	d.chain(top, b, element{p.Kind, p.Value}, element{"R", p.Resistance}, element{"R", loss})
	d.ask("v"+strconv.Itoa(number), voltage(a, b))
	d.ask("i"+strconv.Itoa(number), "i("+through+")")
}

func voltage(a, b string) string {
	if b == "0" {
		return "v(" + a + ")"
	}
	return "v(" + a + "," + b + ")"
}

// load puts a driver in its baffle, or without a name a resistor, between two nodes
// and asks for its voltage and current under two names. The driver is its voice coil
// in series with what motion looks like from the electrical side: mass as a
// capacitor, suspension as an inductor, losses as a resistor, all in parallel (the
// other analogy than that of [Box.Deck]).
func (d *Deck) load(a, b, driver string, ohms float64, drivers Drivers, volts, amperes string) {
	top := d.node()
	d.ask(volts, voltage(a, b))
	d.ask(amperes, "i("+d.meter(a, top)+")")
	if driver == "" {
		d.chain(top, b, element{"R", ohms})
		return
	}
	drv := drivers.Drivers[driver]
	moving := d.node()
	d.voiceCoil(top, moving, drv)
	bl2 := drv.Bl * drv.Bl
	d.chain(moving, b, element{"C", drv.Mms / bl2})
	d.chain(moving, b, element{"L", drv.Cms * bl2})
	if drv.Rms > 0 {
		d.chain(moving, b, element{"R", bl2 / drv.Rms})
	}
}
