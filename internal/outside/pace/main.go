// Pace measures how long our library and NumPy take for the same vented box at the
// same frequencies, per point, in turns: ours, NumPy's, ours ... The least of all
// turns counts for each. It is for the curious and holds nothing: machines and
// versions differ.
//
//	go run ./internal/outside/pace [-points 512] [-turns 20] [-python /usr/bin/python3]
//
// NumPy computes whole vectors of complex128 at once, with the formula of the circuit
// written out in pace.py, reusing nothing but the frequencies; it is started once
// and answers each turn. The results are compared, so that both do the same.
package main

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"
	"math/cmplx"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"example.com/halfspace/box"
	"example.com/halfspace/ts"
	"example.com/halfspace/units/air"
)

func main() {
	script := flag.String("script", filepath.Join("internal", "outside", "scipy", "pace.py"), "the script")
	python := flag.String("python", "/usr/bin/python3", "a Python that has NumPy")
	points := flag.Int("points", 512, "frequencies, 10 Hz to 10 kHz")
	turns := flag.Int("turns", 20, "turns of each")
	flag.Parse()
	if err := run(*python, *script, *points, *turns); err != nil {
		fmt.Fprintln(os.Stderr, "pace:", err)
		os.Exit(1)
	}
}

func run(python, script string, points, turns int) error {
	if points < 2 || turns < 1 {
		return fmt.Errorf("%d points, %d turns: need at least 2 and 1", points, turns)
	}
	// -B: no compiled copies beside the scripts.
	other := exec.Command(python, "-B", script, fmt.Sprint(points))
	other.Stderr = os.Stderr
	in, err := other.StdinPipe()
	if err != nil {
		return err
	}
	out, err := other.StdoutPipe()
	if err != nil {
		return err
	}
	if err := other.Start(); err != nil {
		return err
	}
	answers := json.NewDecoder(bufio.NewReader(out))

	hz := make([]float64, points)
	for i := range hz {
		hz[i] = 10 * math.Pow(1000, float64(i)/float64(points-1))
	}
	s := box.System{
		Driver:    ts.Driver{Re: 5.8, Bl: 6.7, Mms: 14.2e-3, Cms: 1.25e-3, Rms: 0.72, Sd: 136e-4},
		Enclosure: box.Vented{Vb: 0.025, Fb: 39, QL: 7, Area: 38.5e-4},
		Air:       air.Standard(),
	}
	dst := make([]box.Point, points)
	ours, theirs := math.Inf(1), math.Inf(1)
	for range turns {
		const repeats = 50
		for range repeats {
			start := time.Now()
			s.Sweep(dst, hz)
			ours = min(ours, time.Since(start).Seconds())
		}
		if _, err := io.WriteString(in, "go\n"); err != nil {
			return err
		}
		var a struct {
			Seconds  float64      `json:"seconds"`
			Pressure [][2]float64 `json:"pressure"`
		}
		if err := answers.Decode(&a); err != nil {
			return err
		}
		theirs = min(theirs, a.Seconds)
		if len(a.Pressure) != points {
			return fmt.Errorf("%d pressures for %d points", len(a.Pressure), points)
		}
		for i, p := range a.Pressure {
			if d := cmplx.Abs(complex(p[0], p[1])/dst[i].Pressure - 1); !(d < 1e-9) {
				return fmt.Errorf("at %g Hz the pressures differ by %g", hz[i], d)
			}
		}
	}
	if err := in.Close(); err != nil {
		return err
	}
	if err := other.Wait(); err != nil {
		return err
	}
	per := 1e9 / float64(points)
	fmt.Printf("%d points: %.0f ns per point here, %.0f in NumPy: %.1f times\n", points, ours*per, theirs*per, theirs/ours)
	return nil
}
