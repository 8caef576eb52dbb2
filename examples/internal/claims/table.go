package claims

import (
	"bytes"
	"cmp"
	"errors"
	"io"
	"io/fs"

	"example.com/halfspace/filter/response"
)

// readTable reads a file of plain columns beside the claims file.
func readTable(n *node, name string, files fs.FS) (*response.Table, error) {
	if !fs.ValidPath(name) {
		return nil, n.errorf("%s: want a file in the folder of the claims file or below, as table.csv", quote(name))
	}
	f, err := files.Open(name)
	if err != nil {
		return nil, n.errorf("%s: %v", quote(name), reason(err))
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, MaxBytes+1))
	switch {
	case err != nil:
		return nil, n.errorf("%s: %v", quote(name), reason(err))
	case len(text) > MaxBytes:
		return nil, n.errorf("%s: larger than %d bytes", quote(name), MaxBytes)
	case bytes.Count(text, []byte{'\n'}) > MaxRows+1000:
		return nil, n.errorf("%s: more than %d rows", quote(name), MaxRows)
	}
	t, err := response.Read(bytes.NewReader(text))
	if err != nil {
		return nil, n.errorf("%s: %s", quote(name), quoteLines(err.Error()))
	}
	if rows := len(t.Columns[0]); rows > MaxRows {
		return nil, n.errorf("%s: %d rows: at most %d", quote(name), rows, MaxRows)
	}
	return t, nil
}

func reason(err error) error {
	var path *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return errors.New("no such file")
	case errors.As(err, &path):
		return path.Err
	}
	return err
}

// A table is a measured curve among inputs.
type table struct {
	File  string `in:"file" doc:"in the folder of the claims file or below"`
	At    string `in:"at" doc:"column of frequencies in hertz"`
	Level string `in:"level,optional" doc:"column of levels in dB re 1, or re 1 Pa"`
	Value string `in:"value,optional" doc:"instead of level: column of magnitudes, in Ω or Pa"`
	Phase string `in:"phase,optional" doc:"column of phases in degrees"`

	curve response.Curve
}

func (t *table) load(n *node, files fs.FS) error {
	if (t.Level == "") == (t.Value == "") {
		return n.errorf("want either level or value")
	}
	data, err := readTable(n, t.File, files)
	if err != nil {
		return err
	}
	t.curve, err = data.Curve(response.Form{Frequency: t.At, Level: cmp.Or(t.Level, t.Value), Phase: t.Phase, Linear: t.Level == ""})
	if err != nil {
		return n.errorf("%s: %s", quote(t.File), quoteLines(err.Error()))
	}
	return nil
}

// resample is the curve on other points.
func resample(c response.Curve, hz []float64) ([]complex128, error) {
	dst := make([]complex128, len(hz))
	return dst, c.Resample(dst, hz)
}
