package claims

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// unknown says that a name is not among those known, and which are near it.
func unknown(what, name string, known []string) string {
	near := nearest(name, known)
	if len(near) == 0 {
		if len(known) > 12 {
			return fmt.Sprintf("no %s %s", what, quote(name))
		}
		near = known
		return fmt.Sprintf("no %s %s; there are %s", what, quote(name), strings.Join(near, ", "))
	}
	return fmt.Sprintf("no %s %s; near it are %s", what, quote(name), strings.Join(near, ", "))
}

// nearest returns up to three names that differ from name by few letters, or that hold
// it, the nearest first.
func nearest(name string, known []string) []string {
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

// edits returns the least number of letters to insert, delete or replace between two
// texts (Levenshtein 1966).
func edits(a, b string) int {
	x, y := []rune(a), []rune(b)
	if len(x) > 100 {
		x = x[:100]
	}
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i, r := range x {
		diagonal := row[0]
		row[0] = i + 1
		for j, s := range y {
			cost := 1
			if r == s {
				cost = 0
			}
			diagonal, row[j+1] = row[j+1], min(row[j]+1, row[j+1]+1, diagonal+cost)
		}
	}
	return row[len(y)]
}
