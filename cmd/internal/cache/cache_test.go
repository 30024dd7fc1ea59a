package cache

import (
	"os"
	"testing"
	"testing/fstest"
)

func TestCache(t *testing.T) {
	c := Cache{t.TempDir()}
	if _, ok := c.Get("kind", "name"); ok {
		t.Error("something is there before it is put")
	}
	if err := c.Put("kind", "name", []byte("data")); err != nil {
		t.Fatal(err)
	}
	if data, ok := c.Get("kind", "name"); !ok || string(data) != "data" {
		t.Errorf("%q, %v", data, ok)
	}
	file := c.Path("kind", "name")
	whole, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for what, damaged := range map[string][]byte{
		"cut short": whole[:len(whole)-1], "only begun": whole[:5], "empty": nil, "a flipped bit": append(whole[:len(whole)-1:len(whole)-1], whole[len(whole)-1]^1),
	} {
		if err := os.WriteFile(file, damaged, 0o666); err != nil {
			t.Fatal(err)
		}
		if data, ok := c.Get("kind", "name"); ok {
			t.Errorf("%s: %q is believed", what, data)
		}
	}
	var none Cache
	if err := none.Put("kind", "name", nil); err != nil {
		t.Error(err)
	}
	if _, ok := none.Get("kind", "name"); ok {
		t.Error("the zero Cache keeps something")
	}
}

// A key tells every way apart in which the same letters can be put together.
func TestKey(t *testing.T) {
	key := func(kind string, texts ...string) string {
		k := NewKey(kind)
		k.Text(texts...)
		return k.String()
	}
	seen := make(map[string]bool)
	for _, k := range []string{key("a", "bc"), key("ab", "c"), key("a", "b", "c"), key("a", "bc", ""), key("a"), key("a", "1:b")} {
		if seen[k] {
			t.Errorf("two things have the key %s", k)
		}
		seen[k] = true
	}
	files := fstest.MapFS{"a/x.go": {Data: []byte("1")}, "a/y.txt": {Data: []byte("2")}}
	goOnly := func(name string) bool { return name == "a/x.go" }
	of := func() string {
		k := NewKey("files")
		if err := k.Files(files, ".", goOnly); err != nil {
			t.Fatal(err)
		}
		return k.String()
	}
	before := of()
	files["a/y.txt"].Data = []byte("3")
	if of() != before {
		t.Error("a file that is not taken changes the key")
	}
	files["a/x.go"].Data = []byte("3")
	if of() == before {
		t.Error("a change does not change the key")
	}
}
