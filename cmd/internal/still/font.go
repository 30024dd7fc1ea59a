package still

import (
	"cmp"
	"fmt"
	"image/color"
	"os"
	"slices"
	"strings"
	"sync"
	"unicode"

	"github.com/tdewolff/canvas"
	"github.com/tdewolff/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// Fonts sets text. The letters of Latin, Greek and Cyrillic come with the
// program; other scripts are set in a font of the machine that has them, found
// when a text first needs it. The zero value is ready to use, by several
// goroutines at once.
type Fonts struct {
	Dirs []string // where the machine's fonts are; nil is the usual places

	mu      sync.Mutex
	own     [2]*canvas.Font // by weight
	others  [2][]*canvas.Font
	files   [2][]string // of fonts not looked into yet, the likeliest first
	looked  bool
	missing map[rune]bool
	lines   map[setting]set
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

// path sets a text on one line: its outline with the start of the baseline at
// the origin, y upwards, and its width, both in the unit of size. The outline
// is the caller's own.
func (f *Fonts) path(text string, size float64, w weight) (*canvas.Path, float64, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	key := setting{text, size, w}
	line, ok := f.lines[key]
	if !ok {
		var err error
		if line, err = f.set(key); err != nil {
			return nil, 0, err
		}
		if f.lines == nil || len(f.lines) > mostLines {
			f.lines = make(map[setting]set)
		}
		f.lines[key] = line
	}
	return line.outline.Copy(), line.width, nil
}

// mostLines is how many set lines are kept: a film has the same words in
// every frame.
const mostLines = 2000

type setting struct {
	text   string
	size   float64
	weight weight
}

type set struct {
	outline *canvas.Path
	width   float64
}

// pointsPerUnit is there because the canvas measures in millimetres and sizes
// in points.
const pointsPerUnit = 72 / 25.4

func (f *Fonts) set(s setting) (set, error) {
	if runsBack(s.text) {
		return f.bothWays(s)
	}
	return f.oneWay(s)
}

// oneWay sets a text that runs in one direction.
func (f *Fonts) oneWay(s setting) (set, error) {
	runs, err := f.runs(s.text, s.weight)
	if err != nil || len(runs) == 0 {
		return set{outline: &canvas.Path{}}, err
	}
	rich := canvas.NewRichText(runs[0].font.Face(s.size*pointsPerUnit, color.Black))
	for _, r := range runs {
		rich.WriteFace(r.font.Face(s.size*pointsPerUnit, color.Black), r.text)
	}
	line := rich.ToText(0, 0, canvas.Left, canvas.Top, nil)
	outline := collector{path: &canvas.Path{}}
	line.RenderAsPath(&outline, canvas.Identity, 0)
	baseline, width := 0.0, 0.0
	line.WalkLines(func(y float64, spans []canvas.TextSpan) {
		baseline = y
		for _, s := range spans {
			width = max(width, s.X+s.Width)
		}
	})
	return set{outline.path.Translate(0, -baseline), width}, nil
}

// run is a stretch of text in one font.
type run struct {
	font *canvas.Font
	text string
}

// runs splits a text by the fonts that have its letters. What belongs to no
// script, such as a space, stays with what is before it.
func (f *Fonts) runs(text string, w weight) ([]run, error) {
	if err := f.load(); err != nil {
		return nil, err
	}
	var runs []run
	var lost []rune
	for _, r := range text {
		if n := len(runs); n > 0 && stays(r) && has(runs[n-1].font, r) {
			runs[n-1].text += string(r)
			continue
		}
		font := f.find(r, w)
		if font == nil {
			lost = append(lost, r)
			continue
		}
		if n := len(runs); n > 0 && runs[n-1].font == font {
			runs[n-1].text += string(r)
		} else {
			runs = append(runs, run{font, string(r)})
		}
	}
	if lost != nil {
		return nil, missing(lost)
	}
	return runs, nil
}

func (f *Fonts) load() error {
	if f.own[0] != nil {
		return nil
	}
	for i, data := range [...][]byte{goregular.TTF, gobold.TTF} {
		font, err := canvas.LoadFont(data, 0, canvas.FontRegular)
		if err != nil {
			return fmt.Errorf("loading the built-in font: %w", err)
		}
		f.own[i] = font
	}
	f.missing = make(map[rune]bool)
	return nil
}

func has(f *canvas.Font, r rune) bool { return invisible(r) || f.GlyphIndex(shape(r)) != 0 }

// shape is the character whose glyph stands for r: the built-in fonts lack the
// narrow spaces but have the plain one.
func shape(r rune) rune {
	if unicode.Is(unicode.Zs, r) {
		return ' '
	}
	return r
}

// invisible reports whether r only guides the setting of others.
func invisible(r rune) bool { return unicode.In(r, unicode.Cf, unicode.Cc) }

// stays reports whether r takes the font of the text before it: it has no
// script of its own.
func stays(r rune) bool {
	return invisible(r) || unicode.In(r, unicode.Common, unicode.Inherited)
}

// find gives the font for a letter: an own one, one found before, or the next
// of the machine's that has it; nil if there is none.
func (f *Fonts) find(r rune, w weight) *canvas.Font {
	if has(f.own[w], r) {
		return f.own[w]
	}
	for _, font := range f.others[w] {
		if has(font, r) {
			return font
		}
	}
	if f.missing[r] {
		return nil
	}
	f.look()
	for len(f.files[w]) > 0 {
		file := f.files[w][0]
		f.files[w] = f.files[w][1:]
		font, err := canvas.LoadFontFile(file, canvas.FontRegular)
		if err != nil {
			continue // a font that cannot be read is as good as none
		}
		f.others[w] = append(f.others[w], font)
		if has(font, r) {
			return font
		}
	}
	f.missing[r] = true
	return nil
}

// look lists the machine's fonts once for each weight, upright ones without
// serifs first.
func (f *Fonts) look() {
	if f.looked {
		return
	}
	f.looked = true
	dirs := f.Dirs
	if dirs == nil {
		dirs = font.DefaultFontDirs()
	}
	known := slices.DeleteFunc(slices.Clone(dirs), func(dir string) bool {
		_, err := os.Stat(dir)
		return err != nil
	})
	found, err := font.FindSystemFonts(known)
	if err != nil {
		return // as if there were none: the text that needs one says so
	}
	for w, style := range [...]font.Style{font.Regular, font.Bold} {
		f.files[w] = likeliest(found, style)
	}
}

// likeliest lists the files of fonts by how well they suit.
func likeliest(found *font.SystemFonts, style font.Style) []string {
	type candidate struct {
		file string
		rank int
	}
	var list []candidate
	for _, styles := range found.Fonts {
		for has, meta := range styles {
			list = append(list, candidate{meta.Filename, rank(meta.Family, has == style)})
		}
	}
	slices.SortFunc(list, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(a.file, b.file))
	})
	files := make([]string, len(list))
	for i, c := range list {
		files[i] = c.file
	}
	return files
}

// rank says how little a font suits: what is of another style, has serifs, is
// narrow or of fixed width comes late.
func rank(family string, wanted bool) int {
	n := 0
	if !wanted {
		n += 4
	}
	if !strings.Contains(family, "Sans") {
		n += 2
	}
	for _, word := range []string{"Mono", "Condensed", "Narrow", "Serif"} {
		if strings.Contains(family, word) {
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
