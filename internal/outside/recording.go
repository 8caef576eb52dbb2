package outside

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"slices"
)

// A Recording is what a tool answered.
type Recording struct {
	Tool    string            `json:"tool"`
	Version string            `json:"version"`
	Results map[string]Result `json:"results"` // by the id of the case
}

// A Result is the answer to one case: real and complex values by name.
type Result struct {
	Numbers map[string][]float64 `json:"numbers,omitempty"`
	Curves  map[string]Curve     `json:"curves,omitempty"`
}

// A Curve is a series of complex values, written as re, im, re, im ...
type Curve []complex128

// MarshalJSON implements [json.Marshaler].
func (c Curve) MarshalJSON() ([]byte, error) {
	flat := make([]float64, 0, 2*len(c))
	for _, v := range c {
		flat = append(flat, real(v), imag(v))
	}
	return json.Marshal(flat)
}

// UnmarshalJSON implements [json.Unmarshaler].
func (c *Curve) UnmarshalJSON(text []byte) error {
	var flat []float64
	if err := json.Unmarshal(text, &flat); err != nil {
		return err
	}
	if len(flat)%2 != 0 {
		return fmt.Errorf("outside: %d numbers in a complex curve: must be even", len(flat))
	}
	*c = make(Curve, len(flat)/2)
	for i := range *c {
		(*c)[i] = complex(flat[2*i], flat[2*i+1])
	}
	return nil
}

// Encode writes r with one line per case, in the order of the ids.
func (r Recording) Encode() ([]byte, error) {
	var out bytes.Buffer
	fmt.Fprintf(&out, "{\"tool\":%q,\"version\":%q,\"results\":{", r.Tool, r.Version)
	for i, id := range slices.Sorted(maps.Keys(r.Results)) {
		if i > 0 {
			out.WriteByte(',')
		}
		text, err := json.Marshal(r.Results[id])
		if err != nil {
			return nil, fmt.Errorf("outside: %s: %w", id, err)
		}
		fmt.Fprintf(&out, "\n%q:%s", id, text)
	}
	out.WriteString("\n}}\n")
	return out.Bytes(), nil
}

// ReadRecording reads testdata/name.json below the folder of this package.
func ReadRecording(folder fs.FS, name string) (Recording, error) {
	var r Recording
	return r, readJSON(folder, "testdata/"+name+".json", &r)
}

func readJSON(folder fs.FS, path string, to any) error {
	text, err := fs.ReadFile(folder, path)
	if err != nil {
		return err
	}
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(to); err != nil {
		return fmt.Errorf("outside: %s: %w", path, err)
	}
	return nil
}
