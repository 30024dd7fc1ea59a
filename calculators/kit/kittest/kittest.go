// Package kittest works queries out for the tests of calculators.
package kittest

import (
	"fmt"
	"testing"

	"example.org/gripleaf/calculators/kit"
)

// Work works a query out. A fault ends the test.
func Work(t testing.TB, set kit.Set, query string) *kit.Work {
	t.Helper()
	w, err := set.Work(query)
	if err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return w
}

// Prepare reads a query and works nothing out yet. A fault ends the test.
func Prepare(t testing.TB, set kit.Set, query string) *kit.Work {
	t.Helper()
	q, faults := kit.Parse(query)
	if len(faults) > 0 {
		t.Fatalf("%s: %v", query, faults)
	}
	w, err := set.Prepare(q)
	if err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return w
}

// Workf is Work for a query that a format of package fmt makes.
func Workf(t testing.TB, set kit.Set, format string, arguments ...any) *kit.Work {
	t.Helper()
	return Work(t, set, fmt.Sprintf(format, arguments...))
}

// Refused fails the test for a query of the map that is answered, or whose first fault has no hint or is not about the
// input that stands behind it.
func Refused(t testing.TB, set kit.Set, queries map[string]string) {
	t.Helper()
	for query, input := range queries {
		_, err := set.Work(query)
		if faults, ok := err.(kit.Faults); !ok || faults[0].Input != input || faults[0].Hint == "" {
			t.Errorf("%s: %v", query, err)
		}
	}
}
