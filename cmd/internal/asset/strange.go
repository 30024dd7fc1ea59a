package asset

import (
	"bytes"
	"io/fs"
	"path"
	"slices"
	"strings"

	"example.org/gripleaf/calculators/spelling"
	"example.org/gripleaf/cmd/internal/fault"
)

// Strange finds the files of a site's own theme that nothing uses: they stand in for no file of the theme that comes
// with the program, no file of the site's own theme names them, and they are not the words of a language of the site.
func Strange(own, theme fs.FS, languages []string) fault.List {
	names, texts := files(own)
	known, _ := files(theme)
	var faults fault.List
	strange := func(name, text, hint string) {
		faults.Add(fault.Fault{Code: "strange-file", File: path.Join("theme", name), Text: text, Hint: hint})
	}
	for _, name := range names {
		folder, base := path.Split(name)
		language := strings.TrimSuffix(base, ".yaml")
		switch {
		case slices.Contains(known, name), strings.HasPrefix(base, "."):
		case folder == "messages/" && slices.ContainsFunc(languages, func(l string) bool {
			return l == language || strings.HasPrefix(l, language+"-")
		}):
		case folder == "messages/":
			strange(name, `the site has no language "`+language+`"`, fault.Meant(language, languages))
		case strings.Contains(texts, strings.TrimSuffix(base, ".ts")):
		default:
			hint := "take it out, or give it the name of the theme's file that it stands in for"
			if near := spelling.Nearest(name, known); near != "" {
				hint = fault.Meant(name, known)
			}
			strange(name, "nothing uses this file", hint)
		}
	}
	return faults
}

// files are the names of all files of a theme, and what its templates, sheets and scripts say, as one text.
func files(theme fs.FS) (names []string, all string) {
	var texts bytes.Buffer
	_ = fs.WalkDir(theme, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return nil
		}
		names = append(names, name)
		if slices.Contains([]string{".html", ".css", ".ts"}, path.Ext(name)) {
			text, _ := fs.ReadFile(theme, name)
			texts.Write(text)
		}
		return nil
	})
	return names, texts.String()
}
