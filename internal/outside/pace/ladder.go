package main

import (
	"fmt"
	"math"
	"math/cmplx"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// ladderPoints is the grid of a crossover on the bench.
const ladderPoints = 200

// deckPoints are so many that starting ngspice and reading the deck count little;
// the time of one point is taken off besides.
const deckPoints = 100_000

// five is a woofer branch of five arms.
var five = ladder.Network{
	ladder.Shunt(ladder.R(47)),
	ladder.Series(ladder.L(1.2 * units.Millihenry).WithResistance(0.35)),
	ladder.Shunt(ladder.C(15 * units.Microfarad).WithResistance(0.05)),
	ladder.Series(ladder.L(0.8 * units.Millihenry).WithResistance(0.25)),
	ladder.Shunt(ladder.R(7.2), ladder.C(12*units.Microfarad)),
}

// deck is the same for ngspice; sources and resistors of nothing left out.
const deck = `* five arms
V1 in 0 dc 0 ac 1
R1 in 0 47
R2 in a 0.35
L2 a b 1.2m
R3 b c 0.05
C3 c 0 15u
R4 b d 0.25
L4 d out 0.8m
R5 out e 7.2
C5 e 0 12u
R6 out f 5.8
L6 f 0 0.65m
.options noopac
.control
ac lin %d 20 20k
.endc
.end
`

// ladders times the ladder of five arms here, written out by hand, in NumPy and in
// ngspice.
func ladders(python, script, ngspice string, turns int) error {
	hz, load := make([]float64, ladderPoints), make([]complex128, ladderPoints)
	for k := range hz {
		hz[k] = 20 * math.Pow(1000, float64(k)/(ladderPoints-1))
		load[k] = complex(5.8, 2*math.Pi*hz[k]*0.65e-3)
	}
	h, zin := make([]complex128, ladderPoints), make([]complex128, ladderPoints)
	bareH, bareZ := make([]complex128, ladderPoints), make([]complex128, ladderPoints)
	var g ladder.Gradient

	folder, err := os.MkdirTemp("", "pace")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	file := filepath.Join(folder, "deck.cir")
	spice := func(points int) (float64, error) {
		if err := os.WriteFile(file, fmt.Appendf(nil, deck, points), 0o666); err != nil {
			return 0, err
		}
		start := time.Now()
		output, err := exec.Command(ngspice, "-n", "-b", file).CombinedOutput()
		// The exit code is 1 for a deck that only a control block runs.
		if _, ran := err.(*exec.ExitError); err != nil && !ran {
			return 0, fmt.Errorf("%w: %s", err, output)
		}
		return time.Since(start).Seconds(), nil
	}

	other, err := start(python, script, ladderPoints)
	if err != nil {
		return err
	}
	never := math.Inf(1)
	ours, gradient, bare, numpy, one, many := never, never, never, never, never, never
	for range turns {
		ours = min(ours, least(func() { five.Solve(h, zin, hz, load) }))
		bare = min(bare, least(func() { byHand(bareH, bareZ, hz, load) }))
		gradient = min(gradient, least(func() { five.Gradient(&g, hz, load) }))
		var a struct {
			Seconds float64
			H, Zin  [][2]float64
		}
		if err := other.turn(&a); err != nil {
			return err
		}
		numpy = min(numpy, a.Seconds)
		for k := range hz {
			theirH, theirZ := complex(a.H[k][0], a.H[k][1]), complex(a.Zin[k][0], a.Zin[k][1])
			if d := max(cmplx.Abs(theirH/h[k]-1), cmplx.Abs(theirZ/zin[k]-1), cmplx.Abs(bareH[k]/h[k]-1), cmplx.Abs(bareZ[k]/zin[k]-1)); !(d < 1e-9) {
				return fmt.Errorf("at %g Hz the ladders differ by %g", hz[k], d)
			}
		}
		t, err := spice(1)
		if err != nil {
			return err
		}
		one = min(one, t)
		if t, err = spice(deckPoints); err != nil {
			return err
		}
		many = min(many, t)
	}
	if err := other.stop(); err != nil {
		return err
	}
	const per = 1e9 / ladderPoints
	spiced := (many - one) / (deckPoints - 1) * 1e9
	fmt.Printf("ladder of five arms, %d points: %.1f ns per point here, with all derivatives %.1f\n", ladderPoints, ours*per, gradient*per)
	fmt.Printf("  by hand %.1f: we take %.2f times that\n", bare*per, ours/bare)
	fmt.Printf("  in NumPy %.1f: %.1f times ours\n", numpy*per, numpy/ours)
	fmt.Printf("  in ngspice, %d points, %.0f: %.0f times ours\n", deckPoints, spiced, spiced/(ours*per))
	return nil
}

// byHand is the bare loop for this circuit only.
func byHand(h, zin []complex128, hz []float64, load []complex128) {
	h, zin, load = h[:len(hz)], zin[:len(hz)], load[:len(hz)]
	for k, f := range hz {
		w := 2 * math.Pi * f
		iw := 1 / w
		i := 1 + load[k]*reciprocal(complex(7.2, iw*(-1/12e-6)))
		v := load[k] + i*complex(0.25, w*0.8e-3)
		i += v * reciprocal(complex(0.05, iw*(-1/15e-6)))
		v += i * complex(0.35, w*1.2e-3)
		i += v * (1.0 / 47)
		h[k] = load[k] * reciprocal(v)
		zin[k] = v * reciprocal(i)
	}
}

func reciprocal(z complex128) complex128 {
	d := 1 / (real(z)*real(z) + imag(z)*imag(z))
	return complex(real(z)*d, -imag(z)*d)
}
