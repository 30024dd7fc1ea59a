package still

import (
	"bytes"
	"image/png"
	"testing"
)

// The number is what one sees first, also where the picture is small; nothing touches the edges or the foot, where
// players put the time.
func TestThumbnail(t *testing.T) {
	palette, err := NewPalette(nil)
	if err != nil {
		t.Fatal(err)
	}
	pen := &Pen{Fonts: new(Fonts), Palette: palette, Background: Dark}
	ink := palette.on(Dark)
	for _, one := range []Thumbnail{
		{Title: "Short", Number: "34.4\u00a0m", Label: "Stopping distance, 60 km/h"},
		{Title: "A title that is so long that it needs several lines, whatever one does about it", Number: "1234.5\u00a0kg·m²", Label: "What it is"},
		{Title: "Without a number"},
	} {
		var b bytes.Buffer
		if err := one.WritePNG(&b, pen); err != nil {
			t.Fatal(err)
		}
		picture, err := png.Decode(&b)
		if err != nil {
			t.Fatal(err)
		}
		if size := picture.Bounds().Size(); size.X != 1280 || size.Y != 720 {
			t.Errorf("the picture is %v", size)
		}
		coloured, outside := 0, 0
		paper, accent := ink.paper(), ink.role("braking")
		for y := range 720 {
			for x := range 1280 {
				r, g, b, _ := picture.At(x, y).RGBA()
				is := [3]uint8{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8)}
				if is == [3]uint8{accent.R, accent.G, accent.B} {
					coloured++
				}
				if (x < 32 || x >= 1280-32 || y < 24 || y >= 720-64) && is != [3]uint8{paper.R, paper.G, paper.B} {
					outside++
				}
			}
		}
		if outside > 0 {
			t.Errorf("%q: %d pixels at the edges are not bare", one.Title, outside)
		}
		if least := 1280 * 720 / 50; one.Number != "" && coloured < least {
			t.Errorf("%q: the number has %d pixels, want %d", one.Title, coloured, least)
		}
	}
}
