// Package align chooses the volume and tuning of a box for a driver.
//
// The classical families are solved from what defines them, at any leak: each
// says where the poles of the response, or the shape of its magnitude, shall
// lie, and the box follows. [Family.For] finds the member of a vented family
// that belongs to a driver's Qts, [Vented] the box itself; [Radiator] and
// [BandPass] do the same for the flattest passive radiator and for the symmetric
// band-pass box. Closed boxes need no family but a Q ([ButterworthQ] and its
// neighbours) and box.ClosedFor.
//
// A [Goal] asks another question: the lowest cut-off, the smallest box or the
// most output that a driver gives under limits of ripple, group delay, volume,
// travel, air speed and the room a vent has.
//
// A source with resistance (amplifier, cable, coils of the crossover) raises Qts.
// It acts as part of the coil's resistance, so add it to the driver's Re before.
package align
