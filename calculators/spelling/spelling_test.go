package spelling

import "testing"

func TestNearest(t *testing.T) {
	calculators := []string{"stop", "slip", "transfer", "cornering", "following-gap", "reaction"}
	for _, test := range []struct {
		name, want string
	}{
		{"stop", "stop"},
		{"Stop", "stop"},
		{"stpo", "stop"}, // neighbours swapped
		{"sto", "stop"},  // left out
		{"stopp", "stop"},
		{"trasfner", "transfer"}, // two slips in eight
		{"folowing-gap", "following-gap"},
		{"stairs", ""},
		{"zzzz", ""},
		{"", ""},
		{"x", ""},
	} {
		if got := Nearest(test.name, calculators); got != test.want {
			t.Errorf("Nearest(%q) = %q, want %q", test.name, got, test.want)
		}
	}
}

func TestNearestOfEquallyNearIsTheFirstInOrder(t *testing.T) {
	for _, valid := range [][]string{{"gripb", "gripa"}, {"gripa", "gripb"}} {
		if got := Nearest("gripc", valid); got != "gripa" {
			t.Errorf("Nearest of %q = %q", valid, got)
		}
	}
}

// Levenshtein, V. I. (1966), "Binary codes capable of correcting deletions, insertions, and reversals": the pairs below
// are worked by hand from its definition, with Damerau's swaps of neighbours counted once.
func TestDistance(t *testing.T) {
	for _, test := range []struct {
		a, b string
		want int
	}{
		{"", "", 0}, {"", "abc", 3}, {"abc", "", 3}, {"kitten", "sitting", 3},
		{"ab", "ba", 1}, {"abcd", "badc", 2}, {"µ", "u", 1}, {"flaw", "lawn", 2},
	} {
		if got := distance([]rune(test.a), []rune(test.b)); got != test.want {
			t.Errorf("distance(%q, %q) = %d, want %d", test.a, test.b, got, test.want)
		}
	}
}
