package ts

import (
	"fmt"

	"example.com/halfspace/units"
)

// Parallel returns n identical drivers, wired in parallel and working on one volume
// of air, as one driver: area, mass, losses and heat n times, stiffness n times,
// Re and coil impedance an nth, Bl and Xmax as they are. So fs and every Q stay, Vas
// and the reference efficiency are n times those of one, and at equal voltage the
// level is 20 log n dB higher: half of that is the current, half the radiation that
// the cones share. It holds while the drivers stand close against the wavelength;
// far apart they share no radiation and gain 10 log n dB on average.
//
// Bl does not double in parallel: each coil carries its own current, and force per
// total current is that of one. Doubling it besides halving Re counts the second
// driver twice.
//
// [Driver.Series] and Parallel combine: d.Series(2).Parallel(2) is four drivers that
// load the amplifier as one. Parallel panics unless n is at least 1.
//
// First principles; an explicit circuit of both drivers agrees.
func (d Driver) Parallel(n int) Driver {
	k := count(n)
	d = d.together(k)
	d.Re /= units.Resistance(k)
	d.Coil = d.Coil.times(1 / k)
	return d
}

// Series returns n identical drivers, wired in series and working on one volume of
// air, as one driver: as [Driver.Parallel], but Re, coil impedance and Bl are n times
// those of one. At equal voltage the level is that of one driver. Series panics
// unless n is at least 1.
func (d Driver) Series(n int) Driver {
	k := count(n)
	d = d.together(k)
	d.Re *= units.Resistance(k)
	d.Coil = d.Coil.times(k)
	d.Bl *= units.ForceFactor(k)
	return d
}

// CompoundParallel returns two identical drivers that move as one, one behind the
// other with little air between (also called isobaric), wired in parallel: twice the
// mass, losses, stiffness and heat on the area of one. So fs and every Q stay, Vas
// and the reference efficiency are half of one driver's: −3.01 dB at equal power,
// none lost at equal voltage.
//
// The air between is taken as rigid. For a driver with a Vas of 60 L in a closed box
// of 30 L that is wrong by up to 0.011 dB with 0.1 L between, 0.11 dB with 1 L, 0.31 dB
// with 3 L, below 100 Hz (first principles). Higher up the cones swing against each
// other on that air, at √(2ρc²Sd²/(V Mms) + ωs²)/2π: coils in parallel damp that, coils
// in series do not.
func (d Driver) CompoundParallel() Driver {
	d.Sd /= 2
	return d.Parallel(2)
}

// CompoundSeries is [Driver.CompoundParallel] with the coils in series: four times
// its Re, twice its Bl, and 6.02 dB less than one driver at equal voltage.
func (d Driver) CompoundSeries() Driver {
	d.Sd /= 2
	return d.Series(2)
}

// WithSource returns the driver seen through a resistance r in series: output of the
// amplifier, cable, the coil of a crossover. Re is then the whole resistance, and Qes,
// Qts and levels follow; voltage means that of the source, before r. Power grows with
// Re, so that it still stands for the same current. What [Driver.Heated] does to such
// a driver it does to r as well: heat the coil first. A negative r, of an amplifier
// that makes up for the coil, is fine while Re + r stays positive; [Driver.Check]
// tells.
func (d Driver) WithSource(r units.Resistance) Driver {
	d.Power *= units.Power((d.Re + r) / d.Re)
	d.Re += r
	return d
}

// AddMass returns the driver with a mass m on its cone: fs falls, every Q rises with
// √Mms, Vas stays. With creep the suspension is softer at the lower fs, so that Vas,
// which is that at fs, grows a little. A negative m takes mass away; [Driver.Check]
// tells if too much.
func (d Driver) AddMass(m units.Mass) Driver { return d.withMass(m) }

// together couples k drivers to one piston, whatever their wiring.
func (d Driver) together(k float64) Driver {
	d.Mms *= units.Mass(k)
	d.Cms /= units.Compliance(k)
	d.Rms *= units.MechanicalResistance(k)
	d.Sd *= units.Area(k)
	d.Power *= units.Power(k)
	return d
}

// times returns the coil with k times the impedance.
func (c Coil) times(k float64) Coil {
	return Coil{
		Leb: c.Leb * units.Inductance(k), Le: c.Le * units.Inductance(k), Ke: c.Ke * k,
		Rss: c.Rss * units.Resistance(k), K: c.K * k, N: c.N,
	}
}

func count(n int) float64 {
	if n < 1 {
		panic(fmt.Sprintf("ts: %d drivers", n))
	}
	return float64(n)
}
