package box_test

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"example.com/halfspace/box"
	"example.com/halfspace/ts"
	"example.com/halfspace/units"
)

// A free driver that is the model goes into the box as the model does.
func TestInBoxAgreesWithTheModel(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 200 {
		d, u := random(rng)
		d.Coil = ts.Coil{Leb: 1e-4, Le: 1e-3, Ke: 0.03, Rss: 50}
		free := box.System{Driver: d, Enclosure: box.InfiniteBaffle{}}
		in := box.System{Driver: d, Enclosure: box.Vented{Vb: units.Volume(u(0.005, 0.1)), Fb: units.Frequency(u(20, 80)), QL: u(3, 30), QA: u(3, 30), QP: u(3, 30)}}
		f := units.Frequency(u(5, 5000))
		a, b := free.At(f), in.At(f)
		z, effect := in.InBox(f, a.Impedance)
		if e := cmplx.Abs(z-b.Impedance) / cmplx.Abs(b.Impedance); !(e < 1e-11) {
			t.Errorf("impedance off by %.2g", e)
		}
		want := b.Pressure / a.Pressure
		if e := cmplx.Abs(effect-want) / cmplx.Abs(want); !(e < 1e-10) {
			t.Errorf("effect off by %.2g", e)
		}
	}
}

// A suspension that creeps is not in the model, but in the measurement: adding
// the box to the measurement is right where the model alone would not be.
func TestInBoxKeepsWhatTheModelLacks(t *testing.T) {
	const f, w = 37.8, 2 * math.Pi * 37.8
	// Free driver with a compliance that has a loss of its own.
	cms := complex(float64(woofer.Cms), 0) * (1 - 0.05i)
	zm := complex(float64(woofer.Rms), w*float64(woofer.Mms)) + 1/(complex(0, w)*cms)
	bl2 := complex(float64(woofer.Bl*woofer.Bl), 0)
	re := complex(float64(woofer.Re), 0)
	s := box.System{Driver: woofer, Enclosure: vented}
	load := complex(float64(woofer.Sd*woofer.Sd), 0) * vented.Flow(complex(0, w), s.Air.OrStandard()).Za
	z, _ := s.InBox(f, re+bl2/zm)
	want := re + bl2/(zm+load)
	if e := cmplx.Abs(z-want) / cmplx.Abs(want); !(e < 1e-12) {
		t.Errorf("off by %.2g", e)
	}
}
