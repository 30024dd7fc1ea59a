// Package spelling finds the name that somebody most likely meant.
package spelling

// Nearest is the valid name that name was most likely meant to be, or "" if none is close: at most one slip of the
// keyboard in three characters. A slip is a character left out, put in, replaced, or swapped with its neighbour; upper
// and lower case of the Latin letters are the same. Of two that are equally near it is the first in order.
func Nearest(name string, valid []string) string {
	best, least := "", 0
	typed := lower(name)
	for _, v := range valid {
		wanted := lower(v)
		limit := max(len(typed), len(wanted)) / 3
		if max(len(typed), len(wanted))-min(len(typed), len(wanted)) > limit {
			continue
		}
		d := distance(typed, wanted)
		if d <= limit && (best == "" || d < least || d == least && v < best) {
			best, least = v, d
		}
	}
	return best
}

func lower(s string) []rune {
	runes := []rune(s)
	for i, r := range runes {
		if 'A' <= r && r <= 'Z' {
			runes[i] = r + 'a' - 'A'
		}
	}
	return runes
}

// distance counts the slips between a and b: the edit distance of Levenshtein with swaps of neighbours (optimal string
// alignment).
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
