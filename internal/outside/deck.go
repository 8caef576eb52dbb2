package outside

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A Deck is a circuit for ngspice at one frequency, and what to print of it.
// Elements whose value depends on frequency get the one for it.
type Deck struct {
	hz    float64
	count int
	lines []string
	asked []string // expressions, in the order of names
	names []string
}

// number keeps every digit.
func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// add writes an element: a letter and its nodes, then its value.
func (d *Deck) add(letter, format string, args ...any) string {
	d.count++
	name := letter + strconv.Itoa(d.count)
	d.lines = append(d.lines, name+" "+fmt.Sprintf(format, args...))
	return name
}

// node returns a node that nothing else uses.
func (d *Deck) node() string {
	d.count++
	return "n" + strconv.Itoa(d.count)
}

// ask has an expression printed under a name.
func (d *Deck) ask(name, expression string) {
	d.names = append(d.names, name)
	d.asked = append(d.asked, expression)
}

// meter joins two nodes and returns its name: i(name) is the current from a to b,
// and sources can be controlled by it.
func (d *Deck) meter(a, b string) string { return d.add("V", "%s %s 0", a, b) }

// An element is R, L or C; zero R and L are wires and are left out, as ngspice takes
// a resistor of 0 Ω for one of 1 mΩ.
type element struct {
	letter string
	value  float64
}

// chain puts elements in series between two nodes.
func (d *Deck) chain(a, b string, elements ...element) {
	at := a
	for _, e := range elements {
		if e.value == 0 {
			continue
		}
		next := d.node()
		d.add(e.letter, "%s %s %s", at, next, number(e.value))
		at = next
	}
	d.meter(at, b)
}

func (d *Deck) omega() float64 { return 2 * math.Pi * d.hz }

// power is the impedance k (jω)^n of 0 < n < 1 at the frequency of the deck, as
// resistance and inductance in series: (jω)^n = ω^n (cos(nπ/2) + j sin(nπ/2)).
func (d *Deck) power(k, n float64) (r, l element) {
	sin, cos := math.Sincos(n * math.Pi / 2)
	modulus := k * math.Pow(d.omega(), n)
	return element{"R", modulus * cos}, element{"L", modulus * sin / d.omega()}
}

// voiceCoil puts the electrical impedance of a coil at rest between two nodes.
func (d *Deck) voiceCoil(a, b string, drv Driver) {
	c := drv.Coil
	lossy, end := d.node(), d.node()
	d.chain(a, lossy, element{"R", drv.Re}, element{"L", c.Leb})
	if c.Le == 0 && c.Ke == 0 {
		d.meter(lossy, end)
	}
	if c.Le > 0 {
		d.chain(lossy, end, element{"L", c.Le})
	}
	if c.Rss > 0 {
		d.chain(lossy, end, element{"R", c.Rss})
	}
	if c.Ke > 0 {
		r, l := d.power(c.Ke, 0.5)
		d.chain(lossy, end, r, l)
	}
	if c.K > 0 {
		r, l := d.power(c.K, c.N)
		d.chain(end, b, r, l)
	} else {
		d.meter(end, b)
	}
}

// Text returns the deck. Nothing in it has an operating point to find; noopac spares
// ngspice the search, which would end where capacitors leave a node without path to
// ground.
func (d *Deck) Text(title string) string {
	return "* " + title + "\n" + strings.Join(d.lines, "\n") + "\n.options noopac\n.control\nset numdgt=15\n" +
		fmt.Sprintf("ac lin 1 %[1]s %[1]s\n", number(d.hz)) +
		"print " + strings.Join(d.asked, "\nprint ") + "\n.endc\n.end\n"
}

// Read takes the answers from what ngspice printed, in the order asked.
func (d *Deck) Read(output string) (map[string]complex128, error) {
	var values []complex128
	for line := range strings.Lines(output) {
		name, text, ok := strings.Cut(strings.TrimSpace(line), " = ")
		if !ok || len(values) == len(d.asked) || name != strings.ToLower(d.asked[len(values)]) {
			continue
		}
		re, im, ok := strings.Cut(text, ",")
		x, err := strconv.ParseFloat(re, 64)
		if err != nil || !ok {
			return nil, fmt.Errorf("outside: ngspice printed %q", line)
		}
		y, err := strconv.ParseFloat(im, 64)
		if err != nil {
			return nil, fmt.Errorf("outside: ngspice printed %q", line)
		}
		values = append(values, complex(x, y))
	}
	if len(values) != len(d.asked) {
		return nil, fmt.Errorf("outside: ngspice answered %d of %d questions; it said:\n%s", len(values), len(d.asked), output)
	}
	answers := map[string]complex128{}
	for i, name := range d.names {
		answers[name] = values[i]
	}
	return answers, nil
}
