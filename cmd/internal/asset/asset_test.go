package asset

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

func theme(texts map[string]string) fstest.MapFS {
	m := make(fstest.MapFS)
	for name, text := range texts {
		m[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return m
}

var own = theme(map[string]string{
	"script/main.ts":    `import { two } from "./two"; const greeting: string = "hello " + two; document.title = greeting;`,
	"script/two.ts":     `export const two = 2;`,
	"script/service.ts": `self.addEventListener("fetch", () => {});`,
	"style/main.css":    `@import "tokens.css"; p { color: var(--ink); }`,
	"style/tokens.css":  ":root { --ink: #111; --ground-2: #fff }\n@media print { :root { --ink: black } }",
})

func TestLayers(t *testing.T) {
	l := Layers{theme(map[string]string{"style/tokens.css": "mine", "style/more.css": "more"}), own}
	for name, want := range map[string]string{"style/tokens.css": "mine", "script/two.ts": "export const two = 2;"} {
		if got, err := fs.ReadFile(l, name); err != nil || string(got) != want {
			t.Errorf("%s is %q, %v", name, got, err)
		}
	}
	var names []string
	entries, err := fs.ReadDir(l, "style")
	for _, e := range entries {
		names = append(names, e.Name())
	}
	if diff := cmp.Diff([]string{"main.css", "more.css", "tokens.css"}, names); diff != "" || err != nil {
		t.Error(diff, err)
	}
	if _, err := l.Open("gone.css"); err == nil {
		t.Error("a file that no layer has is opened")
	}
}

func TestBundle(t *testing.T) {
	var b Bundler
	defer b.Close()
	script, style, faults := b.Bundle(own, ":root:root{--ink:red;}")
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	if !strings.HasPrefix(script.Path, "script.") || !strings.HasPrefix(string(script.Data), "(()=>{") || strings.Contains(string(script.Data), "import") {
		t.Errorf("%s: %s", script.Path, script.Data)
	}
	if text := string(style.Data); !strings.Contains(text, "--ink: #111") || strings.Index(text, "--ink:red") < strings.Index(text, "color:var(--ink)") {
		t.Errorf("the site's own look does not come last: %s", text)
	}
	again, same, _ := b.Bundle(own, ":root:root{--ink:red;}")
	if again.Path != script.Path || same.Path != style.Path {
		t.Error("the same sources make other names")
	}
	_, other, _ := b.Bundle(own, "")
	if other.Path == style.Path {
		t.Error("another content has the same name")
	}
}

func TestBundleFaults(t *testing.T) {
	broken := Layers{theme(map[string]string{"script/two.ts": "export const two = ;", "style/tokens.css": "@import \"gone.css\";"}), own}
	var b Bundler
	defer b.Close()
	_, _, faults := b.Bundle(broken, "")
	want := []string{"theme/script/two.ts:1:20", "theme/style/tokens.css:1:9"}
	if len(faults) != len(want) {
		t.Fatal(faults)
	}
	for i, f := range faults {
		if !strings.HasPrefix(f.Error(), want[i]) || f.Excerpt == "" {
			t.Errorf("%+v, want it at %s", f, want[i])
		}
	}
}

func TestTokens(t *testing.T) {
	if diff := cmp.Diff([]string{"ground-2", "ink"}, Tokens(own)); diff != "" {
		t.Error(diff)
	}
	if got := Properties(map[string]string{"ink": "red"}, map[string]string{"sign": "serif"}); got != ":root:root{--ink:red;--sign:serif;}" {
		t.Error(got)
	}
}

// The smallest pictures: a GIF of 3 by 2 (header of GIF89a, 18), SVGs after SVG 2, 8.2.
func TestReadPicture(t *testing.T) {
	for name, test := range map[string]struct {
		data          string
		width, height int
		fails         bool
	}{
		"a.gif": {"GIF89a\x03\x00\x02\x00\x80\x00\x00\x00\x00\x00\xff\xff\xff,\x00\x00\x00\x00\x03\x00\x02\x00\x00\x02\x03\x84\x8f\x05\x00;", 3, 2, false},
		"b.svg": {`<svg xmlns="http://www.w3.org/2000/svg" width="40px" height="20"/>`, 40, 20, false},
		"c.svg": {`<?xml version="1.0"?><!-- x --><svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16.4, 9"/>`, 16, 9, false},
		"d.svg": {`<svg xmlns="http://www.w3.org/2000/svg"/>`, 0, 0, false},
		"e.svg": {`<html/>`, 0, 0, true},
		"f.png": {`no picture`, 0, 0, true},
	} {
		p, data, err := ReadPicture(fstest.MapFS{"pictures/" + name: {Data: []byte(test.data)}}, "pictures/"+name)
		if (err != nil) != test.fails || err == nil && (p.Width != test.width || p.Height != test.height || string(data) != test.data) {
			t.Errorf("%s: %+v, %v", name, p, err)
		}
	}
}
