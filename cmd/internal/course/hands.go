package course

import (
	"io/fs"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/yaml"
)

// one is what site.yaml says of hands where everybody who writes lessons is trusted.
const one = "one"

// Hands reads nothing but whether lessons come from several hands, since some of what a site brings is only run if they
// do not. Where site.yaml cannot be read the faults say why.
func Hands(files fs.FS, shown string) (several bool, faults fault.List) {
	r := &reader{course: &Course{Files: files}, Options: Options{Shown: shown}}
	source, ok := r.open("site.yaml", siteHint)
	if !ok {
		return true, r.faults
	}
	v := yaml.Parse(source, 0, len(source.Text), &r.faults)
	if len(r.faults) > 0 {
		return true, r.faults
	}
	for _, f := range v.Fields() {
		if f.Name == "hands" {
			several = several || f.Value.Text() != one
		}
	}
	return several, r.faults
}
