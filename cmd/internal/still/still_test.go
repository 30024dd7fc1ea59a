package still

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"golang.org/x/text/language"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/judge"
	"example.org/gripleaf/cmd/internal/locale"
	"example.org/gripleaf/theme"
)

func newPen(t testing.TB, g Background) *Pen {
	p, err := NewPalette(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &Pen{Fonts: new(Fonts), Palette: p, Background: g}
}

func work(t testing.TB, query string) *kit.Work {
	w, err := standard.Set.Work(query)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func TestPNGHasTheSizeAndBackground(t *testing.T) {
	p := Of(work(t, "calc:stop?speed=60km/h"), 0, &quantity.Reader{}, true)
	backgrounds := []color.Color{color.RGBA{0xfd, 0xfc, 0xf8, 0xff}, color.RGBA{0x1c, 0x20, 0x24, 0xff}, screen, color.RGBA{}}
	for i, size := range Sizes {
		g, want := []Background{Light, Dark, Green, Transparent}[i], backgrounds[i]
		var b bytes.Buffer
		if err := p.WritePNG(&b, size, newPen(t, g)); err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(&b)
		if err != nil {
			t.Fatal(err)
		}
		if got := img.Bounds().Max; got != image.Pt(int(size.Width*size.Scale), int(size.Height*size.Scale)) {
			t.Errorf("%s is %v", size.Name, got)
		}
		if got := color.RGBAModel.Convert(img.At(1, 1)); got != want {
			t.Errorf("%s on %s: the corner is %v, want %v", size.Name, g, got, want)
		}
	}
}

// Everything that the standard calculators and the replay draw has a colour of the theme.
func TestPaletteKnowsEveryRole(t *testing.T) {
	ink := newPen(t, Light).Palette.on(Light)
	unknown := make(map[string]string)
	look := func(where string, scene figure.Scene) {
		for _, m := range scene.Marks {
			token, ok := ink.roles[m.Role]
			if body, is := bodies[m.Role]; is {
				token, ok = body, true
			}
			if _, has := ink.tokens[token]; (!ok || !has) && m.Role != "tick" && m.Role != "name" {
				unknown[m.Role] = where
			}
		}
	}
	for _, c := range standard.Set {
		w := work(t, kit.Scheme+c.ID)
		for i := range c.Figures {
			look(c.ID+"#"+c.Figures[i].Name, w.Scene(i, figure.Style{Reader: &quantity.Reader{}}))
		}
	}
	for role, where := range unknown {
		t.Errorf("%s: the theme's figure.css gives the role %q no colour", where, role)
	}
}

// Words and lines must be told from the background: 4.5 : 1 and 3 : 1 (WCAG 2.2, 1.4.3 and 1.4.11).
func TestPaletteContrast(t *testing.T) {
	for _, g := range []Background{Light, Dark} {
		ink := newPen(t, g).Palette.on(g)
		for _, role := range []string{"reaction", "braking", "controller", "surface", "grip", "locked", "peak", "front", "rear", "now", "tick"} {
			if c := contrast(ink.role(role), ink.paper()); c < 4.5 {
				t.Errorf("%s on %s: %.2f : 1", role, g, c)
			}
		}
	}
}

// contrast is the ratio that WCAG 2.2 defines, from relative luminance.
func contrast(a, b color.RGBA) float64 {
	luminance := func(c color.RGBA) float64 {
		linear := func(v uint8) float64 {
			if s := float64(v) / 255; s > 0.04045 {
				return math.Pow((s+0.055)/1.055, 2.4)
			}
			return float64(v) / 255 / 12.92
		}
		return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
	}
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func TestSitesOwnColours(t *testing.T) {
	p, err := NewPalette(map[string]string{"braking": "#123", "front": "oklch(60% 0.1 20)"})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := p.on(Dark).role("braking"), (color.RGBA{0x11, 0x22, 0x33, 0xff}); got != want {
		t.Errorf("got %v, want %v", got, want)
	}
	usual, _ := NewPalette(nil)
	if p.on(Dark).role("front") != usual.on(Dark).role("front") {
		t.Error("a colour that is not in hexadecimal took the place of the theme's")
	}
}

// laidOut draws every figure of every calculator and moments of every film, in every size and in four languages, and
// hands each drawing on.
func laidOut(t *testing.T, see func(name string, size Size, drawn *drawing)) {
	fonts := new(Fonts)
	var works []*kit.Work
	for _, c := range standard.Set {
		works = append(works, work(t, kit.Scheme+c.ID))
	}
	for _, tag := range []string{"en", "de", "hi", "ar"} {
		words, faults := locale.Words(theme.Files, "messages", language.MustParse(tag))
		in, err := locale.New(tag, words)
		if err != nil || len(faults) > 0 {
			t.Fatal(err, faults)
		}
		var pictures []Picture
		for _, w := range works {
			for i := range w.Calculator.Figures {
				pictures = append(pictures, Of(w, i, in.Reader(quantity.Metric), true))
			}
		}
		for _, p := range append(pictures, moments(t, in)...) {
			p.RTL = in.RightToLeft
			for _, size := range Sizes {
				if size.Scale > 1 {
					continue // laid out as 1080p
				}
				pen := newPen(t, Transparent)
				pen.Fonts = fonts
				drawn, err := p.drawing(size, pen)
				if err != nil {
					t.Fatal(err)
				}
				see(tag+" "+p.Name+" "+size.Name, size, drawn)
			}
		}
	}
}

// moments are pictures out of films.
func moments(t *testing.T, in *locale.Locale) (list []Picture) {
	r := in.Reader(quantity.Metric)
	stop, locked := work(t, "calc:stop?speed=60km/h&obstacle=30m"), work(t, "calc:antilock?surface=gravel&channels=none")
	for name, f := range map[string]func() (Film, bool){
		"stop":   func() (Film, bool) { return Ride(stop, r, 25) },
		"locked": func() (Film, bool) { return Ride(locked, r, 25) },
		"cycle":  func() (Film, bool) { return Cycle(work(t, "calc:antilock?surface=gravel"), r, 25) },
		"beside": func() (Film, bool) { return Beside(stop, work(t, "calc:stop?speed=80km/h"), r, 25) },
	} {
		film, ok := f()
		if !ok {
			t.Fatalf("there is no film of %s", name)
		}
		for _, share := range []float64{0, 0.5, 1} {
			p, err := film.At(film.Lasts * share)
			if err != nil {
				t.Fatal(err)
			}
			p.Name = fmt.Sprint(name, " at ", share)
			list = append(list, p)
		}
	}
	return list
}

// Letters of 12 pixels can be read (common practice, no source: what is smaller is not).
func TestNothingOverlapsIsSmallOrCutOff(t *testing.T) {
	judge.Find(t, "fc-list") // Hindi and Arabic need the machine's fonts
	laidOut(t, func(name string, size Size, drawn *drawing) {
		free := size.free()
		var texts []shape
		for _, s := range drawn.shapes {
			b, rim := s.bounds(), s.width/2
			if b.left < rim || b.top < rim || b.right+rim > size.Width || b.bottom+rim > size.Height {
				t.Errorf("%s: the picture reaches from %.0f, %.0f to %.0f, %.0f", name, b.left, b.top, b.right, b.bottom)
			}
			if s.words == "" {
				continue
			}
			if s.size/3 < 12 { // pixels where the picture is shown at a third of its size
				t.Errorf("%s: %q is set in %v units", name, s.words, s.size)
			}
			const hair = 2 // letters may stand out of their line by so much
			if b.left < free.left-hair || b.top < free.top-hair || b.right > free.right+hair || b.bottom > free.bottom+hair {
				t.Errorf("%s: %q reaches from %.0f, %.0f to %.0f, %.0f, out of what is kept free of a player's controls", name, s.words, b.left, b.top, b.right, b.bottom)
			}
			for _, other := range texts {
				if o := other.bounds(); b.left < o.right && o.left < b.right && b.top < o.bottom && o.top < b.bottom {
					t.Errorf("%s: %q lies over %q", name, s.words, other.words)
				}
			}
			texts = append(texts, s)
		}
	})
}

// A figure in a file of its own is one SVG, with paper under its marks, and a name even if that has what XML escapes.
func TestFigureInAFile(t *testing.T) {
	p, err := NewPalette(nil)
	if err != nil {
		t.Fatal(err)
	}
	scene := work(t, "calc:slip?surface=ice").Scene(0, figure.Style{Reader: &quantity.Reader{}})
	scene.Title = `Slip > "grip" & more`
	var svg struct {
		XMLName xml.Name `xml:"http://www.w3.org/2000/svg svg"`
		Label   string   `xml:"aria-label,attr"`
		Paper   struct {
			Fill string `xml:"fill,attr"`
		} `xml:"rect"`
		Texts []string `xml:"text"`
	}
	if err := xml.Unmarshal([]byte(p.File(&scene)), &svg); err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(svg.Label, scene.Title) || svg.Paper.Fill != "#fff" || len(svg.Texts) == 0 {
		t.Errorf("%+v", svg)
	}
}

func TestSVGIsWellFormedAndSaysWhatItShows(t *testing.T) {
	p := Of(work(t, "calc:stop?speed=60km/h"), 0, &quantity.Reader{}, true)
	p.Title = `Speed & "way" < all`
	var b bytes.Buffer
	if err := p.WriteSVG(&b, Sizes[0], newPen(t, Light)); err != nil {
		t.Fatal(err)
	}
	var svg struct {
		XMLName xml.Name `xml:"http://www.w3.org/2000/svg svg"`
		Title   string   `xml:"title"`
		Desc    string   `xml:"desc"`
		ViewBox string   `xml:"viewBox,attr"`
	}
	if err := xml.Unmarshal(b.Bytes(), &svg); err != nil {
		t.Fatal(err)
	}
	if svg.Title != p.Title || svg.ViewBox != "0 0 1920 1080" {
		t.Errorf("got title %q, view box %q", svg.Title, svg.ViewBox)
	}
	for _, want := range []string{"You come to a stop after 34.4\u00a0m.", "estimates from a model", "falls to zero"} {
		if !strings.Contains(svg.Desc, want) {
			t.Errorf("%q is not in %q", want, svg.Desc)
		}
	}
	if strings.Contains(b.String(), "<text") || strings.Contains(b.String(), "<style") {
		t.Error("the picture depends on fonts or styles")
	}
}

// A browser shows the SVG as the PNG does.
func TestBrowserDrawsTheSVGAsThePNG(t *testing.T) {
	tab := judge.Tab(t)
	page := filepath.Join(t.TempDir(), "page.html")
	for _, g := range []Background{Light, Dark} {
		p := Of(work(t, "calc:slip?surface=dry-asphalt"), 0, &quantity.Reader{}, true)
		var b bytes.Buffer
		if err := p.WriteSVG(&b, Sizes[0], newPen(t, g)); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(page, []byte("<!doctype html><meta charset=utf-8><style>body{margin:0}</style>"+b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		if err := chromedp.Do(tab, chromedp.EmulateViewport(1920, 1080), chromedp.Navigate("file://"+page)); err != nil {
			t.Fatal(err)
		}
		shot, err := chromedp.Run(tab, chromedp.CaptureScreenshot())
		if err != nil {
			t.Fatal(err)
		}
		theirs, err := png.Decode(bytes.NewReader(shot))
		if err != nil {
			t.Fatal(err)
		}
		ours, err := p.Image(Sizes[0], newPen(t, g))
		if err != nil {
			t.Fatal(err)
		}
		if d := difference(ours, theirs); d > 0.004 {
			t.Errorf("on %s the pictures differ by %.4f of full scale on average", g, d)
		}
	}
}

// difference is the mean over pixels and colours, from 0 for the same to 1 for black against white.
func difference(a, b image.Image) float64 {
	sum, n := 0.0, 0
	size := a.Bounds()
	for y := range size.Dy() {
		for x := range size.Dx() {
			p, q := color.RGBAModel.Convert(a.At(x, y)).(color.RGBA), color.RGBAModel.Convert(b.At(x, y)).(color.RGBA)
			sum += math.Abs(float64(p.R)-float64(q.R)) + math.Abs(float64(p.G)-float64(q.G)) + math.Abs(float64(p.B)-float64(q.B))
			n += 3
		}
	}
	return sum / float64(n) / 255
}

func TestScriptsWithoutAFontAreNamed(t *testing.T) {
	pen := newPen(t, Light)
	pen.Fonts.Dirs = []string{t.TempDir()}
	p := Of(work(t, "calc:stop"), 0, &quantity.Reader{Words: map[string]string{"Speed along the road": "सड़क पर गति"}}, true)
	err := p.WritePNG(io.Discard, Sizes[0], pen)
	var missing *MissingError
	if !errors.As(err, &missing) {
		t.Fatalf("got %v", err)
	}
	if !slices.Equal(missing.Scripts, []string{"Devanagari"}) || !strings.Contains(missing.Hint(), "Devanagari") {
		t.Errorf("got %v, %s", missing, missing.Hint())
	}
}

// With the machine's fonts Arabic is set from right to left, its letters joined: set alone they take more room.
func TestArabicIsShaped(t *testing.T) {
	judge.Find(t, "fc-list")
	if !strings.Contains(judge.Ask(t, "fc-list", ":lang=ar"), ":") {
		if os.Getenv("CI") != "" {
			t.Fatal("no font for Arabic is installed")
		}
		t.Skip("no font for Arabic is installed")
	}
	var fonts Fonts
	width := func(text string) float64 {
		line, err := fonts.line(text, regular)
		if err != nil {
			t.Fatal(err)
		}
		return line.width
	}
	joined, apart, spaces := width("السرعة"), width("ا ل س ر ع ة"), width("     ")
	if joined <= 0 || joined >= apart-spaces {
		t.Errorf("joined it is %v wide, apart %v", joined, apart-spaces)
	}
}

func TestSizeOf(t *testing.T) {
	if s := SizeOf("portrait"); s.Height != 1920 {
		t.Errorf("got %v", s)
	}
}

func BenchmarkPNG(b *testing.B) {
	for _, size := range Sizes[:2] {
		b.Run(size.Name, func(b *testing.B) {
			p := Of(work(b, "calc:stop?speed=60km/h"), 0, &quantity.Reader{}, true)
			pen := newPen(b, Light)
			for b.Loop() {
				if err := p.WritePNG(io.Discard, size, pen); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func ExampleMissingError() {
	err := missing([]rune("सड़"))
	fmt.Println(err.Hint())
	// Output: install a font for Devanagari; on Debian the package fonts-noto-core has one for most scripts
}
