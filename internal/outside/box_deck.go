package outside

import "math"

// Deck returns the driver in its box as a circuit driven with 1 V at hz.
//
// Force and pressure are voltages, velocity and volume flow are currents. So the
// coil in its field turns current into force and velocity into voltage (two sources
// controlled by currents), the mass is an inductor, the suspension a capacitor; the
// piston turns pressure into force and velocity into flow; the air in the box is a
// capacitor, the air in the vent an inductor, and what rubs is a resistor. Outside,
// the pressure of a small source on a wall is ρ/(2πr) times the rate at which its
// flow changes: the voltage across an inductor.
//
// It answers current, travel (m, peak), pressure (Pa at 1 m) and, where there are
// such openings, speed and rear_speed (m/s, peak) and radiator (travel, m, peak).
func (b Box) Deck(drivers Drivers, hz float64) *Deck {
	drv := drivers.Drivers[b.Driver]
	rho, c := drivers.Air.Density, drivers.Air.SpeedOfSound
	d := &Deck{hz: hz}

	d.add("V", "in 0 dc 0 ac 1")
	back, winding := d.node(), d.node()
	current := d.meter("in", winding)
	d.voiceCoil(winding, back, drv)

	// One mechanical loop: the force of the coil less what the pressure in the box
	// holds back moves mass, suspension and losses.
	force, cone := d.node(), d.node()
	velocity := d.meter(force, cone)
	d.add("H", "back_emf 0 %s %s", velocity, number(drv.Bl))
	d.meter(back, "back_emf")
	d.add("H", "%s 0 %s %s", force, current, number(drv.Bl))
	reaction := "0"
	rear, front := b.Kind != "baffle", b.Front != nil
	if rear {
		reaction = d.node()
		below := "0"
		if front {
			// Pressure before the cone holds it back as the pressure behind it pushes.
			below = d.node()
			d.add("E", "%s 0 front 0 %s", below, number(drv.Sd))
		}
		// Pressure in the box above that outside pushes the cone outward.
		d.add("E", "%s %s air 0 %s", reaction, below, number(-drv.Sd))
	}
	d.chain(cone, reaction, element{"R", drv.Rms}, element{"L", drv.Mms}, element{"C", drv.Cms})

	// Flows outward, summed at the far field.
	if rear {
		d.add("F", "air 0 %s %s", velocity, number(drv.Sd)) // the cone takes from the box
	}
	if front {
		d.add("F", "0 front %s %s", velocity, number(drv.Sd))
	} else {
		d.add("F", "0 far %s %s", velocity, number(drv.Sd))
	}
	stiffness := rho * c * c
	switch b.Kind {
	case "closed":
		d.chamber("air", b.Vb/stiffness, b.FQ, b.QL, b.QA)
	case "vented":
		d.chamber("air", b.Vb/stiffness, b.Fb, b.QL, b.QA)
		d.vent("air", "outside", "speed", b.chamber(), stiffness)
	case "passive radiator":
		r := b.Radiator
		area := r.Sd * float64(r.Count)
		// Count in parallel: forces add, areas too.
		mass := r.Mass * float64(r.Count) / (area * area)
		spring := r.Cms / float64(r.Count) * area * area
		compliance := b.Vb / stiffness
		tuning := math.Sqrt((1/compliance+1/spring)/mass) / (2 * math.Pi)
		d.chamber("air", compliance, tuning, b.QL, b.QA)
		at := d.node()
		flow := d.meter("air", at)
		d.chain(at, "0", element{"L", mass}, element{"R", r.Rms * float64(r.Count) / (area * area)}, element{"C", spring})
		d.add("F", "0 far %s 1", flow)
		d.add("F", "0 radiator %s %s", flow, number(math.Sqrt2/area))
		d.add("C", "radiator 0 1")
		d.ask("radiator", "v(radiator)")
	case "bandpass, rear closed":
		d.chamber("air", b.Vb/stiffness, b.FQ, b.QL, b.QA)
	case "bandpass, rear vented":
		d.chamber("air", b.Vb/stiffness, b.Fb, b.QL, b.QA)
		d.vent("air", "outside", "rear_speed", b.chamber(), stiffness)
	case "bandpass, rear vented into front":
		d.chamber("air", b.Vb/stiffness, b.Fb, b.QL, b.QA)
		d.vent("air", "front", "rear_speed", b.chamber(), stiffness)
	}
	if front {
		f := *b.Front
		d.chamber("front", f.Vb/stiffness, f.Fb, f.QL, f.QA)
		d.vent("front", "outside", "speed", f, stiffness)
	}
	d.add("L", "far 0 %s", number(rho/(2*math.Pi)))
	d.add("F", "0 travel %s %s", velocity, number(math.Sqrt2))
	d.add("C", "travel 0 1")
	d.ask("current", "i("+current+")")
	d.ask("travel", "v(travel)")
	d.ask("pressure", "v(far)")
	return d
}

// chamber is the air of a chamber, with leak to the outside and absorption whose Q
// are at f.
func (d *Deck) chamber(node string, compliance, f, ql, qa float64) {
	w := 2 * math.Pi * f
	var absorption float64
	if qa > 0 {
		absorption = 1 / (w * compliance * qa)
	}
	d.chain(node, "0", element{"R", absorption}, element{"C", compliance})
	if ql > 0 {
		leak := d.node()
		flow := d.meter(node, leak)
		d.chain(leak, "0", element{"R", ql / (w * compliance)})
		d.add("F", "0 far %s 1", flow)
	}
}

// vent is the air in the vent of a chamber; speed names the answer.
func (d *Deck) vent(from, to, speed string, v Chamber, stiffness float64) {
	w := 2 * math.Pi * v.Fb
	mass := stiffness / (w * w * v.Vb)
	var friction float64
	if v.QP > 0 {
		friction = w * mass / v.QP
	}
	mouth, end := d.node(), to
	if to == "outside" {
		end = "0"
	}
	flow := d.meter(from, mouth)
	d.chain(mouth, end, element{"L", mass}, element{"R", friction})
	if to == "outside" {
		d.add("F", "0 far %s 1", flow)
	}
	if v.Area > 0 {
		d.add("F", "0 %s %s %s", speed, flow, number(math.Sqrt2/v.Area))
		d.add("R", "%s 0 1", speed)
		d.ask(speed, "v("+speed+")")
	}
}
