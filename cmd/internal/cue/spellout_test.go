package cue

import (
	"encoding/json"
	"os"
	"testing"

	"golang.org/x/text/language"
)

// ICU 72.1 spells the same numbers by the CLDR's rules (testdata/numbers.py).
func TestNumbersInWords(t *testing.T) {
	text, err := os.ReadFile("testdata/numbers.json")
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]json.RawMessage
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	for tag, s := range map[string]*speller{"en": &english, "de": &german} {
		var numbers map[string]string
		if err := json.Unmarshal(all[tag], &numbers); err != nil || len(numbers) < 200 {
			t.Fatal(tag, len(numbers), err)
		}
		for digits, want := range numbers {
			if got, ok := s.number(digits); got != want || !ok {
				t.Errorf("%s: %s is %q, ICU says %q", tag, digits, got, want)
			}
		}
	}
	if got, ok := german.number("1000000000"); ok {
		t.Errorf("a thousand million is %q", got)
	}
	if spellerOf(language.MustParse("de-AT")) != &german || spellerOf(language.Hindi) != nil {
		t.Error("the wrong speller")
	}
}
