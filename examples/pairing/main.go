// Pairing tries every woofer of a list with every tweeter in a project's cabinet and
// ranks the pairs: what they cost, how low the woofer goes in the best box the rules
// allow, whether vent and flanges fit, how much louder the tweeter is after the panel's
// loss, how much room there is for the crossing, what load the pair is, and how flat a
// crossover of so many parts can make it.
//
//	go run ./examples/pairing                        the checked-in candidates
//	go run ./examples/pairing -parts 6 -out pairs    and a page with a plot and JSON
//	go run ./examples/pairing -candidates mine/candidates.toml
//
// It exits with 0, 1 after an error, or 130 after an interrupt, which keeps nothing.
package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"strings"

	"example.com/halfspace/examples/internal/design"
	"example.com/halfspace/examples/internal/document"
	"example.com/halfspace/examples/internal/interrupt"
	"example.com/halfspace/examples/internal/plot"
	"example.com/halfspace/examples/internal/program"
	"example.com/halfspace/examples/internal/project"
	"example.com/halfspace/examples/internal/tomlfile"
	"example.com/halfspace/units"
)

func main() {
	ctx, stop := interrupt.Context()
	status := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(status)
}

const usage = `Pairing tries every woofer of a list with every tweeter in a project's cabinet and
ranks the pairs, with the reasons against each.

  go run ./examples/pairing                        the checked-in candidates
  go run ./examples/pairing -parts 6 -out pairs    and a page with a plot and JSON
  go run ./examples/pairing -candidates mine/candidates.toml

A dozen pairs take some seconds with 4 parts, a minute with 6.

It exits with 0, or 1 after an error. Interrupted, it writes nothing and exits with 130.

`

// A list is the file of candidates.
type list struct {
	Project         string // of the twoway program: cabinet, rules, amplifier
	Woofer, Tweeter []project.Driver
}

var kind = document.Kind{Name: "pairing", Tables: []string{"flatness.csv"}}

func run(ctx context.Context, args []string, out, errs io.Writer) int {
	b := program.New("pairing", usage, kind, " and the table", out, errs)
	file := b.String("candidates", "", "`file` of drivers and the project they are for; without it the checked-in ones")
	most := b.Int("parts", 4, "the most crossover parts, 2 to 6")
	stopped := false
	status := b.Run(args, func() error {
		if *most < 2 || *most > 6 {
			return fmt.Errorf("-parts %d: must be from 2 to 6", *most)
		}
		told, err := rank(ctx, *file, *most)
		if stopped = err != nil && errors.Is(err, ctx.Err()); stopped {
			return nil
		} else if err != nil {
			return err
		}
		return b.Say(told, "is also a page with a plot, a table and JSON", nil)
	})
	if stopped {
		fmt.Fprintln(errs, "pairing: interrupted; nothing written")
		return interrupt.Status
	}
	return status
}

func rank(ctx context.Context, file string, most int) (document.Document, error) {
	src := project.Open(file, "pairing")
	if file == "" {
		src.Name = "candidates.toml"
	}
	c, base, err := load(src)
	if err != nil {
		return document.Document{}, err
	}
	pairs, err := design.Pairing(ctx, src, base, c.Woofer, c.Tweeter, most)
	if err != nil {
		return document.Document{}, err
	}
	return tell(base, pairs, most)
}

// load reads the list and its project.
func load(src project.Source) (list, project.Project, error) {
	var c list
	var none project.Project
	name := src.Shown + src.Name
	text, err := fs.ReadFile(src.Files, src.Name)
	if errors.Is(err, fs.ErrNotExist) {
		return c, none, fmt.Errorf("%s: no such file", name)
	} else if err != nil {
		return c, none, fmt.Errorf("%s: %w", name, err)
	}
	if err := tomlfile.Decode(bytes.TrimPrefix(text, []byte("\ufeff")), &c); err != nil {
		return c, none, fmt.Errorf("%s:%w", name, err)
	}
	switch {
	case c.Project == "":
		return c, none, fmt.Errorf("%s: project is missing: must name a project file of the twoway program", name)
	case len(c.Woofer) == 0 || len(c.Tweeter) == 0:
		return c, none, fmt.Errorf("%s: %d woofers and %d tweeters: must be one of each at least", name, len(c.Woofer), len(c.Tweeter))
	case len(c.Woofer)*len(c.Tweeter) > 400:
		return c, none, fmt.Errorf("%s: %d pairs: must be 400 at most", name, len(c.Woofer)*len(c.Tweeter))
	}
	base, err := project.Source{Files: src.Files, Name: c.Project, Shown: src.Shown}.Load()
	return c, base, err
}

func tell(base project.Project, pairs []design.Pair, most int) (document.Document, error) {
	s := document.Section{Question: "Which woofer with which tweeter?", Head: []string{
		"woofer", "tweeter", "drivers, all", "−3 dB", "in", "tuned to", "tweeter louder by", "room to cross", "octaves", "rated at most"}}
	for n := 2; n <= most; n++ {
		s.Head = append(s.Head, fmt.Sprintf("%d parts", n))
	}
	why := document.Section{Question: "What speaks against a pair?"}
	var good []string
	chart := document.Chart{Name: "flatness", Title: "What a number of parts can do", Decimals: 4,
		Question: "Which pair is easy? Ripple on axis with ideal values, pairs that nothing speaks against."}
	chart.Across, chart.Unit, chart.Step = "parts", "ripple, dB", 0.5
	for n := 2; n <= most; n++ {
		chart.X = append(chart.X, float64(n))
	}
	for _, p := range pairs {
		row := []string{p.Woofer, p.Tweeter, fmt.Sprintf("%.2f %s", p.Price, base.Currency), "", "", "", "", "", "", ""}
		if p.F3 > 0 {
			row[3], row[4], row[5] = digits(p.F3, 3), digits(p.Volume, 3), digits(p.Tuning, 3)
			row[6] = fmt.Sprintf("%+.1f dB", p.Margin)
			row[7] = fmt.Sprintf("%s to %s", digits(p.From, 2), digits(p.To, 2))
			row[8], row[9] = fmt.Sprintf("%.1f", p.Overlap()), digits(p.Rated, 2)
		}
		for n := 2; n <= most; n++ {
			cell := ""
			if n < len(p.Flatness) && !math.IsInf(p.Flatness[n], 1) {
				cell = fmt.Sprintf("%.2f dB", p.Flatness[n])
			}
			row = append(row, cell)
		}
		s.Rows = append(s.Rows, row)
		if len(p.Reasons) == 0 {
			good = append(good, p.Woofer+" with "+p.Tweeter)
			line := plot.Line{Name: p.Woofer + " with " + p.Tweeter}
			for n := 2; n <= most; n++ {
				y := math.NaN()
				if n < len(p.Flatness) && !math.IsInf(p.Flatness[n], 1) {
					y = p.Flatness[n]
					chart.Hi = math.Max(chart.Hi, 0.5*math.Ceil(y/0.5+0.01))
				}
				line.Y = append(line.Y, y)
			}
			chart.Lines = append(chart.Lines, line)
			continue
		}
		why.Lines = append(why.Lines, fmt.Sprintf("%s with %s: %s.", p.Woofer, p.Tweeter, strings.Join(p.Reasons, "; ")))
	}
	s.Lines = []string{
		"In the order in which to look at them: fewest reasons against, then flattest, then cheapest.",
		"−3 dB: of the woofer in half space, in the box with the lowest cut-off that the rules and the vent's room allow. Louder: on the cabinet's front, which takes the woofer's bass, not the tweeter; a crossover can only make it softer.",
		"Room to cross: from twice the tweeter's resonance to where the woofer beams or breaks up. Rated: by the driver of lower impedance, 80 % rule of IEC 60268-5 as reported; resistors before a tweeter raise it.",
		"Parts: ripple on axis with ideal values, the tweeter within its travel with programme noise of the amplifier's peaks.",
	}
	verdict := "Something speaks against every pair."
	if len(good) > 0 {
		verdict = "Look first at " + good[0] + "."
	}
	if len(why.Lines) == 0 {
		why.Lines = []string{"Nothing."}
	}
	d := document.Document{Kind: kind, Name: "Pairs for " + base.Name, Verdict: verdict, Sections: []document.Section{s, why, {
		Question: "What to be careful of?", Lines: []string{"A 4 Ω tweeter on an 8 Ω woofer makes a 4 Ω speaker above the crossing, unless resistors stand before it: not every amplifier likes that.",
			"Curves are what makers and others measured; hear or measure a sample before buying many."},
	}}}
	if len(chart.Lines) > 0 && len(chart.X) > 1 {
		d.Charts = []document.Chart{chart}
	}
	text, err := facts(pairs)
	d.JSON = text
	return d, err
}

func facts(pairs []design.Pair) ([]byte, error) {
	type num = document.Num
	type one struct {
		Woofer   string   `json:"woofer"`
		Tweeter  string   `json:"tweeter"`
		Price    num      `json:"drivers_price_all"`
		F3       num      `json:"f3_Hz"`
		Volume   num      `json:"air_L"`
		Tuning   num      `json:"tuning_Hz"`
		Margin   num      `json:"tweeter_louder_dB"`
		From     num      `json:"cross_from_Hz"`
		To       num      `json:"cross_to_Hz"`
		Rated    num      `json:"rated_ohm"`
		Ripple   []num    `json:"ripple_dB_by_parts"`
		Reasons  []string `json:"reasons_against"`
		Feasible bool     `json:"nothing_against"`
	}
	all := []one{}
	for _, p := range pairs {
		o := one{p.Woofer, p.Tweeter, num(p.Price), num(p.F3), num(p.Volume.In(units.Litre)), num(p.Tuning), num(p.Margin), num(p.From), num(p.To), num(p.Rated),
			[]num{}, append([]string{}, p.Reasons...), len(p.Reasons) == 0}
		for _, f := range p.Flatness {
			if !math.IsInf(f, 1) {
				o.Ripple = append(o.Ripple, num(f))
			}
		}
		all = append(all, o)
	}
	text, err := json.MarshalIndent(all, "", "  ")
	return append(text, '\n'), err
}

func digits[Q interface {
	~float64
	String() string
}](q Q, n int) string {
	scale := math.Pow(10, float64(n-1)-math.Floor(math.Log10(math.Abs(float64(q)))))
	if math.IsInf(scale, 0) || math.IsNaN(scale) {
		return q.String()
	}
	return Q(math.Round(float64(q)*scale) / scale).String()
}
