package locale

import (
	"errors"
	"io/fs"
	"maps"
	"path"
	"slices"

	"golang.org/x/text/language"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/yaml"
)

// Unsaid lists the English texts that stay English in a language: those that some catalogue of the folder translates,
// and the language's own, words, does not.
func Unsaid(files fs.FS, folder string, tag language.Tag, words map[string]string) []string {
	base, _ := tag.Base()
	english, _ := language.English.Base()
	if base == english {
		return nil
	}
	names, err := fs.Glob(files, path.Join(folder, "*.yaml"))
	if err != nil {
		return nil
	}
	missing := make(map[string]bool)
	for _, name := range names {
		text, err := fs.ReadFile(files, name)
		if err != nil {
			continue
		}
		var faults fault.List
		for _, f := range yaml.Parse(&fault.Source{File: name, Text: text}, 0, len(text), &faults).Fields() {
			if words[f.Name] == "" {
				missing[f.Name] = true
			}
		}
	}
	return slices.Sorted(maps.Keys(missing))
}

// Words reads the catalogue of a language, TAG.yaml in a folder: English text -> the language. A tag without one takes
// its parent's. Without any the interface is English, which is not a fault.
func Words(files fs.FS, folder string, tag language.Tag) (map[string]string, fault.List) {
	for ; !tag.IsRoot(); tag = tag.Parent() {
		name := path.Join(folder, tag.String()+".yaml")
		text, err := fs.ReadFile(files, name)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, fault.From(err)
		}
		var faults fault.List
		words := make(map[string]string)
		source := &fault.Source{File: name, Text: text}
		for _, f := range yaml.Parse(source, 0, len(text), &faults).Fields() {
			if word := f.Value.Text(); word != "" {
				words[f.Name] = word
			}
		}
		return words, faults
	}
	return nil, nil
}
