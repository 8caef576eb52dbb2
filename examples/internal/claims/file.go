package claims

import (
	"fmt"
	"io/fs"
	"math"
	"reflect"
	"strings"

	"example.com/halfspace/filter/response"
	"example.com/halfspace/units"
	"example.com/halfspace/units/air"
)

// A File is a claims file that was read.
type File struct {
	Title string
	cases []aCase
}

type aCase struct {
	node         *node
	id, question string
	capability   Capability
	input        reflect.Value // addressable struct
	claims       []claim
}

// A claim is one statement, or one table of them.
type claim struct {
	node      *node
	output    Output
	of        string
	at        []float64
	atText    string
	values    []float64 // SI, dB for levels
	phases    []float64 // degrees; nil if none are claimed
	text      string    // the value as written; the word, of a word
	phase     bool      // the value is a phase
	tolerance float64
	allowed   string // the tolerance as written
	relative  bool
	turn      float64 // degrees allowed between phases of a table
	shown     shown
	file      string // of a table
}

type (
	fileForm struct {
		Schema string    `in:"$schema,optional"`
		Title  string    `in:"title"`
		Air    *airForm  `in:"air,optional"`
		Cases  []rawNode `in:"cases"`
	}
	airForm struct {
		Density units.Density  `in:"density"`
		Speed   units.Velocity `in:"speed of sound"`
	}
	caseForm struct {
		ID         string    `in:"id"`
		Question   string    `in:"question,optional"`
		Capability rawNode   `in:"capability"`
		Air        *airForm  `in:"air,optional"`
		Inputs     rawNode   `in:"inputs"`
		Claims     []rawNode `in:"claims"`
	}
	claimForm struct {
		Output    rawNode   `in:"output"`
		Of        string    `in:"of,optional"`
		At        rawNode   `in:"at,optional"`
		Value     rawNode   `in:"value,optional"`
		Table     *rawTable `in:"table,optional"`
		Tolerance rawNode   `in:"tolerance,optional"`
		Turn      rawNode   `in:"phase tolerance,optional"`
		Note      string    `in:"note,optional"`
	}
	rawTable struct {
		File  string          `in:"file"`
		At    string          `in:"at"`
		Value string          `in:"value,optional"`
		Unit  string          `in:"unit,optional"`
		Phase string          `in:"phase,optional"`
		From  units.Frequency `in:"from,optional"`
		To    units.Frequency `in:"to,optional"`

		node *node
		data *response.Table
	}
	// rawNode is looked at later.
	rawNode struct{ *node }
)

func (t *rawTable) load(n *node, files fs.FS) (err error) {
	t.node = n
	t.data, err = readTable(n, t.File, files)
	return err
}

// Read reads the claims of a file and all tables they point at; name is that of the
// file in messages, and files its folder. The error joins up to ten [InputError].
func Read(name string, text []byte, files fs.FS) (*File, error) {
	root, err := parse(&source{name, text})
	if err != nil {
		return nil, err
	}
	var form fileForm
	if err := decode(root, reflect.ValueOf(&form).Elem(), files); err != nil {
		return nil, err
	}
	if len(form.Cases) == 0 {
		return nil, root.errorf("no cases")
	}
	f := &File{Title: form.Title}
	medium, err := form.Air.air(air.Standard(), root)
	if err != nil {
		return nil, err
	}
	var failed failures
	claims := 0
	for _, n := range form.Cases {
		if items, ok := n.at("claims").value.([]*node); ok {
			claims += len(items)
		}
		if claims > MaxClaims {
			return nil, n.errorf("more than %d claims", MaxClaims)
		}
		c, err := readCase(n.node, medium, files)
		if failed.add(err) {
			break
		}
		f.cases = append(f.cases, c)
	}
	if err := failed.err(); err != nil {
		return nil, err
	}
	return f, nil
}

// at returns a member, an empty one if there is none.
func (n *node) at(name string) *node {
	members, _ := n.value.([]member)
	for _, m := range members {
		if m.name == name {
			return m.node
		}
	}
	return &node{}
}

func (a *airForm) air(otherwise air.Air, n *node) (air.Air, error) {
	if a == nil {
		return otherwise, nil
	}
	x := air.Air{Density: a.Density, SpeedOfSound: a.Speed}
	if err := x.Check(); err != nil {
		return x, n.errorf("%v", err)
	}
	return x, nil
}

func readCase(n *node, medium air.Air, files fs.FS) (aCase, error) {
	var form caseForm
	if err := decode(n, reflect.ValueOf(&form).Elem(), files); err != nil {
		return aCase{}, err
	}
	c := aCase{node: n, id: form.ID, question: form.Question}
	name, ok := form.Capability.value.(string)
	if !ok {
		return c, form.Capability.errorf("%s: want a text", form.Capability.show())
	}
	var problem string
	if c.capability, problem = Find(name); problem != "" {
		return c, form.Capability.errorf("%s", problem)
	}
	medium, err := form.Air.air(medium, n)
	if err != nil {
		return c, err
	}
	c.input = reflect.New(c.capability.input).Elem()
	if err := decode(form.Inputs.node, c.input, files); err != nil {
		return c, err
	}
	breathe(c.input, medium)
	if len(form.Claims) == 0 {
		return c, n.errorf("no claims")
	}
	for _, m := range form.Claims {
		k, err := readClaim(m.node, c.capability, files)
		if err != nil {
			return c, err
		}
		c.claims = append(c.claims, k)
	}
	return c, nil
}

// breathe gives inputs the air, if they have a place for it.
func breathe(input reflect.Value, a air.Air) {
	if m, ok := input.Addr().Interface().(interface{ setAir(air.Air) }); ok {
		m.setAir(a)
	}
}

func readClaim(n *node, c Capability, files fs.FS) (claim, error) {
	var form claimForm
	k := claim{node: n}
	if err := decode(n, reflect.ValueOf(&form).Elem(), files); err != nil {
		return k, err
	}
	name, ok := form.Output.value.(string)
	if !ok {
		return k, form.Output.errorf("%s: want a text", form.Output.show())
	}
	var names []string
	for _, o := range c.Outputs {
		names = append(names, o.Name)
		if o.Name == name {
			k.output = o
		}
	}
	if k.output.Name == "" {
		return k, form.Output.errorf("%s", unknown("output of "+c.Name, name, names))
	}
	o := k.output
	k.of = form.Of
	switch {
	case o.Of != "" && k.of == "":
		return k, n.errorf("%s: say of which %s, as \"of\"", o.Name, o.Of)
	case o.Of == "" && k.of != "":
		return k, n.errorf("%s is of nothing in particular: leave out \"of\"", o.Name)
	case (form.Table != nil) == (form.Value.node != nil):
		return k, n.errorf("want either value or table")
	case form.Table != nil:
		return k, k.readTable(form)
	}
	if o.Word {
		text, ok := form.Value.value.(string)
		switch {
		case !ok:
			return k, form.Value.errorf("%s: want a word", form.Value.show())
		case form.At.node != nil || form.Tolerance.node != nil:
			return k, n.errorf("%s is a word: leave out at and tolerance", o.Name)
		}
		k.text = text
		return k, nil
	}
	switch {
	case o.At != "" && form.At.node == nil:
		return k, n.errorf("%s is a function of %s: say at which, as \"at\", or give a table", o.Name, o.At)
	case o.At == "" && form.At.node != nil:
		return k, form.At.errorf("%s is a function of nothing: leave out \"at\"", o.Name)
	case o.At != "":
		at, err := quantity(form.At.node, o.at)
		if err != nil {
			return k, err
		}
		if o.At == "frequency" && !(at > 0) {
			return k, form.At.errorf("%s: must be positive", form.At.show())
		}
		k.at = []float64{at}
		k.atText = plainText(form.At.node)
	}
	return k, k.readValue(form)
}

func plainText(n *node) string {
	if s, ok := n.value.(string); ok {
		return s
	}
	return n.show()
}

// readValue reads a value with its tolerance: an angle where a phase is claimed.
func (k *claim) readValue(form claimForm) error {
	kind := k.output.kind
	v, err := quantity(form.Value.node, kind)
	if err != nil && k.output.Phase {
		angle := kinds[reflect.TypeFor[units.Angle]()]
		p, noAngle := quantity(form.Value.node, angle)
		if noAngle != nil {
			return fmt.Errorf("%w; nor is it an angle", err)
		}
		v, err, kind, k.phase = p, nil, angle, true
	}
	if err != nil {
		return err
	}
	k.text = plainText(form.Value.node)
	k.values = []float64{v}
	k.shown = kind.shownAs(k.text)
	if form.Turn.node != nil {
		return form.Turn.errorf("a phase tolerance belongs to a table: here the tolerance is that of the value")
	}
	if form.Tolerance.node == nil {
		text, ok := half(k.text)
		if !ok || kind.name == "temperature" {
			return k.node.errorf("no tolerance, and none follows from the digits of %s", quote(k.text))
		}
		if k.tolerance, err = kind.parse(text); err != nil || !(k.tolerance > 0) {
			return k.node.errorf("no tolerance, and none follows from the digits of %s", quote(k.text))
		}
		k.allowed = "half a digit"
		return nil
	}
	return k.readTolerance(form.Tolerance.node, kind)
}

// readTolerance reads a share in %, or a quantity of the kind.
func (k *claim) readTolerance(n *node, kind kind) error {
	k.allowed = plainText(n)
	if text := strings.TrimSpace(k.allowed); strings.HasSuffix(text, "%") {
		t, err := units.Parse[units.Ratio](text)
		switch {
		case err != nil:
			return n.errorf("%s is no tolerance: %v", n.show(), err)
		case kind.unit == "dB" || kind.unit == "°":
			return n.errorf("%s: a share of a %s says nothing: want %s", n.show(), kind.name, kind.unit)
		case !(t >= 0 && t < 1):
			return n.errorf("%s: must be from 0 %% to below 100 %%", n.show())
		}
		k.tolerance, k.relative = float64(t), true
		return nil
	}
	t, err := quantity(n, kind)
	if err != nil {
		return err
	}
	if kind.name == "temperature" && !strings.HasSuffix(strings.TrimSpace(k.allowed), "K") {
		return n.errorf("%s: a tolerance of temperature is in K", n.show())
	}
	if !(t >= 0) {
		return n.errorf("%s: must not be negative", n.show())
	}
	k.tolerance = t
	return nil
}

// readTable takes the columns of a table.
func (k *claim) readTable(form claimForm) error {
	o, t := k.output, form.Table
	switch {
	case o.At == "":
		return t.node.errorf("%s is a function of nothing: want a value", o.Name)
	case form.At.node != nil:
		return form.At.errorf("a table has its own points: leave out \"at\"")
	case form.Tolerance.node == nil && t.Value != "":
		return k.node.errorf("a table needs a tolerance")
	case t.Value == "" && t.Phase == "":
		return t.node.errorf("want a column of values, of phases or both")
	case t.Phase != "" && !o.Phase:
		return t.node.errorf("%s has no phase", o.Name)
	case t.Phase != "" && form.Turn.node == nil:
		return k.node.errorf("a column of phases needs a phase tolerance")
	}
	unit := t.Unit
	if unit == "" {
		unit = o.kind.unit
	}
	one, err := o.kind.parse(strings.TrimSpace("1 " + unit))
	if err != nil || o.kind.name == "temperature" {
		return t.node.errorf("unit %s is none of a %s", quote(unit), o.kind.name)
	}
	axis := 1.0
	if o.at.unit != "Hz" { // columns are in the unit of the axis: ms, °
		axis = o.at.scale
	}
	column := func(name string, scale float64) ([]float64, error) {
		c, err := t.data.Column(name)
		if err != nil {
			return nil, t.node.errorf("%s: %s", quote(t.File), quoteLines(err.Error()))
		}
		scaled := make([]float64, len(c))
		for i, x := range c {
			scaled[i] = x * scale
		}
		return scaled, nil
	}
	at, err := column(t.At, axis)
	if err != nil {
		return err
	}
	var values, phases []float64
	if t.Value != "" {
		if values, err = column(t.Value, one); err != nil {
			return err
		}
		if err := k.readTolerance(form.Tolerance.node, o.kind); err != nil {
			return err
		}
	}
	if t.Phase != "" {
		if phases, err = column(t.Phase, 1); err != nil {
			return err
		}
		turn, err := quantity(form.Turn.node, kinds[reflect.TypeFor[units.Angle]()])
		if err != nil {
			return err
		}
		if !(turn >= 0) {
			return form.Turn.errorf("%s: must not be negative", form.Turn.show())
		}
		k.turn = turn * 180 / math.Pi
	}
	hi := float64(t.To)
	if hi == 0 {
		hi = math.Inf(1)
	}
	for i, x := range at {
		if o.At == "frequency" && !(x > 0) {
			return t.node.errorf("%s: line %d: frequency %v: must be positive", quote(t.File), t.data.Lines[i], x)
		}
		if x < float64(t.From) || x > hi {
			continue
		}
		k.at = append(k.at, x)
		if values != nil {
			k.values = append(k.values, values[i])
		}
		if phases != nil {
			k.phases = append(k.phases, phases[i])
		}
	}
	if len(k.at) == 0 {
		return t.node.errorf("%s: no row from %v to %v", quote(t.File), t.From, t.To)
	}
	k.file = t.File
	k.shown = shown{strings.TrimRight(" "+unit, " "), one, o.kind.zero()}
	return nil
}

// failures collects errors, up to ten.
type failures []error

// add says whether it is enough.
func (f *failures) add(err error) bool {
	if err != nil {
		*f = append(*f, err)
	}
	return len(*f) == 10
}

func (f failures) err() error {
	if len(f) == 0 {
		return nil
	}
	return Errors(f)
}

// Errors are several, one to a line.
type Errors []error

func (e Errors) Error() string {
	lines := make([]string, len(e))
	for i, err := range e {
		lines[i] = err.Error()
	}
	return strings.Join(lines, "\n")
}

func (e Errors) Unwrap() []error { return e }
