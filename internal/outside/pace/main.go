// Pace measures how long our library and others take for the same, per point, in
// turns: ours, theirs, ours ... The least of all turns counts for each. It is for the
// curious and holds nothing: machines and versions differ.
//
//	go run ./internal/outside/pace [-points 512] [-turns 20] [-python /usr/bin/python3]
//
// A vented box runs here and in NumPy; a ladder of five arms here, in a loop written
// out by hand, in NumPy and in ngspice; draws of a speaker of six parts here and in
// NumPy. NumPy computes whole vectors of complex128 at once, with the formula of the
// circuit written out in pace.py, pace_ladder.py and pace_spread.py, reusing nothing
// but the frequencies; it is started once and answers each turn. The results are
// compared, so that all do the same.
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
	scripts := flag.String("scripts", filepath.Join("internal", "outside", "scipy"), "where the scripts stand")
	python := flag.String("python", "/usr/bin/python3", "a Python that has NumPy")
	ngspice := flag.String("ngspice", "ngspice", "the ngspice to run")
	points := flag.Int("points", 512, "frequencies of the box, 10 Hz to 10 kHz")
	turns := flag.Int("turns", 20, "turns of each")
	flag.Parse()
	err := run(*python, filepath.Join(*scripts, "pace.py"), *points, *turns)
	if err == nil {
		err = ladders(*python, filepath.Join(*scripts, "pace_ladder.py"), *ngspice, *turns)
	}
	if err == nil {
		err = draws(*python, filepath.Join(*scripts, "pace_spread.py"), *turns)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "pace:", err)
		os.Exit(1)
	}
}

func run(python, script string, points, turns int) error {
	if points < 2 || turns < 1 {
		return fmt.Errorf("%d points, %d turns: need at least 2 and 1", points, turns)
	}
	other, err := start(python, script, points)
	if err != nil {
		return err
	}
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
		ours = min(ours, least(func() { s.Sweep(dst, hz) }))
		var a struct {
			Seconds  float64      `json:"seconds"`
			Pressure [][2]float64 `json:"pressure"`
		}
		if err := other.turn(&a); err != nil {
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
	if err := other.stop(); err != nil {
		return err
	}
	per := 1e9 / float64(points)
	fmt.Printf("vented box, %d points: %.0f ns per point here, %.0f in NumPy: %.1f times\n", points, ours*per, theirs*per, theirs/ours)
	return nil
}

// least returns the shortest of 50 runs in seconds.
func least(f func()) float64 {
	shortest := math.Inf(1)
	for range 50 {
		start := time.Now()
		f()
		shortest = min(shortest, time.Since(start).Seconds())
	}
	return shortest
}

// numpy is a script that answers each line it reads.
type numpy struct {
	run     *exec.Cmd
	in      io.WriteCloser
	answers *json.Decoder
}

func start(python, script string, points int, more ...string) (*numpy, error) {
	// -B: no compiled copies beside the scripts.
	run := exec.Command(python, append([]string{"-B", script, fmt.Sprint(points)}, more...)...)
	run.Stderr = os.Stderr
	in, err := run.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := run.StdoutPipe()
	if err != nil {
		return nil, err
	}
	return &numpy{run, in, json.NewDecoder(bufio.NewReader(out))}, run.Start()
}

// turn has the script compute once more and reads its answer.
func (n *numpy) turn(answer any) error {
	if _, err := io.WriteString(n.in, "go\n"); err != nil {
		return err
	}
	return n.answers.Decode(answer)
}

func (n *numpy) stop() error {
	if err := n.in.Close(); err != nil {
		return err
	}
	return n.run.Wait()
}
