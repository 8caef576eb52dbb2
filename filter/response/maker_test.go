package response

import (
	"math"
	"os"
	"testing"

	"example.com/halfspace/units"
)

func readCurve(t *testing.T, name string, f Form) Curve {
	t.Helper()
	file, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	table, err := Read(file)
	if err != nil {
		t.Fatal(err)
	}
	c, err := table.Curve(f)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A maker's printed level, of a woofer whose cone rings above the band, gives the
// phase of the curve behind it back: within the spread that slopes wrong by an
// order leave, and two degrees for what the print left out.
func TestMakersCurve(t *testing.T) {
	printed := readCurve(t, "maker_curve.csv", Form{Frequency: "frequency_Hz", Level: "spl_2V83_1m_dB", Reference: 20e-6, Taken: Taken{Mounting: HalfSpace, Voltage: 2.83}})
	truth := readCurve(t, "maker_truth.csv", Form{Frequency: "frequency_Hz", Level: "level_dB", Phase: "phase_deg", Reference: 20e-6})
	slopes := Slopes{Low: 12, High: -18} // a free driver in a wall; a falling cone
	wide, err := printed.Extend(20, 20*units.Kilohertz, slopes)
	if err != nil {
		t.Fatal(err)
	}
	c, spread, err := wide.MinimumPhaseSpread(slopes, Plausible())
	if err != nil {
		t.Fatal(err)
	}
	if !c.HasPhase || c.Taken.Mounting != HalfSpace {
		t.Errorf("%v, phase %v", c.Taken, c.HasPhase)
	}
	h := make([]complex128, len(truth.Hz))
	if err := c.Resample(h, truth.Hz); err != nil {
		t.Fatal(err)
	}
	within := Curve{Hz: c.Hz, H: make([]complex128, len(c.Hz))}
	for i, s := range spread {
		within.H[i] = complex(s+1e-9, 0)
	}
	allowed := make([]complex128, len(truth.Hz))
	if err := within.Resample(allowed, truth.Hz); err != nil {
		t.Fatal(err)
	}
	for i, f := range truth.Hz {
		if f < 40 || f > 8000 {
			continue
		}
		ratio := h[i] / truth.H[i]
		if d := Phase(ratio); !(math.Abs(d) <= real(allowed[i])+2) {
			t.Errorf("%.0f Hz: phase off by %.1f°, stated ± %.1f°", f, d, real(allowed[i]))
		}
		if d := DB(ratio); f < 5000 && !(math.Abs(d) <= 0.3) {
			t.Errorf("%.0f Hz: level off by %.2f dB", f, d)
		}
	}
}
