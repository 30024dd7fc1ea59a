package main

import (
	"os"
	"testing"
)

// What is generated is what is there: nobody has changed the one without the other.
func TestGeneratedFilesAreTheLatest(t *testing.T) {
	t.Chdir("..")
	list, err := read(declarations)
	if err != nil || len(list) == 0 {
		t.Fatal(list, err)
	}
	for name, make := range written {
		want, err := make(list)
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != string(want) {
			t.Errorf("%s is not what the declarations make: run go generate ./calculators/kit", name)
		}
	}
}
