package asset

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/gif"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"
	"testing/fstest"
)

// header is a PNG that says how large it is and then ends, properly or not.
func header(width, height uint32, proper bool) string {
	chunk := func(name string, data []byte) []byte {
		text := append([]byte(name), data...)
		b := append(binary.BigEndian.AppendUint32(nil, uint32(len(data))), text...)
		return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(text))
	}
	size := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, width), height)
	b := append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", append(size, 8, 6, 0, 0, 0))...)
	if proper {
		b = append(b, chunk("IEND", nil)...)
	}
	return string(b)
}

func read(name, data string) (Picture, error) {
	p, _, err := ReadPicture(fstest.MapFS{name: {Data: []byte(data)}}, name)
	return p, err
}

func TestPictures(t *testing.T) {
	picture := image.NewGray(image.Rect(0, 0, 300, 200))
	var asPNG, asJPEG, asGIF bytes.Buffer
	if err := errors.Join(png.Encode(&asPNG, picture), jpeg.Encode(&asJPEG, picture, nil), gif.Encode(&asGIF, picture, nil)); err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string]string{
		"a.png": asPNG.String(), "a.jpg": asJPEG.String(), "a.jpeg": asJPEG.String(), "a.gif": asGIF.String(),
		"a.svg": `<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">
			<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 200"><style>rect{fill:url(#g)}</style><defs><linearGradient id="g"/></defs>
			<a href="https://ferndale.example/"><rect fill="url(#g)"/></a><use href="#g"/><image href="data:image/png;base64,AA=="/><g xmlns:e="https://editor.example/" e:label="C:\yard" data-from="a\b"/></svg>`,
		"b.svg": `<svg xmlns="http://www.w3.org/2000/svg" width="300px" height="200"/>`,
	} {
		p, err := read(name, data)
		if err != nil || p.Width != 300 || p.Height != 200 || !strings.HasPrefix(p.Path, "pictures/"+name[:2]) {
			t.Errorf("%s: %+v, %v", name, p, err)
		}
	}
	if p, err := read("a.svg", `<svg xmlns="http://www.w3.org/2000/svg"/>`); err != nil || p.Width != 0 {
		t.Errorf("an SVG without a size: %+v, %v", p, err)
	}
	for name, test := range map[string]struct{ file, data, text string }{
		"huge":          {"a.png", header(2_000_000_000, 2_000_000_000, true), "this is not a picture"},
		"large":         {"a.png", header(16_000, 16_000, true), "16000 × 16000 pixels"},
		"wide":          {"a.png", header(17_000, 1, true), "17000 × 1 pixels"},
		"empty":         {"a.png", header(4_000, 4_000, true), "does not hold them"},
		"cut":           {"a.png", asPNG.String()[:asPNG.Len()-20], "does not hold them"},
		"cut JPEG":      {"a.jpg", asJPEG.String()[:asJPEG.Len()-2], "does not hold them"},
		"other kind":    {"a.png", asJPEG.String(), "this is JPEG, and its name says PNG"},
		"page":          {"a.png", "<html><script>alert(1)</script>", "this is not a picture"},
		"no AVIF":       {"a.avif", "nonsense that is long enough", "this is not an AVIF"},
		"no SVG":        {"a.svg", "<html xmlns='http://www.w3.org/1999/xhtml'/>", "this is not an SVG"},
		"nothing":       {"a.svg", "", "not an SVG that browsers can read"},
		"other letters": {"a.svg", "<?xml version='1.0' encoding='utf-7'?><svg/>", "not an SVG that browsers can read"},
		"not closed":    {"a.svg", "<svg><g>", "not an SVG that browsers can read"},
		"endless":       {"a.svg", "<svg viewBox='0 0 1e30 1'/>", "larger than any screen"},
	} {
		_, err := read(test.file, test.data)
		var wrong *PictureError
		if !errors.As(err, &wrong) || !strings.Contains(wrong.Text, test.text) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Ways to run or to load something in an SVG, gathered from the elements and attributes of SVG 1.1 and 2 and of SMIL
// that do so (from memory).
func TestSVGThatRunsSomething(t *testing.T) {
	for _, inner := range []string{
		`<script>alert(1)</script>`, `<SCRIPT/>`, `<x:script xmlns:x="http://www.w3.org/2000/svg" href="data:text/javascript,alert(1)"/>`,
		`<foreignObject><p/></foreignObject>`, `<iframe src="#"/>`, `<rect onclick="alert(1)"/>`, `<rect ONLOAD="alert(1)"/>`, `<svg onload="alert(1)"/>`,
		`<a href="javascript:alert(1)"><rect/></a>`, `<a xmlns:x="http://www.w3.org/1999/xlink" x:href=" java&#10;script:alert(1)"/>`,
		`<set attributeName="href" to="javascript:alert(1)"/>`, `<animate attributeName="xlink:href" values="javascript:alert(1)"/>`, `<set attributeName="onclick" to="alert(1)"/>`,
		`<use href="https://a.example/b.svg#c"/>`, `<use href="data:image/svg+xml,x#c"/>`, `<image href="https://a.example/b.png"/>`, `<image href="//a.example/b.png"/>`, `<feImage href="b.png"/>`,
		`<style>@import "https://a.example/b.css";</style>`, `<style>rect{fill:url(https://a.example/b)}</style>`, `<style>rect{fill:\75rl(https://a.example/b)}</style>`,
		`<rect style="fill:url('https://a.example/b')"/>`, `<rect fill="url(//a.example/b)"/>`, `<rect style="fill:\75rl(https://a.example/b)"/>`, `<rect fill="u\72l(https://a.example/b)"/>`, `<handler type="text/javascript">alert(1)</handler>`,
	} {
		text := "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 1 1\">\n" + inner + "</svg>"
		_, err := read("a.svg", text)
		var wrong *PictureError
		if !errors.As(err, &wrong) || wrong.At != strings.Index(text, "\n")+1 && !strings.Contains(inner, "style>") {
			t.Errorf("%s: %v", inner, err)
		}
	}
	for _, text := range []string{
		`<?xml-stylesheet href="https://a.example/b.css"?><svg/>`,
		`<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]><svg viewBox="0 0 1 1"><text>&b;</text></svg>`,
		`<svg><text>&nbsp;</text></svg>`,
	} {
		if _, err := read("a.svg", text); err == nil {
			t.Errorf("%s is taken", text)
		}
	}
}

// Whatever is in a picture's file, reading it ends with a size that a page can hold, or with what is wrong.
func FuzzPicture(f *testing.F) {
	f.Add("a.svg", `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 3 2"><a href="#b"/></svg>`)
	f.Add("a.png", header(300, 200, true))
	f.Add("a.gif", "GIF89a\x01\x00\x01\x00\x00\x00\x00;")
	f.Add("a.jpg", "\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00\xff\xd9")
	f.Add("a.webp", "RIFF\x1a\x00\x00\x00WEBPVP8L\x0d\x00\x00\x00\x2f\x00\x00\x00\x10\x07\x10\x11\x11\x88\x88\xfe\x07\x00")
	f.Add("a.avif", "\x00\x00\x00\x18ftypavif\x00\x00\x00\x00")
	f.Fuzz(func(t *testing.T, name, data string) {
		if strings.ContainsAny(name, "/\\") || !IsPicture(name) {
			return
		}
		p, err := read(name, data)
		var wrong *PictureError
		switch {
		case err != nil && !errors.As(err, &wrong):
			return // its name is none
		case err != nil && (wrong.At < 0 || wrong.At > len(data) || wrong.Text == ""):
			t.Errorf("%+v", wrong)
		case err == nil && (p.Width < 0 || p.Height < 0 || p.Width > 1e6 || p.Height > 1e6):
			t.Errorf("%+v", p)
		}
	})
}
