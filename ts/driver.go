package ts

import (
	"cmp"
	"math"

	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A Driver is the linear model of one moving-coil driver. The first six numbers
// fix its small-signal behaviour; it is comparable and its zero value is no driver.
type Driver struct {
	Re  units.Resistance           // resistance of the coil to direct current
	Bl  units.ForceFactor          // force per current
	Mms units.Mass                 // moving mass with its air load
	Cms units.Compliance           // compliance of the suspension
	Rms units.MechanicalResistance // mechanical losses
	Sd  units.Area                 // effective piston area

	Creep float64      // loss of compliance per decade, as a fraction; zero is none ([Driver.Suspension])
	Coil  Coil         // lossy inductance of the coil; zero is none
	Xmax  units.Length // largest linear travel, peak, one way; zero is not given
	Power units.Power  // what the coil bears as heat for long; zero is not given
}

// Check reports the first figure that no driver can have as a [units.RangeError].
func (d Driver) Check() error {
	return cmp.Or(
		units.Positive("ts: Re", d.Re),
		units.Positive("ts: Bl", d.Bl),
		units.Positive("ts: Mms", d.Mms),
		units.Positive("ts: Cms", d.Cms),
		units.NotNegative("ts: Rms", d.Rms),
		units.Positive("ts: Sd", d.Sd),
		d.checkCreep(),
		d.Coil.Check(),
		units.NotNegative("ts: Xmax", d.Xmax),
		units.NotNegative("ts: power", d.Power),
	)
}

// omega is the angular resonance frequency, 1/√(Mms Cms).
func (d Driver) omega() float64 { return 1 / math.Sqrt(float64(d.Mms)*float64(d.Cms)) }

// Fs returns the free-air resonance, fs = 1/(2π √(Mms Cms)).
func (d Driver) Fs() units.Frequency { return units.Frequency(d.omega() / (2 * math.Pi)) }

// Qms returns the mechanical Q at fs, ωs Mms/Rms; it is infinite without losses.
func (d Driver) Qms() float64 { return d.omega() * float64(d.Mms) / float64(d.Rms) }

// Qes returns the electrical Q at fs for a source without resistance, ωs Mms Re/Bl².
func (d Driver) Qes() float64 {
	return d.omega() * float64(d.Mms) * float64(d.Re) / float64(d.Bl*d.Bl)
}

// Qts returns the total Q at fs, 1/Qts = 1/Qms + 1/Qes.
func (d Driver) Qts() float64 { return 1 / (1/d.Qms() + 1/d.Qes()) }

// Vas returns the volume of air with the compliance of the suspension, ρc² Sd² Cms.
// It follows the barometer: sheets mostly mean [air.Standard].
func (d Driver) Vas(a air.Air) units.Volume {
	return units.Volume(float64(a.OrStandard().BulkModulus()) * float64(d.Sd*d.Sd) * float64(d.Cms))
}

// Eta0 returns the reference efficiency into half space: acoustic power over
// E²/Re, in the mass-controlled band,
//
//	η0 = ρ/(2πc) (Bl Sd/Mms)²/Re
//
// which equals (4π²/c³) fs³ Vas/Qes (Small 1972).
func (d Driver) Eta0(a air.Air) units.Ratio {
	a = a.OrStandard()
	x := float64(d.Bl) * float64(d.Sd) / float64(d.Mms)
	return units.Ratio(float64(a.Density) / (2 * math.Pi * float64(a.SpeedOfSound)) * x * x / float64(d.Re))
}

// referencePressure is 0 dB of sound pressure level, 20 µPa.
const referencePressure = 20e-6

// powerConstant is the level at 1 m in half space of 1 W of sound,
// 10 log(ρc/(2π (20 µPa)²)). Sheets differ by 0.1 dB through their ρ and c.
func powerConstant(a air.Air) float64 {
	return 10 * math.Log10(a.Impedance()/(2*math.Pi*referencePressure*referencePressure))
}

// SPL1W returns the level at 1 m in half space for 1 W in Re. Sheets that mean
// 1 W in the rated impedance print 10 log(Zn/Re) more.
func (d Driver) SPL1W(a air.Air) units.PressureLevel {
	return units.PressureLevel(powerConstant(a.OrStandard()) + 10*math.Log10(float64(d.Eta0(a))))
}

// SPL283 returns the level at 1 m in half space for 2.83 V, in the
// mass-controlled band. Printed levels are usually 0.7 to 1.7 dB lower: they
// average a curve that inductance and cone shape have bent.
func (d Driver) SPL283(a air.Air) units.PressureLevel {
	return d.SPL1W(a) + units.PressureLevel(10*math.Log10(2.83*2.83/float64(d.Re)))
}

// Vd returns the air one full one-way stroke moves, Sd Xmax.
func (d Driver) Vd() units.Volume { return units.Volume(float64(d.Sd) * float64(d.Xmax)) }

// EBP returns the efficiency bandwidth product fs/Qes. As a rule of thumb, below
// 50 Hz speaks for a closed box and above 100 Hz for a vented one (common practice).
func (d Driver) EBP() units.Frequency { return units.Frequency(float64(d.Fs()) / d.Qes()) }

// Res returns the motional resistance Bl²/Rms seen at the terminals at fs.
func (d Driver) Res() units.Resistance {
	return units.Resistance(float64(d.Bl*d.Bl) / float64(d.Rms))
}

// Cmes returns the electrical capacitance of the moving mass, Mms/Bl².
func (d Driver) Cmes() units.Capacitance {
	return units.Capacitance(float64(d.Mms) / float64(d.Bl*d.Bl))
}

// Lces returns the electrical inductance of the suspension, Cms Bl².
func (d Driver) Lces() units.Inductance {
	return units.Inductance(float64(d.Cms) * float64(d.Bl*d.Bl))
}

// Zmax returns the height of the impedance peak at fs without coil inductance, Re + Res.
func (d Driver) Zmax() units.Resistance { return d.Re + d.Res() }

// Sheet returns every figure of d as a sheet prints them, for air a.
func (d Driver) Sheet(a air.Air) Sheet {
	return Sheet{
		Re: d.Re, Fs: d.Fs(), Qms: d.Qms(), Qes: d.Qes(), Qts: d.Qts(), Vas: d.Vas(a),
		Sd: d.Sd, Mms: d.Mms, Cms: d.Cms, Rms: d.Rms, Bl: d.Bl, Zmax: d.Zmax(), Creep: d.Creep,
		Le1k: d.Coil.Inductance(1000 * units.Hertz), Le10k: d.Coil.Inductance(10000 * units.Hertz),
		Eta0: d.Eta0(a), SPL1W: d.SPL1W(a), SPL283: d.SPL283(a),
		Xmax: d.Xmax, Vd: d.Vd(), Power: d.Power,
	}
}
