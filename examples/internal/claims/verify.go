package claims

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"reflect"
	"strconv"
	"strings"
)

// A Result is what became of one claim. Numbers are texts with the unit of the claim.
type Result struct {
	Case, Question, Capability string
	Output, Of, At             string // At is that of the worst row of a table

	Claimed, Expected, Deviation, Allowed string
	Holds                                 bool

	File         string // of a table; else empty
	Rows, Misses int    // of a table
}

// Verify recomputes all claims. An error is a case for which nothing can be computed,
// as up to ten [InputError].
func (f *File) Verify() ([]Result, error) {
	var all []Result
	var failed failures
	for _, c := range f.cases {
		for _, k := range c.claims {
			r, err := c.verify(k)
			if err != nil {
				if failed.add(k.node.errorf("%s", quoteLines(err.Error()))) {
					return nil, failed.err()
				}
				continue
			}
			all = append(all, r)
		}
	}
	return all, failed.err()
}

// Claims counts them; a table is one.
func (f *File) Claims() int {
	n := 0
	for _, c := range f.cases {
		n += len(c.claims)
	}
	return n
}

// hair is what tolerances are widened by, as decimals are not binary.
const hair = 1 + 1e-9

func (c aCase) verify(k claim) (Result, error) {
	r := Result{
		Case: c.id, Question: c.question, Capability: c.capability.Name,
		Output: k.output.Name, Of: k.of, At: k.atText, Claimed: k.text, Allowed: k.allowed, File: k.file,
	}
	if k.output.Word {
		got, err := k.output.word(c.input.Interface(), query{k.of, k.at})
		r.Expected, r.Holds = got, got == k.text
		return r, err
	}
	got, err := c.compute(k)
	if err != nil {
		return r, err
	}
	worst, worstBy, worstPhase := 0, -1.0, k.phase
	for i := range got {
		if k.values != nil {
			want, allowed := k.expected(got[i]), k.tolerance
			if k.relative {
				allowed *= math.Abs(k.values[i])
			}
			by := excess(k.deviation(k.values[i], want), allowed)
			if by > 1 {
				r.Misses++
			}
			if by > worstBy {
				worst, worstBy, worstPhase = i, by, k.phase
			}
		}
		if k.phases != nil {
			by := excess(turn(k.phases[i], degrees(got[i])), k.turn)
			if by > 1 && (k.values == nil || excess(k.deviation(k.values[i], k.expected(got[i])), k.allowedAt(i)) <= 1) {
				r.Misses++
			}
			if by > worstBy {
				worst, worstBy, worstPhase = i, by, true
			}
		}
	}
	r.Holds = worstBy <= 1
	if k.file != "" {
		r.Rows = len(got)
		r.At = k.output.at.text(k.at[worst])
	}
	s := k.shown
	switch {
	case worstPhase && k.file != "":
		s = shown{"°", 1, 1e-9}
		want := degrees(got[worst])
		r.Claimed = s.text(k.phases[worst])
		r.Expected, r.Deviation, r.Allowed = s.text(want), s.difference(turn(k.phases[worst], want), want), s.text(k.turn)
	default:
		want := k.expected(got[worst])
		if k.file != "" {
			r.Claimed = s.text(k.values[worst])
		}
		r.Expected, r.Deviation = s.text(want), s.difference(k.deviation(k.values[worst], want), want)
		r.Allowed = s.text(k.allowedAt(worst))
		if k.relative {
			r.Allowed += " (" + k.allowed + ")"
		}
	}
	return r, nil
}

func (k claim) allowedAt(i int) float64 {
	if k.relative {
		return k.tolerance * math.Abs(k.values[i])
	}
	return k.tolerance
}

// expected is the result as the claim has it: a level in dB, an angle in rad.
func (k claim) expected(z complex128) float64 {
	switch {
	case k.phase:
		return cmplx.Phase(z)
	case !k.output.Phase:
		return real(z)
	case k.output.kind.unit == "dB":
		return 20 * math.Log10(cmplx.Abs(z))
	}
	return cmplx.Abs(z)
}

// deviation is claimed less expected; of phases by at most half a turn.
func (k claim) deviation(claimed, expected float64) float64 {
	if k.phase {
		return math.Remainder(claimed-expected, 2*math.Pi)
	}
	return claimed - expected
}

func turn(claimed, expected float64) float64 { return math.Remainder(claimed-expected, 360) }

func degrees(z complex128) float64 { return cmplx.Phase(z) * 180 / math.Pi }

// excess is the deviation over what is allowed; infinite for any deviation where
// nothing is.
func excess(deviation, allowed float64) float64 {
	d := math.Abs(deviation)
	if d == 0 {
		return 0
	}
	if !(d <= math.MaxFloat64) { // a level of nothing: -Inf dB
		return math.Inf(1)
	}
	return d / (allowed * hair)
}

// incomplete is an input of which some figures may be missing.
type incomplete interface {
	fill(how int)
	lacks() []string
}

// compute returns what the claim is compared with. If figures are missing it is
// computed with two sets of others in their place, and must not depend on them.
func (c aCase) compute(k claim) ([]complex128, error) {
	q := query{k.of, k.at}
	x := reflect.New(c.input.Type()).Elem()
	x.Set(c.input)
	got, err := k.output.compute(x.Interface(), q)
	if err != nil {
		return nil, err
	}
	for i, z := range got {
		if cmplx.IsNaN(z) || cmplx.IsInf(z) {
			at := ""
			if k.at != nil {
				at = " at " + k.output.at.text(k.at[i])
			}
			return nil, fmt.Errorf("%s is not finite with these inputs%s", k.output.Name, at)
		}
	}
	p, ok := x.Addr().Interface().(incomplete)
	if !ok {
		return got, nil
	}
	missing := p.lacks()
	if missing == nil {
		return got, nil
	}
	p.fill(1)
	again, err := k.output.compute(x.Interface(), q)
	if err != nil {
		return nil, err
	}
	for i := range got {
		if !(cmplx.Abs(got[i]-again[i]) <= 1e-8*cmplx.Abs(got[i])+1e-10*k.output.kind.scale) {
			return nil, fmt.Errorf("%s depends on what is not given: %s, or what they follow from", k.output.Name, strings.Join(missing, ", "))
		}
	}
	return got, nil
}

// text writes x with up to six significant digits.
func (s shown) text(x float64) string {
	if math.Abs(x) < s.zero {
		x = 0
	}
	v := x / s.scale
	return strconv.FormatFloat(round(v, 6)+0, 'g', -1, 64) + s.unit
}

// difference writes a deviation with three digits, down to the ninth of what is
// expected: below that machines differ.
func (s shown) difference(d, expected float64) string {
	if math.Abs(d) < s.zero && math.Abs(expected) < s.zero {
		d = 0
	}
	v := d / s.scale
	if e := math.Abs(expected / s.scale); e > 0 {
		least := math.Pow(10, math.Floor(math.Log10(e))-8)
		if math.Abs(v) < least {
			return "0" + s.unit
		}
	}
	return strconv.FormatFloat(round(v, 3)+0, 'g', -1, 64) + s.unit
}

func round(v float64, digits int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// text writes a value of a kind in its own unit.
func (k kind) text(x float64) string {
	u := k.unit
	if u != "" && u != "°" {
		u = " " + u
	}
	return shown{u, cmp.Or(k.scale, 1), k.zero()}.text(x)
}
