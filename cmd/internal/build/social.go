package build

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"sync"

	"example.org/gripleaf/cmd/internal/asset"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/page"
	"example.org/gripleaf/cmd/internal/still"
)

// Social pictures: what stands for a lesson where its address is shared. They lie in the folder social under the
// lesson's address and a hash of their content.

// Undrawn says how many lessons have no social picture because the machine has no font for them. Their pages are made
// anew by every build until it has one.
type Undrawn struct {
	Lessons int
	still.MissingError
}

// easel is what the social pictures of one build are drawn with. A nil one draws nothing.
type easel struct {
	pen   still.Pen
	title string // of the site, where a language has none
	key   string // hash of what all of them are made from
	cache cache.Cache

	mu      sync.Mutex
	undrawn Undrawn
}

// newEasel gets the easel ready, if there are to be social pictures. module names the calculators that draw.
func newEasel(site *course.Site, theme fs.FS, module string, fonts *still.Fonts, kept cache.Cache) (*easel, error) {
	if !site.Social {
		return nil, nil
	}
	look := site.Look.Colours
	palette, err := still.NewPalette(look)
	if err != nil {
		return nil, err
	}
	k := cache.NewKey("easel 1")
	k.Text(cache.Program(), module)
	for _, name := range slices.Sorted(maps.Keys(look)) {
		k.Text(name, look[name])
	}
	_ = k.Files(theme, "messages", func(string) bool { return true })
	pen := still.Pen{Fonts: fonts, Palette: palette, Background: still.Light}
	return &easel{pen: pen, title: site.Title, key: k.String(), cache: kept}, nil
}

// picture draws the picture of a lesson and gives its file, which is nil if it has none. late reports that it should
// have one and this machine has no letters for it.
func (a *easel) picture(e *course.Entry, l *lesson.Lesson) (social *page.Social, data []byte, late bool, err error) {
	if a == nil || e.Beside {
		return nil, nil, false, nil
	}
	p, ok := still.Main(l, e.Language.Locale)
	if !ok {
		return nil, nil, false, nil
	}
	data, err = a.draw(&p, e.Language)
	if missing, ok := errors.AsType[*still.MissingError](err); ok {
		a.miss(missing)
		return nil, nil, true, nil
	}
	if err != nil {
		return nil, nil, false, err
	}
	sum := sha256.Sum256(data)
	name := "social/" + strings.TrimSuffix(e.Address, ".html") + "." + hex.EncodeToString(sum[:5]) + ".png"
	picture := asset.Picture{Path: name, Width: int(still.Social.Width), Height: int(still.Social.Height)}
	return &page.Social{Picture: picture, Alt: p.Alt()}, data, false, nil
}

// draw draws a picture, unless the cache has it.
func (a *easel) draw(p *still.Picture, l *course.Language) ([]byte, error) {
	site := cmp.Or(l.Title, a.title)
	k := cache.NewKey("social 1")
	k.Text(a.key, l.Folder, site, p.Title, p.Name)
	if data, ok := a.cache.Get("social", k.String()); ok {
		return data, nil
	}
	var b bytes.Buffer
	if err := p.WriteSocial(&b, site, &a.pen); err != nil {
		return nil, err
	}
	_ = a.cache.Put("social", k.String(), b.Bytes()) // what cannot be kept is drawn again
	return b.Bytes(), nil
}

// miss notes a lesson whose picture could not be drawn.
func (a *easel) miss(missing *still.MissingError) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.undrawn.Lessons++
	a.undrawn.Scripts = append(a.undrawn.Scripts, missing.Scripts...)
	slices.Sort(a.undrawn.Scripts)
	a.undrawn.Scripts = slices.Compact(a.undrawn.Scripts)
}
