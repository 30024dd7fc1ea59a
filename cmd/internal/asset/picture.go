package asset

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	_ "image/gif" // for DecodeConfig
	_ "image/jpeg"
	_ "image/png"
	"io/fs"
	"path"
	"strconv"
	"strings"

	_ "golang.org/x/image/webp"
)

// ReadPicture reads an image of the site and its size.
func ReadPicture(files fs.FS, name string) (Picture, []byte, error) {
	data, err := fs.ReadFile(files, name)
	if err != nil {
		return Picture{}, nil, err
	}
	p := Picture{Path: "pictures/" + hashed(path.Base(name), data)}
	switch path.Ext(name) {
	case ".svg":
		p.Width, p.Height, err = svgSize(data)
	case ".png", ".jpg", ".jpeg", ".gif", ".webp":
		var c image.Config
		c, _, err = image.DecodeConfig(bytes.NewReader(data))
		p.Width, p.Height = c.Width, c.Height
	}
	return p, data, err
}

// svgSize reads the size of an SVG from its viewBox or its width and height; without either it is unknown, not wrong.
func svgSize(data []byte) (width, height int, err error) {
	d := xml.NewDecoder(bytes.NewReader(data))
	d.Strict = false
	for {
		token, err := d.Token()
		if err != nil {
			return 0, 0, errors.New("this is not an SVG")
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		if start.Name.Local != "svg" {
			return 0, 0, errors.New("this is not an SVG")
		}
		for _, a := range start.Attr {
			switch a.Name.Local {
			case "width":
				width = pixels(a.Value)
			case "height":
				height = pixels(a.Value)
			case "viewBox":
				if box := strings.Fields(strings.ReplaceAll(a.Value, ",", " ")); len(box) == 4 && width*height == 0 {
					width, height = pixels(box[2]), pixels(box[3])
				}
			}
		}
		return width, height, nil
	}
}

func pixels(text string) int {
	v, err := strconv.ParseFloat(strings.TrimSuffix(text, "px"), 64)
	if err != nil {
		return 0
	}
	return int(v + 0.5)
}
