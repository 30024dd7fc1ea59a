package asset

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	_ "image/gif" // for DecodeConfig
	_ "image/jpeg"
	_ "image/png"
	"io/fs"
	"path"
	"strings"

	_ "golang.org/x/image/webp"
)

// formats are the endings of pictures that pages can show, and what image calls what is in them.
var formats = map[string]string{
	".svg": "svg", ".png": "png", ".jpg": "jpeg", ".jpeg": "jpeg", ".gif": "gif", ".webp": "webp", ".avif": "avif",
}

// IsPicture reports whether a file is one that pages can show, by its name.
func IsPicture(name string) bool { return formats[path.Ext(name)] != "" }

// PictureHint says which pictures pages can show.
const PictureHint = "save it as SVG, PNG, JPEG, GIF, WebP or AVIF, with the ending of its kind in small letters"

// PictureError says what is wrong with a picture, and where in its file if that is a text.
type PictureError struct {
	At   int
	Text string
	Hint string
}

func (e *PictureError) Error() string { return e.Text }

// What a picture may measure. A browser makes 4 bytes of every pixel, on a phone too.
const (
	mostSide   = 16_384
	mostPixels = 64_000_000
)

// ReadPicture reads an image of the site and its size. What is wrong with it is a PictureError.
func ReadPicture(files fs.FS, name string) (Picture, []byte, error) {
	data, err := fs.ReadFile(files, name)
	if err != nil {
		return Picture{}, nil, err
	}
	p := Picture{Path: "pictures/" + hashed(path.Base(name), data)}
	switch format := formats[path.Ext(name)]; format {
	case "svg":
		p.Width, p.Height, err = readSVG(data)
	case "avif": // whose size nothing here can read
		if len(data) < 12 || string(data[4:8]) != "ftyp" || !strings.HasPrefix(string(data[8:12]), "avi") {
			err = &PictureError{Text: "this is not an AVIF", Hint: PictureHint}
		}
	default:
		p.Width, p.Height, err = readPixels(data, format)
	}
	return p, data, err
}

// readPixels reads the size of a picture of pixels, and looks whether the file can hold so many.
func readPixels(data []byte, format string) (width, height int, err error) {
	c, found, err := image.DecodeConfig(bytes.NewReader(data))
	switch {
	case err != nil:
		return 0, 0, &PictureError{Text: "this is not a picture: " + err.Error(), Hint: PictureHint}
	case found != format:
		return 0, 0, &PictureError{Hint: "give it the ending of its kind",
			Text: "this is " + strings.ToUpper(found) + ", and its name says " + strings.ToUpper(format)}
	case c.Width > mostSide || c.Height > mostSide || c.Width*c.Height > mostPixels:
		return 0, 0, &PictureError{Hint: "make it smaller",
			Text: fmt.Sprintf("this says that it has %d × %d pixels, and a page shows at most %d × %[3]d and %d in all",
				c.Width, c.Height, mostSide, mostPixels)}
	case !complete(data, format, c):
		return 0, 0, &PictureError{Hint: "it was cut off, perhaps in a copy: save it again",
			Text: fmt.Sprintf("this says that it has %d × %d pixels, and does not hold them", c.Width, c.Height)}
	}
	return c.Width, c.Height, nil
}

// complete reports whether a file goes on to its end. That of a PNG is a chunk of its own (PNG specification, 5.6),
// that of a JPEG a mark (ITU-T T.81, B.1.1.3); a WebP says its length. Nothing in a PNG packs better than 1032 to 1
// (zlib's technical notes).
func complete(data []byte, format string, c image.Config) bool {
	switch format {
	case "png":
		return bytes.Contains(data[max(0, len(data)-64):], []byte("IEND")) && c.Width*c.Height/8/1032 <= len(data)
	case "jpeg":
		return bytes.LastIndex(data, []byte{0xff, 0xd9}) > len(data)/2
	case "webp":
		return len(data) >= 12 && int64(binary.LittleEndian.Uint32(data[4:]))+8 <= int64(len(data))+1
	}
	return true
}
