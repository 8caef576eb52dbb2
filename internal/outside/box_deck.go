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
// It answers current, travel (m, peak), pressure (Pa at 1 m) and, with a vent,
// speed (m/s, peak).
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
	boxed := b.Kind != "baffle"
	reaction := "0"
	if boxed {
		reaction = d.node()
		// Pressure in the box above that outside pushes the cone outward.
		d.add("E", "%s 0 air 0 %s", reaction, number(-drv.Sd))
	}
	d.chain(cone, reaction, element{"R", drv.Rms}, element{"L", drv.Mms}, element{"C", drv.Cms})

	// Flows outward, summed at the far field.
	d.add("F", "0 far %s %s", velocity, number(drv.Sd))
	if boxed {
		d.add("F", "air 0 %s %s", velocity, number(drv.Sd)) // the cone takes from the box
		compliance := b.Vb / (rho * c * c)
		w := 2 * math.Pi * b.Fb
		if b.Kind == "closed" {
			w = 2 * math.Pi * b.FQ
		}
		var absorption float64
		if b.QA > 0 {
			absorption = 1 / (w * compliance * b.QA)
		}
		d.chain("air", "0", element{"R", absorption}, element{"C", compliance})
		if b.QL > 0 {
			leak := d.node()
			flow := d.meter("air", leak)
			d.chain(leak, "0", element{"R", b.QL / (w * compliance)})
			d.add("F", "0 far %s 1", flow)
		}
		if b.Kind == "vented" {
			mass := 1 / (w * w * compliance)
			var friction float64
			if b.QP > 0 {
				friction = w * mass / b.QP
			}
			mouth := d.node()
			flow := d.meter("air", mouth)
			d.chain(mouth, "0", element{"L", mass}, element{"R", friction})
			d.add("F", "0 far %s 1", flow)
			if b.Area > 0 {
				d.add("F", "0 speed %s %s", flow, number(math.Sqrt2/b.Area))
				d.add("R", "speed 0 1")
				d.ask("speed", "v(speed)")
			}
		}
	}
	d.add("L", "far 0 %s", number(rho/(2*math.Pi)))
	d.add("F", "0 travel %s %s", velocity, number(math.Sqrt2))
	d.add("C", "travel 0 1")
	d.ask("current", "i("+current+")")
	d.ask("travel", "v(travel)")
	d.ask("pressure", "v(far)")
	return d
}
