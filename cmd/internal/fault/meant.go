package fault

import (
	"fmt"
	"slices"
	"strings"

	"example.org/gripleaf/calculators/spelling"
)

// Meant returns a hint for a name that is not among the valid ones: the nearest of them, or else what there is to
// choose from.
func Meant(name string, valid []string) string {
	if near := spelling.Nearest(name, valid); near != "" {
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
