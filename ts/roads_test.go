package ts_test

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/mathext"

	"example.com/halfspace/ts"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %.15g, want %.15g", what, got, want)
	}
}

// Seen from the terminals the mechanical side is a coil, a capacitor and a resistor
// in parallel: the circuit of these gives the impedance of the equations of motion,
// the resonance, both Q and the peak.
func TestElectricalAnalogue(t *testing.T) {
	d := woofer
	r, c, l := complex(float64(d.Res()), 0), complex(float64(d.Cmes()), 0), complex(float64(d.Lces()), 0)
	for f := 5.0; f < 2000; f *= 1.3 {
		s := complex(0, 2*math.Pi*f)
		parallel := 1 / (1/r + 1/(s*l) + s*c)
		zm := complex(float64(d.Rms), 0) + s*complex(float64(d.Mms), 0) + 1/(s*complex(float64(d.Cms), 0))
		moving := complex(float64(d.Bl*d.Bl), 0) / zm
		if !(cmplx.Abs(parallel-moving) <= 1e-12*cmplx.Abs(moving)) {
			t.Errorf("%.4g Hz: circuit %v, motion %v", f, parallel, moving)
		}
	}
	near(t, "fs", float64(d.Fs()), 1/(2*math.Pi*math.Sqrt(real(l*c))), 1e-14)
	near(t, "Qms", d.Qms(), real(r)*math.Sqrt(real(c/l)), 1e-14)
	near(t, "Qes", d.Qes(), float64(d.Re)*math.Sqrt(real(c/l)), 1e-14)
	// Both damp at once: resistors in parallel.
	both := 1 / (1/float64(d.Re) + 1/real(r))
	near(t, "Qts", d.Qts(), both*math.Sqrt(real(c/l)), 1e-14)
	near(t, "Zmax", float64(d.Zmax()), float64(d.Re)*d.Qms()/d.Qts(), 1e-14)
	// The product is the coil's damping alone: Bl²/(2π Re Mms).
	near(t, "EBP", float64(d.EBP()), 1/(2*math.Pi*float64(d.Re)*real(c)), 1e-14)
}

// Efficiency and levels by Small's product of fs, Vas and Qes, by the far field of
// the accelerated air, and by the displacement volume.
func TestEfficiencyByOtherRoads(t *testing.T) {
	d, a := woofer, air.Air{Density: 1.2, SpeedOfSound: 343}
	c, fs := float64(a.SpeedOfSound), float64(d.Fs())
	near(t, "eta0", float64(d.Eta0(a)), 4*math.Pi*math.Pi/(c*c*c)*fs*fs*fs*float64(d.Vas(a))/d.Qes(), 1e-13)
	pressure := func(volt float64) float64 { // ρ Sd a/(2π), a = Bl I/Mms
		return float64(a.Density) * float64(d.Sd) / (2 * math.Pi) * float64(d.Bl) * volt / float64(d.Re) / float64(d.Mms)
	}
	level := func(p float64) float64 { return 20 * math.Log10(p/20e-6) }
	near(t, "2.83 V", float64(d.SPL283(a)), level(pressure(2.83)), 1e-13)
	near(t, "1 W", float64(d.SPL1W(a)), level(pressure(math.Sqrt(float64(d.Re)))), 1e-13)
	// Vas is the air that is as stiff as the suspension: γp = ρc² per volume.
	stiffness := float64(a.Density) * c * c * float64(d.Sd) * float64(d.Sd) / float64(d.Vas(a))
	near(t, "Vas", stiffness*float64(d.Cms), 1, 1e-14)
	// A stroke compresses the air of Vas by what holds against the suspension.
	force := float64(a.Density) * c * c * float64(d.Vd()) / float64(d.Vas(a)) * float64(d.Sd)
	near(t, "Vd", force, float64(d.Xmax)/float64(d.Cms), 1e-14)
}

// The air on one side of a piston weighs ρ/(2π) ∫∫dS dS/r. The inner integral over
// a disc is 4a E(m), m = (r/a)², in the complete elliptic integral; the outer one is
// summed over rings of equal area.
func TestAirMassByElliptic(t *testing.T) {
	const radius = 0.12
	a := air.Air{Density: 1.2, SpeedOfSound: 343}
	const n = 20000
	sum := 0.0
	for i := range n {
		m := (float64(i) + 0.5) / n
		sum += 4 * radius * mathext.CompleteE(m) * math.Pi * radius * radius / n
	}
	near(t, "air mass", float64(ts.AirMass(math.Pi*radius*radius, a)), 2*float64(a.Density)/(2*math.Pi)*sum, 1e-7)
}

// The coil as a net of its parts, with √(jω) as an angle of 45° and (jω)^N as one
// of N·90°.
func TestCoilAsCircuit(t *testing.T) {
	c := ts.Coil{Leb: 1e-4, Le: 1.2e-3, Ke: 0.04, Rss: 60, K: 0.02, N: 0.6}
	for f := 10.0; f < 40000; f *= 2 {
		w := 2 * math.Pi * f
		admittance := complex(1.0/60, -1/(w*1.2e-3)) + cmplx.Rect(1/(0.04*math.Sqrt(w)), -math.Pi/4)
		want := complex(0, w*1e-4) + 1/admittance + cmplx.Rect(0.02*math.Pow(w, 0.6), 0.6*math.Pi/2)
		got := c.Impedance(complex(0, w))
		if !(cmplx.Abs(got-want) <= 1e-13*cmplx.Abs(want)) {
			t.Errorf("%.4g Hz: %v, want %v", f, got, want)
		}
		near(t, "inductance", float64(c.Inductance(units.Frequency(f))), imag(want)/w, 1e-13)
	}
	// A power law of exponent 1 is a plain inductance.
	near(t, "N = 1", float64(ts.Coil{K: 1e-3, N: 1}.Inductance(777)), 1e-3, 1e-13)
}
