package nodal

import (
	"errors"
	"fmt"
)

// ErrSingular tells that a system has no solution or more than one.
var ErrSingular = errors.New("singular system of equations")

// Linear solves a x = b for a dense complex matrix a in rows and leaves x in b;
// a is overwritten. It eliminates with the largest pivot of each column. It returns
// ErrSingular if a pivot is zero, infinite or NaN, and panics unless a is square and
// as large as b.
func Linear(a [][]complex128, b []complex128) error {
	if len(a) != len(b) {
		panic(fmt.Sprintf("nodal: %d rows and %d right sides", len(a), len(b)))
	}
	for i, row := range a {
		if len(row) != len(b) {
			panic(fmt.Sprintf("nodal: row %d has %d elements, want %d", i, len(row), len(b)))
		}
	}
	for k := range b {
		p := k
		for i := k + 1; i < len(b); i++ {
			if size(a[i][k]) > size(a[p][k]) {
				p = i
			}
		}
		a[k], a[p], b[k], b[p] = a[p], a[k], b[p], b[k]
		if s := size(a[k][k]); !(s > 0) || s*0 != 0 {
			return ErrSingular
		}
		pivot := 1 / a[k][k]
		upper := a[k][k+1:]
		for i := k + 1; i < len(b); i++ {
			if a[i][k] == 0 {
				continue
			}
			f := a[i][k] * pivot
			row := a[i][k+1:]
			for j, u := range upper {
				row[j] -= f * u
			}
			b[i] -= f * b[k]
		}
	}
	for k := len(b) - 1; k >= 0; k-- {
		for j := k + 1; j < len(b); j++ {
			b[k] -= a[k][j] * b[j]
		}
		b[k] /= a[k][k]
	}
	return nil
}

// size is a modulus good enough to choose pivots by, and cheap.
func size(z complex128) float64 { return max(real(z), -real(z)) + max(imag(z), -imag(z)) }
