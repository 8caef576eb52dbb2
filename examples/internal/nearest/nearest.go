// Package nearest finds the name that somebody meant.
package nearest

import (
	"cmp"
	"slices"
	"strings"
)

// Names returns up to three names that differ from name by few letters, or that hold
// it, the nearest first.
func Names(name string, known []string) []string {
	type candidate struct {
		name     string
		distance int
	}
	var near []candidate
	low := strings.ToLower(name)
	for _, k := range known {
		l := strings.ToLower(k)
		d := edits(low, l)
		switch {
		case d <= (len(low)+2)/3:
		case len(low) > 2 && strings.Contains(l, low) || len(l) > 2 && strings.Contains(low, l):
			d = 50 + d
		default:
			continue
		}
		near = append(near, candidate{k, d})
	}
	slices.SortStableFunc(near, func(a, b candidate) int { return cmp.Compare(a.distance, b.distance) })
	var names []string
	for _, c := range near[:min(3, len(near))] {
		names = append(names, c.name)
	}
	return names
}

// edits returns the least number of letters to insert, delete, replace or swap with
// their neighbour between two texts (Levenshtein 1966, Damerau 1964).
func edits(a, b string) int {
	x, y := []rune(a), []rune(b)
	if len(x) > 100 {
		x = x[:100]
	}
	before, above, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		before, above, row = above, row, before
		row[0] = i + 1
		for j := range y {
			cost := 1
			if x[i] == y[j] {
				cost = 0
			}
			row[j+1] = min(above[j+1]+1, row[j]+1, above[j]+cost)
			if i > 0 && j > 0 && x[i] == y[j-1] && x[i-1] == y[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
	}
	return row[len(y)]
}
