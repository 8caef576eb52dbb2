// Recompute runs ngspice and SciPy on the cases of package outside and compares
// their answers with the recordings, to 1e-9.
//
//	go run ./internal/outside/recompute [-write]
package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"

	"example.com/halfspace/internal/outside"
)

func main() {
	folder := flag.String("folder", "internal/outside", "where cases, scripts and recordings stand")
	ngspice := flag.String("ngspice", "ngspice", "the ngspice to run")
	python := flag.String("python", "/usr/bin/python3", "a Python that has SciPy")
	write := flag.Bool("write", false, "record anew instead of comparing")
	flag.Parse()
	if err := run(*folder, *ngspice, *python, *write); err != nil {
		fmt.Fprintln(os.Stderr, "recompute:", err)
		os.Exit(1)
	}
}

func run(folder, ngspice, python string, write bool) error {
	files := os.DirFS(folder)
	type job struct {
		name    string
		compute func() (outside.Recording, error)
	}
	runs := []job{
		{"boxes", func() (outside.Recording, error) { return boxes(files, ngspice, "boxes") }},
		{"enclosures", func() (outside.Recording, error) { return boxes(files, ngspice, "enclosures") }},
		{"ladders", func() (outside.Recording, error) { return ladders(files, ngspice, "ladders") }},
		{"ladders_resistive", func() (outside.Recording, error) { return ladders(files, ngspice, "ladders_resistive") }},
		{"circuits", func() (outside.Recording, error) { return circuits(files, ngspice) }},
	}
	for _, name := range []string{"prototypes", "sections", "numerics", "vents", "air", "systems", "speakers"} {
		runs = append(runs, job{name, func() (outside.Recording, error) { return scipy(python, folder, name) }})
	}
	failed := false
	for _, r := range runs {
		got, err := r.compute()
		if err != nil {
			return fmt.Errorf("%s: %w", r.name, err)
		}
		if write {
			text, err := got.Encode()
			if err != nil {
				return err
			}
			if err := os.WriteFile(filepath.Join(folder, "testdata", r.name+".json"), text, 0o666); err != nil {
				return err
			}
			fmt.Printf("%-18s recorded, %d cases, %s %s\n", r.name, len(got.Results), got.Tool, got.Version)
			continue
		}
		want, err := outside.ReadRecording(files, r.name)
		if err != nil {
			return err
		}
		worst, lines := outside.Differences(got, want)
		for _, line := range lines {
			fmt.Printf("%s: %s\n", r.name, line)
		}
		failed = failed || len(lines) > 0
		fmt.Printf("%-18s %3d cases, worst difference %.2g, %s %s (recorded: %s)\n", r.name, len(got.Results), worst, got.Tool, got.Version, want.Version)
	}
	if failed {
		return errors.New("answers differ from the recordings")
	}
	return nil
}

func boxes(files fs.FS, ngspice, name string) (outside.Recording, error) {
	c, err := outside.ReadCases[outside.Boxes](files, name)
	if err != nil {
		return outside.Recording{}, err
	}
	drivers, err := outside.ReadCases[outside.Drivers](files, "drivers")
	if err != nil {
		return outside.Recording{}, err
	}
	return spice(ngspice, c.Hz, c.Boxes, func(b outside.Box, hz float64) (string, *outside.Deck) { return b.ID, b.Deck(drivers, hz) })
}

func ladders(files fs.FS, ngspice, name string) (outside.Recording, error) {
	c, err := outside.ReadCases[outside.Ladders](files, name)
	if err != nil {
		return outside.Recording{}, err
	}
	drivers, err := outside.ReadCases[outside.Drivers](files, "drivers")
	if err != nil {
		return outside.Recording{}, err
	}
	return spice(ngspice, c.Hz, c.Ladders, func(l outside.Ladder, hz float64) (string, *outside.Deck) { return l.ID, l.Deck(drivers, hz) })
}

func circuits(files fs.FS, ngspice string) (outside.Recording, error) {
	c, err := outside.ReadCases[outside.Circuits](files, "circuits")
	if err != nil {
		return outside.Recording{}, err
	}
	drivers, err := outside.ReadCases[outside.Drivers](files, "drivers")
	if err != nil {
		return outside.Recording{}, err
	}
	return spice(ngspice, c.Hz, c.Circuits, func(l outside.Circuit, hz float64) (string, *outside.Deck) { return l.ID, l.Deck(drivers, hz) })
}

// spice runs one deck for each case and frequency.
func spice[Case any](ngspice string, hz []float64, cases []Case, deck func(c Case, hz float64) (string, *outside.Deck)) (outside.Recording, error) {
	r := outside.Recording{Tool: "ngspice", Results: map[string]outside.Result{}}
	about, err := exec.Command(ngspice, "--version").Output()
	if err != nil {
		return r, err
	}
	r.Version = string(bytes.TrimPrefix(regexp.MustCompile(`ngspice-\S+`).Find(about), []byte("ngspice-")))

	scratch, err := os.MkdirTemp("", "decks")
	if err != nil {
		return r, err
	}
	defer os.RemoveAll(scratch)
	file := filepath.Join(scratch, "deck.cir")
	for _, c := range cases {
		curves := map[string]outside.Curve{}
		for _, f := range hz {
			id, d := deck(c, f)
			if err := os.WriteFile(file, []byte(d.Text(id)), 0o666); err != nil {
				return r, err
			}
			// The exit code is 1 for a deck that only a control block runs.
			output, _ := exec.Command(ngspice, "-n", "-b", file).CombinedOutput()
			answers, err := d.Read(string(output))
			if err != nil {
				return r, fmt.Errorf("%s at %v Hz: %w", id, f, err)
			}
			for name, v := range answers {
				curves[name] = append(curves[name], v)
			}
			r.Results[id] = outside.Result{Curves: curves}
		}
	}
	return r, nil
}

// scipy runs one script, which prints its answers as JSON.
func scipy(python, folder, name string) (outside.Recording, error) {
	var r outside.Recording
	// -B: no compiled copies beside the scripts.
	run := exec.Command(python, "-B", filepath.Join(folder, "scipy", name+".py"), filepath.Join(folder, "cases"))
	run.Stderr = os.Stderr
	output, err := run.Output()
	if err != nil {
		return r, err
	}
	return r, json.Unmarshal(output, &r)
}
