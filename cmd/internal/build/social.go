package build

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"maps"
	"slices"
	"strings"

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

// easel is what the social pictures of one build are drawn with.
type easel struct {
	pen still.Pen
	key string // hash of what all of them are made from
}

// setUp gets the easel ready, if there are to be social pictures.
func (r *run) setUp() error {
	if !r.course.Site.Social {
		return nil
	}
	look := r.course.Site.Look.Colours
	palette, err := still.NewPalette(look)
	if err != nil {
		return err
	}
	r.fonts = cmp.Or(r.fonts, new(still.Fonts))
	k := cache.NewKey("easel 1")
	k.Text(program(), r.assets.Module)
	for _, name := range slices.Sorted(maps.Keys(look)) {
		k.Text(name, look[name])
	}
	_ = k.Files(r.theme, "messages", func(string) bool { return true })
	r.easel = &easel{still.Pen{Fonts: r.fonts, Palette: palette, Background: still.Light}, k.String()}
	return nil
}

// social makes the picture of a lesson and gives its file. The zero picture is none.
func (r *run) social(e *course.Entry, l *lesson.Lesson, m *made) (page.Social, []byte, error) {
	if r.easel == nil || e.Beside {
		return page.Social{}, nil, nil
	}
	p, ok := still.Main(l, e.Language.Locale)
	if !ok {
		return page.Social{}, nil, nil
	}
	data, err := r.draw(&p, e.Language)
	if missing, ok := errors.AsType[*still.MissingError](err); ok {
		m.undrawn = true
		r.undrawn(missing)
		return page.Social{}, nil, nil
	}
	if err != nil {
		return page.Social{}, nil, err
	}
	sum := sha256.Sum256(data)
	m.Social = output{"social/" + strings.TrimSuffix(e.Address, ".html") + "." + hex.EncodeToString(sum[:5]) + ".png", newHash(sum)}
	picture := asset.Picture{Path: m.Social.Path, Width: int(still.Social.Width), Height: int(still.Social.Height)}
	return page.Social{Picture: picture, Alt: p.Alt()}, data, nil
}

// draw draws a picture, unless the cache has it.
func (r *run) draw(p *still.Picture, l *course.Language) ([]byte, error) {
	site := cmp.Or(l.Title, r.course.Site.Title)
	k := cache.NewKey("social 1")
	k.Text(r.easel.key, l.Folder, site, p.Title, p.Name)
	if data, ok := r.Cache.Get("social", k.String()); ok {
		return data, nil
	}
	var b bytes.Buffer
	if err := p.WriteSocial(&b, site, &r.easel.pen); err != nil {
		return nil, err
	}
	_ = r.Cache.Put("social", k.String(), b.Bytes()) // what cannot be kept is drawn again
	return b.Bytes(), nil
}

// undrawn notes a lesson whose picture could not be drawn.
func (r *run) undrawn(missing *still.MissingError) {
	r.mu.Lock()
	defer r.mu.Unlock()
	u := &r.result.Undrawn
	u.Lessons++
	u.Scripts = append(u.Scripts, missing.Scripts...)
	slices.Sort(u.Scripts)
	u.Scripts = slices.Compact(u.Scripts)
}

// hasSocial reports whether a page's picture, if it has one, is where an earlier build put it; keepSocial keeps it.
func (r *run) hasSocial(m *made) bool {
	return m.Social.Path == "" || r.edition.Has(m.Social.Path, m.Social.Sum.bytes())
}

func (r *run) keepSocial(m *made) bool {
	return m.Social.Path == "" || r.edition.Keep(m.Social.Path, m.Social.Sum.bytes())
}
