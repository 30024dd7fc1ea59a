package still

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"io/fs"
	"log"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"unicode"

	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/fontscan"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// Fonts sets text. The letters of Latin, Greek and Cyrillic come with the program; other scripts are set in a font of
// the machine that has them, found when a text first needs it. The zero value is ready to use, by several goroutines at
// once.
type Fonts struct {
	Dirs []string // where the machine's fonts are; nil is the usual places

	mu      sync.Mutex
	own     [2]*font.Face // by weight
	others  [2][]*font.Face
	files   [2][]string // of fonts not looked into yet, the likeliest first
	looked  bool
	missing map[rune]bool

	segmenter shaping.Segmenter
	shaper    shaping.HarfbuzzShaper
	wrapper   shaping.LineWrapper
}

// weight chooses between the two that come with the program.
type weight uint8

const (
	regular weight = iota
	bold
)

// MissingError says which letters no font of the machine has.
type MissingError struct {
	Letters string
	Scripts []string // their names in Unicode
}

func (e *MissingError) Error() string {
	return fmt.Sprintf("no font on this machine has the letters %s (%s)", e.Letters, strings.Join(e.Scripts, ", "))
}

// Hint says what to do about it.
func (e *MissingError) Hint() string {
	return "install a font for " + strings.Join(e.Scripts, " and ") + "; on Debian the package fonts-noto-core has one for most scripts"
}

func (f *Fonts) load() error {
	if f.own[0] != nil {
		return nil
	}
	for i, data := range [...][]byte{goregular.TTF, gobold.TTF} {
		face, err := font.ParseTTF(bytes.NewReader(data))
		if err != nil {
			return fmt.Errorf("loading the built-in font: %w", err)
		}
		f.own[i] = face
	}
	f.missing = make(map[rune]bool)
	return nil
}

// chooser gives each letter of a text its font, and notes those that no font has.
type chooser struct {
	fonts  *Fonts
	weight weight
	last   *font.Face
	lost   []rune
}

// ResolveFace is what the splitting of a text asks. A sign that belongs to no script takes the font of what is before
// it.
func (c *chooser) ResolveFace(r rune) *font.Face {
	if c.last != nil && unicode.In(r, unicode.Common, unicode.Inherited) && has(c.last, r) {
		return c.last
	}
	face := c.fonts.find(r, c.weight)
	if face == nil {
		c.lost = append(c.lost, r)
		return c.fonts.own[c.weight]
	}
	c.last = face
	return face
}

// has reports whether a font can set r: it has a glyph for it, or r is a space, for which the shaper has a way, or it
// only guides the setting of others.
func has(f *font.Face, r rune) bool {
	_, ok := f.NominalGlyph(r)
	return ok || unicode.In(r, unicode.Zs, unicode.Cf, unicode.Cc)
}

// find gives the font for a letter: an own one, one found before, or the next of the machine's that has it; nil if no
// font has it.
func (f *Fonts) find(r rune, w weight) *font.Face {
	if has(f.own[w], r) {
		return f.own[w]
	}
	for _, face := range f.others[w] {
		if has(face, r) {
			return face
		}
	}
	if f.missing[r] {
		return nil
	}
	f.look()
	for len(f.files[w]) > 0 {
		file := f.files[w][0]
		f.files[w] = f.files[w][1:]
		data, err := os.ReadFile(file)
		if err != nil {
			continue // a font that cannot be read is as good as none
		}
		faces, err := font.ParseTTC(bytes.NewReader(data))
		if err != nil {
			continue
		}
		f.others[w] = append(f.others[w], faces[0])
		if has(faces[0], r) {
			return faces[0]
		}
	}
	f.missing[r] = true
	return nil
}

// look lists the machine's fonts once for each weight, upright ones without serifs first.
func (f *Fonts) look() {
	if f.looked {
		return
	}
	f.looked = true
	dirs := f.Dirs
	if dirs == nil {
		dirs, _ = fontscan.DefaultFontDirectories(log.New(io.Discard, "", 0)) // if there are none, the text that needs one says so
	}
	found := describe(dirs)
	for w, wanted := range [...]font.Weight{font.WeightNormal, font.WeightBold} {
		f.files[w] = likeliest(found, wanted)
	}
}

// described is a font's file with what it says of itself.
type described struct {
	file string
	font.Description
}

// describe looks into all upright fonts of some folders. What cannot be read is left out.
func describe(dirs []string) []described {
	var list []described
	for _, dir := range dirs {
		_ = filepath.WalkDir(dir, func(file string, _ fs.DirEntry, _ error) error {
			switch strings.ToLower(filepath.Ext(file)) {
			case ".ttf", ".otf", ".ttc":
			default:
				return nil
			}
			f, err := os.Open(file)
			if err != nil {
				return nil
			}
			defer f.Close()
			if loaders, err := opentype.NewLoaders(f); err == nil {
				if d, _ := font.Describe(loaders[0], nil); d.Aspect.Style == font.StyleNormal {
					list = append(list, described{file, d})
				}
			}
			return nil
		})
	}
	return list
}

// likeliest lists the files of fonts by how well they suit.
func likeliest(found []described, wanted font.Weight) []string {
	order := slices.SortedFunc(slices.Values(found), func(a, b described) int {
		return cmp.Or(rank(&a, wanted)-rank(&b, wanted), strings.Compare(a.file, b.file))
	})
	files := make([]string, len(order))
	for i, d := range order {
		files[i] = d.file
	}
	return files
}

// rank says how little a font suits: what is of another weight, has serifs, is narrow or of fixed width comes late.
func rank(d *described, wanted font.Weight) int {
	n := 0
	if d.Aspect.Weight != wanted {
		n += 4
	}
	if d.Aspect.Stretch != font.StretchNormal {
		n++
	}
	if !strings.Contains(d.Family, "sans") {
		n += 2
	}
	for _, word := range []string{"mono", "serif"} {
		if strings.Contains(d.Family, word) {
			n++
		}
	}
	return n
}

func missing(lost []rune) *MissingError {
	slices.Sort(lost)
	lost = slices.Compact(lost)
	var scripts []string
	for _, r := range lost {
		scripts = append(scripts, scriptOf(r))
	}
	slices.Sort(scripts)
	return &MissingError{Letters: string(lost[:min(len(lost), 12)]), Scripts: slices.Compact(scripts)}
}

func scriptOf(r rune) string {
	for name, table := range unicode.Scripts {
		if unicode.Is(table, r) {
			return name
		}
	}
	return fmt.Sprintf("U+%04X", r)
}
