package build

import (
	"bytes"
	"image/png"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"example.org/gripleaf/cmd/internal/still"
)

const shared = "title: Yard\naddress: https://braking.example/\nsocial: true\nlanguages: [en]\nlessons: [a, b, c, d]\n"

var ogImage = regexp.MustCompile(`<meta property="og:image" content="https://braking\.example/(social/[^"]+)">`)

// A lesson with a figure has a picture of the size that its page says, under the whole address (Open Graph protocol,
// og:image); one without has none. A second build changes nothing, and one without the key takes the pictures away.
func TestSocialPictures(t *testing.T) {
	g := newGround(t)
	shared := strings.Replace(shared, "[en]", "[en, de]", 1)
	g.write("site.yaml", shared)
	g.write("en/a.md", "---\ntitle: First\n---\n![A stop](calc:stop?speed=60km/h)\n")
	g.write("de/a.md", "---\ntitle: Erstens\n---\n![Kurve](calc:slip?surface=ice#curve)\n")
	g.build()
	for page, folder := range map[string]string{"a.html": "social/a.", "de/a.html": "social/de/a."} {
		html := g.text(page)
		found := ogImage.FindStringSubmatch(html)
		if found == nil || !strings.HasPrefix(found[1], folder) {
			t.Fatalf("%s has the picture %v", page, found)
		}
		picture, err := png.DecodeConfig(bytes.NewReader([]byte(g.text(found[1]))))
		if err != nil || picture.Width != 1200 || picture.Height != 630 {
			t.Errorf("%s is %d by %d: %v", found[1], picture.Width, picture.Height, err)
		}
		for _, meta := range []string{`og:image:width" content="1200"`, `og:image:height" content="630"`, `og:image:alt" content="`} {
			if !strings.Contains(html, meta) {
				t.Errorf("%s does not say %s", page, meta)
			}
		}
	}
	if html := g.text("b.html"); strings.Contains(html, "og:image") {
		t.Error("a lesson without a figure has a picture")
	}
	if again := g.build(); len(again) > 0 {
		t.Errorf("the second build changed %q", again)
	}
	g.write("site.yaml", strings.Replace(shared, "social: true\n", "", 1))
	g.build()
	if _, err := os.Stat(filepath.Join(g.dir, "built", "social")); !os.IsNotExist(err) {
		t.Errorf("pictures that nobody asks for are still there: %v", err)
	}
}

// A picture that was drawn once comes out of the cache: what is kept there is published as it is.
func TestSocialPicturesAreKept(t *testing.T) {
	g := newGround(t)
	g.write("site.yaml", shared)
	g.write("en/a.md", "---\ntitle: First\n---\n![A stop](calc:stop?speed=60km/h)\n")
	g.build()
	kept, err := filepath.Glob(g.cache.Path("social", "*"))
	if err != nil || len(kept) != 1 {
		t.Fatalf("the cache has %q, %v", kept, err)
	}
	if err := g.cache.Put("social", filepath.Base(kept[0]), []byte("drawn before")); err != nil {
		t.Fatal(err)
	}
	g.write("en/a.md", "---\ntitle: First\n---\n![A stop](calc:stop?speed=60km/h)\n\nMore.\n")
	g.build()
	if found := ogImage.FindStringSubmatch(g.text("a.html")); found == nil || g.text(found[1]) != "drawn before" {
		t.Errorf("the picture %q was drawn again", found)
	}
}

// Without a font for a lesson's letters its page is made without a picture and the build says so, each time until there
// is one.
func TestSocialPicturesWithoutAFont(t *testing.T) {
	g := newGround(t)
	g.write("site.yaml", strings.Replace(shared, "[en]", "[en, hi]", 1))
	g.write("hi/a.md", "---\ntitle: रुकना\n---\n![रुकना](calc:stop?speed=60km/h)\n")
	for range 2 {
		b := Builder{Site: filepath.Join(g.dir, "site"), Out: filepath.Join(g.dir, "built"), Cache: g.cache,
			fonts: &still.Fonts{Dirs: []string{t.TempDir()}}}
		r, err := b.Build(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		b.Close()
		if u := r.Undrawn; u.Lessons != 1 || !slices.Equal(u.Scripts, []string{"Devanagari"}) {
			t.Errorf("not drawn: %+v", u)
		}
		if strings.Contains(g.text("hi/a.html"), "og:image") {
			t.Error("the page names a picture that there is not")
		}
	}
}

func (g *ground) text(name string) string {
	g.t.Helper()
	text, err := os.ReadFile(filepath.Join(g.dir, "built", name))
	if err != nil {
		g.t.Fatal(err)
	}
	return string(text)
}
