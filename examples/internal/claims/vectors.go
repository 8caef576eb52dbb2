package claims

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/halfspace/filter/ladder"
	"example.com/halfspace/units"
)

// Vectors are published values as vectors.json of internal/golden holds them.
type Vectors struct {
	Rows []Row `json:"rows"`
}

// A Row is one published value.
type Row struct {
	Package     string           `json:"package"`
	File        string           `json:"file"`
	ID          string           `json:"id"`
	Calculation string           `json:"calculation"`
	Inputs      map[string]Given `json:"inputs"`
	Value       string           `json:"value"`
	Unit        string           `json:"unit"`
	Tolerance   struct {
		Kind  string `json:"kind"`
		Value string `json:"value"`
	} `json:"tolerance"`
}

// Given is a number with its unit or, without a unit, a word.
type Given struct {
	Value string `json:"value"`
	Unit  string `json:"unit"`
	Word  string `json:"word"`
}

// text is what stands in a claim.
func (g Given) text() string {
	if g.Unit == "" {
		return g.Word
	}
	return withUnit(g.Value, g.Unit)
}

// spelt are units that rows spell in their own way.
var spelt = map[string]string{"1": "", "N/A": "T·m", "Pa.s": "Pa·s"}

func withUnit(number, unit string) string {
	if u, ok := spelt[unit]; ok {
		unit = u
	}
	return strings.TrimSpace(number + " " + unit)
}

//go:embed vectors.csv
var translationText []byte

// A translation says which claim a calculation of the rows is.
type translation struct {
	Package, Calculation string
	Capability, Output   string
	how                  []string
	Reason               string // why there is none; empty if there is
}

var translations = func() []translation {
	records, err := csv.NewReader(bytes.NewReader(translationText)).ReadAll()
	if err != nil {
		panic(err)
	}
	var all []translation
	for _, r := range records[1:] {
		t := translation{Package: r[0], Calculation: r[1], Capability: r[2], Output: r[3]}
		if t.Capability == "" {
			t.Reason = r[4]
		} else {
			for how := range strings.SplitSeq(r[4], ";") {
				if how = strings.TrimSpace(how); how != "" {
					t.how = append(t.how, how)
				}
			}
		}
		all = append(all, t)
	}
	return all
}()

// NotCovered are rows that are no claims, and why.
type NotCovered struct {
	Package, Calculation, Reason string
	Rows                         int
}

// ReadVectors makes a claims file of published values: one case for each row that is
// a claim, and says what is none, in the order of the rows.
func ReadVectors(name string, data []byte, files fs.FS) (*File, []NotCovered, error) {
	var v Vectors
	if len(data) > MaxBytes {
		return nil, nil, fmt.Errorf("%s: %d bytes: at most %d", name, len(data), MaxBytes)
	}
	if err := json.Unmarshal(data, &v); err != nil {
		return nil, nil, fmt.Errorf("%s: %s", name, quoteLines(err.Error()))
	}
	if len(v.Rows) == 0 {
		return nil, nil, fmt.Errorf("%s: no rows", name)
	}
	var cases []jsonCase
	var not []NotCovered
	for _, r := range v.Rows {
		i := slices.IndexFunc(translations, func(t translation) bool { return t.Package == r.Package && t.Calculation == r.Calculation })
		t := translation{Reason: "not yet a claim"}
		if i >= 0 {
			t = translations[i]
		}
		if t.Reason != "" {
			k := slices.IndexFunc(not, func(n NotCovered) bool { return n.Package == r.Package && n.Calculation == r.Calculation })
			if k < 0 {
				k = len(not)
				not = append(not, NotCovered{r.Package, r.Calculation, t.Reason, 0})
			}
			not[k].Rows++
			continue
		}
		c, err := t.claim(r)
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %s, row %s, %s: %w", name, r.Package, r.ID, r.Calculation, err)
		}
		cases = append(cases, c)
	}
	text, err := json.MarshalIndent(jsonFile{"Published values", cases}, "", " ")
	if err != nil {
		return nil, nil, err
	}
	if len(cases) == 0 {
		return nil, nil, fmt.Errorf("%s: none of its rows is a claim", name)
	}
	f, err := Read(name, text, files)
	return f, not, err
}

type (
	jsonFile struct {
		Title string     `json:"title"`
		Cases []jsonCase `json:"cases"`
	}
	jsonCase struct {
		ID         string            `json:"id"`
		Capability string            `json:"capability"`
		Air        map[string]string `json:"air,omitempty"`
		Inputs     map[string]any    `json:"inputs"`
		Claims     []jsonClaim       `json:"claims"`
	}
	jsonClaim struct {
		Output    string `json:"output"`
		Of        string `json:"of,omitempty"`
		At        string `json:"at,omitempty"`
		Value     string `json:"value"`
		Tolerance string `json:"tolerance"`
	}
)

// claim turns a row into a case. What its inputs are called in the claim, and what
// they lack, is said in steps:
//
//	new=old      an input under another name; a unit after it stands for its own,
//	             old*2 and 1/old calculate
//	at=old       where the output is taken, likewise
//	of=old       of what; "letter" after it: the letter of that number
//	+new=text    an input that the calculation takes for granted
//	at:text      likewise
//	keep=old     an input that is used twice
//	unit=text    the unit of the value
//	times=number what the value is multiplied by
//	@circuit     the network of that name
func (t translation) claim(r Row) (jsonCase, error) {
	c := jsonCase{ID: r.Package + ": " + r.ID + ": " + r.Calculation, Capability: t.Capability, Inputs: map[string]any{}}
	k := jsonClaim{Output: t.Output}
	unit, times := r.Unit, 1.0
	given := map[string]Given{}
	for name, g := range r.Inputs {
		given[name] = g
	}
	put := func(name string, value any) {
		switch name {
		case "air.density", "rho":
			c.air("density", fmt.Sprint(value))
		case "air.speed of sound", "c":
			c.air("speed of sound", fmt.Sprint(value))
		default:
			c.Inputs[name] = value
		}
	}
	used := map[string]bool{}
	kept := map[string]bool{}
	for _, step := range t.how {
		key, rest, _ := strings.Cut(step, "=")
		switch {
		case step == "@circuit":
			name := given["circuit"].Word
			for input, value := range circuits[name] {
				put(input, value)
			}
			used["circuit"] = true
			if circuits[name] == nil {
				n, err := simpleCircuit(name, given, used)
				if err != nil {
					return c, err
				}
				for input, value := range n {
					put(input, value)
				}
			}
		case strings.HasPrefix(step, "at:"):
			k.At = step[3:]
		case strings.HasPrefix(step, "of:"):
			k.Of = step[3:]
		case strings.HasPrefix(step, "+"):
			put(key[1:], rest)
		case key == "unit":
			unit = rest
		case key == "keep":
			kept[rest] = true
		case key == "times":
			x, err := strconv.ParseFloat(rest, 64)
			if err != nil {
				return c, err
			}
			times = x
		case key == "of":
			of, err := ofWhat(rest, given, used)
			if err != nil {
				return c, err
			}
			k.Of = of
		default: // an input; one that this row does not have is left out
			text, ok, err := calculated(rest, given, used)
			if err != nil {
				return c, err
			}
			if !ok {
				continue
			}
			if key == "at" {
				if text == "0 Hz" { // a limit
					text = "1e-9 Hz"
				}
				k.At = text
			} else {
				put(key, text)
			}
		}
	}
	if t.Calculation == "three-way constant" {
		if err := c.threeWay(&k, given, used); err != nil {
			return c, err
		}
		unit = map[bool]string{true: "H", false: "F"}[k.Output == "coil"]
		times = 1
		if given["way"].Word == "mid" {
			times = 1 / math.Sqrt(numeric(given["ratio"]))
		} else if given["way"].Word == "high" {
			times = 1 / numeric(given["ratio"])
		}
	}
	for name, g := range given {
		if !used[name] || kept[name] {
			put(name, g.text())
		}
	}
	if strings.Contains(k.Output, ":") {
		output := ""
		for alternative := range strings.SplitSeq(k.Output, " ") {
			if u, o, _ := strings.Cut(alternative, ":"); u == unit {
				output = o
			}
		}
		if output == "" {
			return c, fmt.Errorf("no output in %s", unit)
		}
		k.Output = output
	}
	value, err := strconv.ParseFloat(r.Value, 64)
	if err != nil {
		return c, err
	}
	limit, err := strconv.ParseFloat(r.Tolerance.Value, 64)
	if err != nil {
		return c, err
	}
	if r.Tolerance.Kind == "relative" {
		limit *= math.Abs(value)
	}
	k.Value = withUnit(r.Value, unit)
	if times != 1 {
		k.Value = withUnit(decimal(value*times), unit)
	}
	k.Tolerance = withUnit(decimal(limit*math.Abs(times)), unit)
	if unit == "%" { // a tolerance in % would be a share
		k.Tolerance = decimal(limit / 100)
	}
	c.Claims = []jsonClaim{k}
	return c, nil
}

func decimal(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

func numeric(g Given) float64 {
	x, err := strconv.ParseFloat(g.Value, 64)
	if err != nil {
		return math.NaN()
	}
	return x
}

// air sets one figure of the air of the case; the other is that of the standard air.
func (c *jsonCase) air(name, value string) {
	if c.Air == nil {
		c.Air = map[string]string{"density": "1.18 kg/m³", "speed of sound": "345 m/s"}
	}
	c.Air[name] = value
}

// calculated reads "old", "old unit", "old*2", "old*other unit" and "1/old".
func calculated(how string, given map[string]Given, used map[string]bool) (string, bool, error) {
	name, unit := "", ""
	for g := range given { // the longest name that fits: "kinematic viscosity Pa·s"
		old := strings.TrimPrefix(how, "1/")
		if len(g) > len(name) && (how == g || old == g || strings.HasPrefix(old, g+" ") || strings.HasPrefix(old, g+"*")) {
			name = g
		}
	}
	g, ok := given[name]
	if !ok {
		return "", false, nil
	}
	used[name] = true
	if how == name {
		return g.text(), true, nil
	}
	rest := strings.TrimPrefix(strings.TrimPrefix(how, "1/"), name)
	x := numeric(g)
	if strings.HasPrefix(how, "1/") {
		x = 1 / x
	}
	if factor, ok := strings.CutPrefix(rest, "*"); ok {
		factor, rest, _ = strings.Cut(factor, " ")
		f, err := strconv.ParseFloat(factor, 64)
		if err != nil {
			if f = numeric(given[factor]); math.IsNaN(f) {
				return "", false, fmt.Errorf("%s: no number", how)
			}
		}
		x *= f
	}
	unit = strings.TrimSpace(rest)
	if unit == "" {
		unit = g.Unit
	}
	return withUnit(decimal(x), unit), true, nil
}

// ofWhat reads "old", "old letter", "old two A C" (the first or the second) and
// "old W1 A T1 B" (by its word).
func ofWhat(how string, given map[string]Given, used map[string]bool) (string, error) {
	words := strings.Fields(how)
	g := given[words[0]]
	used[words[0]] = true
	switch n := numeric(g); {
	case len(words) == 1:
		return g.text(), nil
	case words[1] == "letter" && n >= 1:
		return ladder.Letter(int(n) - 1), nil
	case words[1] == "two" && (n == 1 || n == 2):
		return words[1+int(n)], nil
	}
	if i := slices.Index(words, g.Word); i > 0 && i+1 < len(words) {
		return words[i+1], nil
	}
	return "", fmt.Errorf("%s: no such thing", how)
}

// threeWay names a part of the three ladders; the rows count them from the source.
func (c *jsonCase) threeWay(k *jsonClaim, given map[string]Given, used map[string]bool) error {
	// Frequencies are 1 Hz and the ratio; a row's constant is for its own frequency.
	ratio := numeric(given["ratio"])
	x := threeWay{Order: int(numeric(given["order"])), Low: 1, High: units.Frequency(ratio), Mid: given["mid"].Word}
	c.Inputs["low"], c.Inputs["high"] = "1 Hz", withUnit(decimal(ratio), "Hz")
	n, err := x.networks()
	if err != nil {
		return err
	}
	p, err := nth(n[given["way"].Word], int(numeric(given["element"])))
	if err != nil {
		return err
	}
	letter := ladder.Letter(int(numeric(given["element"])) - 1)
	k.Of = given["way"].Word + " " + letter
	k.Output = map[ladder.Kind]string{ladder.Inductor: "coil", ladder.Capacitor: "capacitor"}[p.Kind]
	for _, name := range []string{"ratio", "way", "element"} {
		used[name] = true
	}
	return nil
}
