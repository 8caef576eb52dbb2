package main

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/halfspace/filter/crossover"
	"example.com/halfspace/filter/crossover/spread"
	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// What is drawn: six parts at 200 frequencies.
const (
	drawPoints = 200
	drawCount  = 10_000
	drawSeed   = 7
)

// curve is a driver given by functions of frequency.
type curve struct{ z, p func(f float64) complex128 }

func (c curve) Impedance(z []complex128, hz []float64) {
	for k, f := range hz {
		z[k] = c.z(f)
	}
}

func (c curve) Pressure(p []complex128, hz []float64, _ r3.Vec) {
	for k, f := range hz {
		p[k] = c.p(f)
	}
}

// drawn returns the speaker.
func drawn() (spread.Speaker, error) {
	hz := make([]float64, drawPoints)
	for k := range hz {
		hz[k] = 100 * math.Pow(200, float64(k)/(drawPoints-1))
	}
	woofer := curve{
		func(f float64) complex128 { return complex(5.6, 2*math.Pi*f*0.7e-3) },
		func(f float64) complex128 { return 0.11 / complex(1-f*f/(6000*6000), f/6000) },
	}
	tweeter := curve{
		func(f float64) complex128 {
			return complex(4.9, 2*math.Pi*f*0.05e-3) + 3/complex(1, 2*(f/900-900/f))
		},
		func(f float64) complex128 { x := f / 900; return complex(0.2*x*x, 0) / complex(1-x*x, x/0.9) },
	}
	field, err := crossover.Sample([]crossover.Way{{Name: "woofer", Radiator: woofer}, {Name: "tweeter", Radiator: tweeter}}, hz, 344, r3.Vec{Z: 2})
	return spread.Speaker{
		Field: field,
		Networks: []ladder.Network{
			{
				ladder.Series(ladder.L(1.1 * units.Millihenry).WithResistance(0.3).WithTolerance(0.05)),
				ladder.Shunt(ladder.C(9*units.Microfarad).WithTolerance(0.05), ladder.R(2).WithTolerance(0.02)),
			},
			{
				ladder.Series(ladder.R(2.4).WithTolerance(0.02)),
				ladder.Series(ladder.C(6 * units.Microfarad).WithTolerance(0.05)),
				ladder.Shunt(ladder.L(0.35 * units.Millihenry).WithResistance(0.2).WithTolerance(0.05)),
			},
		},
		Lo: 300, Hi: 15000, Seed: drawSeed,
	}, err
}

// writeDraws writes the deviations of the parts, drawn in the order that package
// spread documents.
func writeDraws(path string) error {
	file, err := os.Create(path)
	if err != nil {
		return err
	}
	defer file.Close()
	all := make([]float64, 0, 6*drawCount)
	for i := range uint64(drawCount) {
		rng := rand.New(rand.NewPCG(drawSeed, i))
		rng.Float64() // the levels of the drivers
		rng.Float64()
		for _, tolerance := range []float64{0.05, 0.05, 0.02, 0.02, 0.05, 0.05} {
			all = append(all, tolerance*(2*rng.Float64()-1))
		}
	}
	if err := binary.Write(file, binary.LittleEndian, all); err != nil {
		return err
	}
	return file.Close()
}

// drawnThere is what NumPy says.
type drawnThere struct {
	Seconds        float64
	Chunk          int
	Bands, Figures [][]float64
}

// differs compares.
func (a drawnThere) differs(d *spread.Draws, bands [][]float64) error {
	for p := range bands {
		for k := range bands[p] {
			if !(math.Abs(a.Bands[p][k]-bands[p][k]) < 1e-9) {
				return fmt.Errorf("at %g Hz the bands are %g dB and %g dB", d.Hz[k], bands[p][k], a.Bands[p][k])
			}
		}
	}
	for i, theirs := range a.Figures {
		f := d.Figures[i]
		for n, x := range []float64{f.Ripple, f.Largest, float64(f.Load)} {
			if !(math.Abs(x-theirs[n]) < 1e-9) {
				return fmt.Errorf("figure %d of draw %d is %g and %g", n, i, x, theirs[n])
			}
		}
	}
	return nil
}

// draws times the draws of a speaker, with its bands, here on one processor and on
// all, and in NumPy, which gets the random numbers for nothing.
func draws(python, script string, turns int) error {
	s, err := drawn()
	if err != nil {
		return err
	}
	folder, err := os.MkdirTemp("", "pace")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	file := filepath.Join(folder, "draws")
	if err := writeDraws(file); err != nil {
		return err
	}
	other, err := start(python, script, drawPoints, file)
	if err != nil {
		return err
	}
	cores := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(cores)
	never := math.Inf(1)
	one, all := never, never
	written, inPlace := drawnThere{Seconds: never}, drawnThere{Seconds: never}
	for range turns {
		var d *spread.Draws
		var bands [][]float64
		ours := func(cores int) (float64, error) {
			runtime.GOMAXPROCS(cores)
			least := never
			for range 3 {
				start := time.Now()
				if d, err = s.Draw(drawCount); err != nil {
					return 0, err
				}
				if bands, err = d.Bands(0.05, 0.5, 0.95); err != nil {
					return 0, err
				}
				least = min(least, time.Since(start).Seconds())
			}
			return least, nil
		}
		t, err := ours(1)
		if err != nil {
			return err
		}
		one = min(one, t)
		if t, err = ours(cores); err != nil {
			return err
		}
		all = min(all, t)
		var a struct {
			Written drawnThere
			InPlace drawnThere `json:"in_place"`
		}
		if err := other.turn(&a); err != nil {
			return err
		}
		if err := cmp.Or(a.Written.differs(d, bands), a.InPlace.differs(d, bands)); err != nil {
			return err
		}
		if a.Written.Seconds < written.Seconds {
			written = a.Written
		}
		if a.InPlace.Seconds < inPlace.Seconds {
			inPlace = a.InPlace
		}
	}
	if err := other.stop(); err != nil {
		return err
	}
	fmt.Printf("%d draws of six parts, %d points, with bands: %.0f ms here on 1 processor, %.0f on %d: %.2f times as fast\n",
		drawCount, drawPoints, one*1e3, all*1e3, cores, one/all)
	fmt.Printf("  in NumPy as the formulas stand, %d draws at a time, %.0f ms: %.1f times ours on 1, %.1f on %d\n",
		written.Chunk, written.Seconds*1e3, written.Seconds/one, written.Seconds/all, cores)
	fmt.Printf("  in NumPy in place, %d draws at a time, %.0f ms: %.1f times ours on 1, %.1f on %d\n",
		inPlace.Chunk, inPlace.Seconds*1e3, inPlace.Seconds/one, inPlace.Seconds/all, cores)
	return nil
}
