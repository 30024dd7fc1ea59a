package asset

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// A page shows an SVG as an image, in which nothing runs. But the file has an address of its own, and who opens that
// opens a page of the site: so no SVG is published that runs something or loads something from elsewhere.

// active are elements that run something or bring in another document.
var active = []string{
	"script", "foreignobject", "iframe", "object", "embed", "audio", "video", "handler", "listener", "link", "meta",
	"base", "html", "body", "portal",
}

var (
	ownAddress  = regexp.MustCompile(`^\s*(#|data:image/(png|jpeg|gif|webp)[;,])`)
	webAddress  = regexp.MustCompile(`^\s*(https?:|mailto:)`)
	urlOfStyle  = regexp.MustCompile(`(?i)(?:url\(\s*["']?([^)]*)|@import|\\)`)
	settableBad = regexp.MustCompile(`(?i)^(xlink:)?href$|^on`)
)

// svgReader walks an SVG once.
type svgReader struct {
	decoder       *xml.Decoder
	at            int // where the token begins
	depth         int
	root          bool // has been read
	style         bool // within a style element
	width, height float64
}

// readSVG reads the size of an SVG from its width and height or its viewBox; without either it is unknown, not wrong.
func readSVG(data []byte) (width, height int, err error) {
	r := svgReader{decoder: xml.NewDecoder(bytes.NewReader(data))}
	for err == nil {
		r.at = int(r.decoder.InputOffset())
		var token xml.Token
		if token, err = r.decoder.RawToken(); err == nil {
			err = r.token(token)
		}
	}
	var fault *PictureError
	switch {
	case errors.As(err, &fault):
		return 0, 0, fault
	case err != io.EOF || r.depth != 0 || !r.root:
		return 0, 0, &PictureError{At: int(r.decoder.InputOffset()), Text: "this is not an SVG that browsers can read",
			Hint: "save it anew as SVG, in UTF-8"}
	case r.width > 1e6 || r.height > 1e6:
		return 0, 0, &PictureError{Text: "this says that it is larger than any screen",
			Hint: "give the svg element a width and a height in pixels"}
	}
	return int(math.Round(r.width)), int(math.Round(r.height)), nil
}

func (r *svgReader) refuse(what string) error {
	return &PictureError{At: r.at, Text: "this SVG " + what,
		Hint: "a picture only shows: take it out, or save the picture as plain SVG"}
}

func (r *svgReader) token(token xml.Token) error {
	switch t := token.(type) {
	case xml.ProcInst:
		if t.Target != "xml" {
			return r.refuse("brings instructions for programs")
		}
	case xml.Directive:
		if bytes.ContainsRune(t, '[') {
			return r.refuse("declares words of its own")
		}
	case xml.CharData:
		if r.style {
			return r.styled(string(t), true)
		}
	case xml.StartElement:
		r.depth++
		return r.element(t)
	case xml.EndElement:
		r.depth--
		r.style = false
	}
	return nil
}

func (r *svgReader) element(e xml.StartElement) error {
	name := strings.ToLower(e.Name.Local)
	if !r.root {
		if name != "svg" {
			return &PictureError{At: r.at, Text: "this is not an SVG", Hint: PictureHint}
		}
		r.root = true
		r.size(e)
	}
	if slices.Contains(active, name) {
		return r.refuse("holds a " + e.Name.Local)
	}
	r.style = name == "style"
	for _, a := range e.Attr {
		if err := r.attribute(name, a.Name.Space == "", strings.ToLower(a.Name.Local), a.Value); err != nil {
			return err
		}
	}
	return nil
}

// attribute checks one attribute. Those of SVG itself, which have no prefix, may be values of CSS, in which a backslash
// can hide any word; those that only name or describe something are not.
func (r *svgReader) attribute(element string, own bool, name, value string) error {
	switch {
	case strings.HasPrefix(name, "on"):
		return r.refuse("runs something " + name)
	case name == "href" || name == "src":
		if !ownAddress.MatchString(value) && !(element == "a" && webAddress.MatchString(value)) {
			return r.refuse("refers to " + strconv.Quote(value))
		}
	case name == "attributename" && settableBad.MatchString(strings.TrimSpace(value)):
		return r.refuse("changes what it refers to")
	case name != "d" && name != "points":
		names := name == "id" || name == "class" || strings.HasPrefix(name, "aria-") || strings.HasPrefix(name, "data-")
		return r.styled(value, own && !names)
	}
	return nil
}

// styled looks for addresses in a style sheet or a value that may hold one, and for backslashes in what is CSS.
func (r *svgReader) styled(text string, css bool) error {
	for _, m := range urlOfStyle.FindAllStringSubmatch(text, -1) {
		switch {
		case m[0] == `\`:
			if css {
				return r.refuse("hides words of its style behind backslashes")
			}
		case !ownAddress.MatchString(m[1]):
			return r.refuse("loads " + strconv.Quote(m[0]))
		}
	}
	return nil
}

// size reads the root element.
func (r *svgReader) size(e xml.StartElement) {
	var box []string
	for _, a := range e.Attr {
		switch a.Name.Local {
		case "width":
			r.width = pixels(a.Value)
		case "height":
			r.height = pixels(a.Value)
		case "viewBox":
			box = strings.Fields(strings.ReplaceAll(a.Value, ",", " "))
		}
	}
	if (r.width == 0 || r.height == 0) && len(box) == 4 {
		r.width, r.height = pixels(box[2]), pixels(box[3])
	}
}

func pixels(text string) float64 {
	v, err := strconv.ParseFloat(strings.TrimSuffix(text, "px"), 64)
	if err != nil || !(v > 0) {
		return 0
	}
	return v
}
