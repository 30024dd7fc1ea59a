package course

import (
	"fmt"
	"path"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"example.org/gripleaf/cmd/internal/fault"
)

// mostName is how many bytes a lesson's name may have: with an ending, and on its way to the disk, it has to fit into
// the 255 that file systems take.
const mostName = 200

// devices are names that Windows keeps for devices, whatever the ending.
var devices = map[string]bool{"con": true, "prn": true, "aux": true, "nul": true}

// taken are names of pages that every site has.
var taken = []string{"index", "glossary", "sources", "calculators", "corrections", "404"}

// unfit says why a name cannot be that of a lesson or a folder: it becomes a file on any system, and part of an
// address.
// It is empty if the name is fit.
func unfit(name string) (why, hint string) {
	hint = "write letters, digits and hyphens, such as how-a-stop-is-made"
	base, _, _ := strings.Cut(strings.ToLower(name), ".")
	numbered := len(base) == 4 && (base[:3] == "com" || base[:3] == "lpt") && base[3] >= '1' && base[3] <= '9'
	switch {
	case name == "":
		return "an empty name", hint
	case strings.ContainsAny(name, `/\`):
		return "a name with a folder in it", "write its name alone, without a folder"
	case len(name) > mostName:
		return fmt.Sprintf("a name of %d bytes, where %d are the most,", len(name), mostName), hint
	case strings.Trim(name, ". ") != name:
		return "a name that begins or ends with a dot or a space", hint
	case devices[base] || numbered:
		return "a name that Windows keeps for a device", hint
	case !norm.NFC.IsNormalString(name):
		return "a name in decomposed letters", "write it in composed letters (Unicode's form NFC)"
	}
	for _, r := range name {
		if !unicode.IsLetter(r) && !unicode.IsMark(r) && !unicode.IsDigit(r) && !strings.ContainsRune("-_. ", r) {
			return fmt.Sprintf("a name with %q in it", r), hint
		}
	}
	return "", ""
}

// sameOnSomeDisks is what two names have in common that one disk or another takes for the same.
func sameOnSomeDisks(name string) string { return strings.ToLower(norm.NFC.String(name)) }

// alike reports files of a folder that some disks take for the same, and gives all by their composed name.
func (r *reader) alike(folder string, there []string) map[string]string {
	byName, folded := make(map[string]string, len(there)), make(map[string]string, len(there))
	for _, name := range there {
		key := sameOnSomeDisks(name)
		if other, found := folded[key]; found {
			r.faults.Add(fault.Fault{Code: "alike", File: path.Join(r.Shown, folder, name+".md"),
				Text: "only capitals or the form of its letters tell this file from " + other + ".md, and some disks do not",
				Hint: "give one of them another name"})
		}
		folded[key] = name
		byName[norm.NFC.String(name)] = name
	}
	return byName
}
