package fault

import (
	"fmt"
	"slices"
	"strings"
)

// Nearest returns the valid name that name was most likely meant to be, or ""
// if none is close: at most one slip of the keyboard in three characters. A
// slip is a character left out, put in, replaced, or swapped with its
// neighbour; upper and lower case are the same.
func Nearest(name string, valid []string) string {
	best, least := "", 0
	typed := []rune(strings.ToLower(name))
	for _, v := range valid {
		wanted := []rune(strings.ToLower(v))
		limit := max(len(typed), len(wanted)) / 3
		if max(len(typed), len(wanted))-min(len(typed), len(wanted)) > limit {
			continue
		}
		d := distance(typed, wanted)
		if d > limit {
			continue
		}
		if best == "" || d < least || d == least && v < best {
			best, least = v, d
		}
	}
	return best
}

// Meant returns a hint for a name that is not among the valid ones: the
// nearest of them, or else what there is to choose from.
func Meant(name string, valid []string) string {
	if near := Nearest(name, valid); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	const most = 12
	names := slices.Compact(slices.Sorted(slices.Values(valid)))
	switch {
	case len(names) == 0:
		return ""
	case len(names) > most:
		return fmt.Sprintf("use one of %s, or %d more", strings.Join(names[:most], ", "), len(names)-most)
	case len(names) == 1:
		return "use " + names[0]
	}
	return "use one of " + strings.Join(names, ", ")
}

// distance counts the slips between a and b (optimal string alignment: the
// edit distance of Levenshtein with swaps of neighbours).
func distance(a, b []rune) int {
	before, above, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range above {
		above[j] = j
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			row[j+1] = min(above[j]+cost, above[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, above, row = above, row, before
	}
	return above[len(b)]
}
