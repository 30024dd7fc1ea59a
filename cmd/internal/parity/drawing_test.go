package parity_test

import (
	"os"
	"slices"
	"strings"
	"testing"
)

// The drawing of the packages in DEVELOPERS.md is true: it has all packages, and each imports only what stands below it.
func TestDrawing(t *testing.T) {
	text, err := os.ReadFile("../../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, drawing, _ := strings.Cut(string(text), "```text\ncmd/gripleaf")
	drawing, _, _ = strings.Cut("cmd/gripleaf"+drawing, "```")
	row := make(map[string]int)
	for i, line := range strings.Split(strings.TrimSpace(drawing), "\n") {
		left, right, _ := strings.Cut(line, "|")
		for _, name := range strings.Fields(left) {
			if name != "cmd/gripleaf" && name != "theme" {
				name = "cmd/internal/" + name
			}
			row[name] = i + 1
		}
		for _, name := range strings.Fields(right) {
			row["calculators/"+name] = i + 1
		}
	}
	beside := []string{"calculators", "cmd/internal/judge", "cmd/internal/ordeal", "cmd/internal/inspection", "cmd/internal/parity"}
	for _, p := range list(t, nil, root+"cmd/...", root+"calculators/...", root+"theme") {
		name := strings.TrimPrefix(p.ImportPath, root)
		if slices.Contains(beside, name) {
			continue
		}
		if row[name] == 0 {
			t.Errorf("%s is not in the drawing", name)
			continue
		}
		for _, imported := range p.Imports {
			below, ours := strings.CutPrefix(imported, root)
			if ours && !slices.Contains(beside, below) && row[below] <= row[name] {
				t.Errorf("%s imports %s, which does not stand below it", name, below)
			}
		}
	}
	for name := range row {
		if _, err := os.Stat("../../../" + name); err != nil {
			t.Errorf("%s is in the drawing, and there is no such package", name)
		}
	}
}
