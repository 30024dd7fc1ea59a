// Command licences lists every module that the program or its tests link, with its licence, and fails if one is not
// allowed or cannot be told: go run ./testdata/licences
package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// allowed are the licences under which code may be linked here: permissive ones, and one whose terms hold for its own
// files alone.
var allowed = []string{"MIT", "BSD-2-Clause", "BSD-3-Clause", "Apache-2.0", "ISC", "Unlicense", "MPL-2.0"}

// marks are words that only one licence has, told apart in this order.
var marks = []struct{ licence, words string }{
	{"Apache-2.0", "Apache License"},
	{"MPL-2.0", "Mozilla Public License"},
	{"GPL", "GNU GENERAL PUBLIC LICENSE"},
	{"GPL", "GNU LESSER GENERAL PUBLIC LICENSE"},
	{"GPL", "GNU AFFERO GENERAL PUBLIC LICENSE"},
	{"Unlicense", "This is free and unencumbered software"},
	{"BSD-3-Clause", "Neither the name"},
	{"BSD-3-Clause", "names of its contributors may"},
	{"BSD-2-Clause", "Redistributions in binary form must reproduce"},
	{"ISC", "Permission to use, copy, modify, and/or distribute"},
	{"ISC", "Permission to use, copy, modify, and distribute this software for any"},
	{"MIT", "Permission is hereby granted, free of charge"},
}

type module struct{ path, version, dir string }

func main() {
	modules, err := linked()
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	refused := 0
	for _, m := range modules {
		licence := read(m.dir)
		note := ""
		if !slices.Contains(allowed, licence) {
			note, refused = "  NOT ALLOWED", refused+1
		}
		fmt.Printf("%-14s %s %s%s\n", licence, m.path, m.version, note)
	}
	if refused > 0 {
		os.Exit(1)
	}
}

// linked asks the go command for the modules behind the packages of the program and its tests.
func linked() ([]module, error) {
	format := `{{with .Module}}{{if not .Main}}{{.Path}}{{"\t"}}{{.Version}}{{"\t"}}{{.Dir}}{{end}}{{end}}`
	out, err := exec.Command("go", "list", "-deps", "-test", "-f", format, "./...").Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	lines := strings.Fields(strings.ReplaceAll(string(out), "\t", "|"))
	slices.Sort(lines)
	var list []module
	for _, line := range slices.Compact(lines) {
		if f := strings.Split(line, "|"); len(f) == 3 {
			list = append(list, module{f[0], f[1], f[2]})
		}
	}
	return list, nil
}

// read tells the licence by the words of the module's licence file, or of the head of its sources where it has none.
func read(dir string) string {
	for _, pattern := range []string{"LICEN[CS]E*", "COPYING*", "licen[cs]e*", "*.go"} {
		files, _ := filepath.Glob(filepath.Join(dir, pattern))
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				continue
			}
			words := strings.Join(strings.Fields(strings.ReplaceAll(string(text), "//", " ")), " ")
			for _, m := range marks {
				if strings.Contains(words, m.words) {
					return m.licence
				}
			}
		}
	}
	return "unknown"
}
