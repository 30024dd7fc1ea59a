package yaml_test

import (
	"fmt"
	"strings"
	"testing"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/yaml"
)

func parse(text string) (yaml.Value, fault.List) {
	var faults fault.List
	v := yaml.Parse(&fault.Source{File: "a.yaml", Text: []byte(text)}, 0, len(text), &faults)
	return v, faults
}

// Every file that asks for more than its length is refused at the place that asks. The first is the shape of the
// document that is known as the billion laughs (CVE-2003-1564), in YAML.
func TestRefused(t *testing.T) {
	for _, test := range []struct{ name, text, place string }{
		{"aliases", "a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n", "1:4"},
		{"alias of itself", "a: &a [*a]\n", "1:4"},
		{"merge", "a: {<<: b}\n", "1:5"},
		{"tag", "a: !!binary aGk=\n", "1:4"},
		{"deep lists", "a: " + strings.Repeat("[", 51), "1:54"},
		{"deep mappings", "a: " + strings.Repeat("{a: ", 51), "1:204"},
		{"deep entries", strings.Repeat("- ", 51), "1:101"},
		{"deep keys", strings.Repeat("? ", 51), "1:101"},
		{"keys", strings.Repeat("a:\n", 20_001), "20001:2"},
		{"not text", "a: \xff\n", "1:4"},
		{"direction", "a: \u202eb\n", "1:4"},
		{"two documents", "a: b\n---\nc: d\n", "2:1"},
		{"key twice", "a: b\na: c\n", "2:1"},
		{"tab", "a:\n\tb: c\n", "2:1"},
		{"quote", "a: \"b\n", "1:4"},
	} {
		v, faults := parse(test.text)
		if len(faults) == 0 || faults[0].Line == 0 || fmt.Sprintf("%d:%d", faults[0].Line, faults[0].Column) != test.place {
			t.Errorf("%s: %v", test.name, faults)
		}
		if test.name != "two documents" && !v.Empty() {
			t.Errorf("%s: what was read is kept", test.name)
		}
	}
}

// A byte order mark, other ends of lines and values with signs in quotes are no faults.
func TestTaken(t *testing.T) {
	v, faults := parse("\ufeffa: \"&b *c !d\"\r\n'e': [f, 'g: h']\r\n")
	if len(faults) > 0 || len(v.Fields()) != 2 || v.Fields()[0].Name != "a" || v.Fields()[0].Value.Text() != "&b *c !d" {
		t.Errorf("%v, %v", v.Fields(), faults)
	}
}

// Whatever the text, reading comes to an end, and its faults stand within the text.
func FuzzParse(f *testing.F) {
	for _, text := range []string{
		"title: A stop\nneeds: [a, b]\ncorrected: [{date: 2026-10-02, note: \"x\"}]\n", "a: |\n  text\n  more\nb: >-\n  folded\n", "a: &b c\nd: *b\n",
		"- a\n- b: c\n", "{a: [b, {c: d}]}", "? a\n: b\n", "a: 'it''s'\n", "\ufeffa: b", "a: \"\\u202e\\x00\"", "%YAML 1.2\n---\na: b\n...\n",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		v, faults := parse(text)
		walk(v, 0)
		for _, one := range faults {
			if one.Line < 0 || one.Line > strings.Count(text, "\n")+1 {
				t.Errorf("%v of %q", one, text)
			}
		}
	})
}

// walk reads a value in every way.
func walk(v yaml.Value, depth int) {
	if depth > 100 {
		return
	}
	v.Text()
	v.Flag()
	v.Date()
	v.Span()
	for _, f := range v.Fields() {
		walk(f.Key, depth+1)
		walk(f.Value, depth+1)
	}
	for _, item := range v.List() {
		walk(item, depth+1)
	}
}
