package build

import (
	"bytes"
	"crypto/sha256"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"time"

	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/page"
)

// What a build remembers for the next one. A page is named by the hash of everything that it is made from; if the
// published folder still holds what came of that, the page is kept and its lesson is not even read. Nothing depends on
// the memory: without it, or with that of another program, everything is made.
//
// Two files keep it. One is of the content alone and serves every checkout of the site. The other knows the files of
// one checkout by their size and time, so that those that were not touched are not read.

// memory is what earlier builds have left.
type memory struct {
	site, place string // under which it lies in the cache

	pages func() *table[made]      // by key
	many  func() *table[[]output]  // by key: files that are made of many lessons
	parts func() *table[partMade]  // by program, language and number
	files func() *table[fileState] // by name in the site
}

// made is a page that was made, and what the course needs to know of its lesson.
type made struct {
	Sum                    hash
	Facts                  *course.Facts
	Uses                   string // hash of the terms, sources, pictures and lessons that it refers to
	Numbers, Claims, Steps int
	Heavy                  int    // what it weighs if that is over the budget
	Social                 output // the picture that stands for it elsewhere, if it has one

	undrawn bool // it should have one, which this machine has no letters for
}

// hash is a SHA-256 as it is kept: gob reads a text at once, and an array byte by byte.
type hash string

func newHash(s [sha256.Size]byte) hash { return hash(s[:]) }

// bytes is the hash as it is compared; that of a text which is none is of nothing.
func (s hash) bytes() (h [sha256.Size]byte) {
	copy(h[:], s)
	return h
}

// output is a file of the published site.
type output struct {
	Path string
	Sum  hash
}

// partMade is a part of the search index that was made.
type partMade struct {
	Environment string   // hash of what all pages of its language are made from
	Lessons     []output // the address and the hash of the file of each, in order
	Files       []output
}

// fileState is a file of the site as it was when it was last read.
type fileState struct {
	Size, Time int64
	Sum        hash
	Meta       *lesson.Meta // of a lesson without faults in its metadata
}

const (
	pagesKind = "pages"
	manyKind  = "many"
	partsKind = "parts"
	filesKind = "files"
)

// remember reads what earlier builds of this site have left. They are read while the order of the lessons is, and the lessons.
func (b *Builder) remember() *memory {
	site, place := b.siteName(), b.placeName()
	if m := b.memory; m != nil && m.site == site && m.place == place {
		m.pages().again()
		m.many().again()
		m.parts().again()
		m.files().again()
		return m
	}
	m := &memory{
		site: site, place: place,
		pages: sync.OnceValue(func() *table[made] { return openTable[made](b.Cache, pagesKind, site) }),
		many:  sync.OnceValue(func() *table[[]output] { return openTable[[]output](b.Cache, manyKind, site) }),
		parts: sync.OnceValue(func() *table[partMade] { return openTable[partMade](b.Cache, partsKind, site) }),
		files: sync.OnceValue(func() *table[fileState] { return openTable[fileState](b.Cache, filesKind, place) }),
	}
	go func() {
		m.pages()
		m.many()
		m.parts()
	}()
	go m.files()
	b.memory = m
	return m
}

// noMemory is that of a build which is to make everything.
func noMemory() *memory {
	return (&Builder{}).remember()
}

// mostStale is how many pages are remembered that this build had no use for, besides as many as it had.
const mostStale = 100

// keep writes the memory.
func (b *Builder) keep(m *memory) {
	pages, many, parts := m.pages(), m.many(), m.parts()
	pages.forget(len(pages.used) + mostStale)
	many.forget(0)
	parts.forget(0)
	m.files().forget(0)
	pages.keep(b.Cache, pagesKind, m.site)
	many.keep(b.Cache, manyKind, m.site)
	parts.keep(b.Cache, partsKind, m.site)
	m.files().keep(b.Cache, filesKind, m.place)
}

// siteName names the memory of content: it is the site's, whatever the folder.
func (b *Builder) siteName() string {
	var text []byte
	if files, err := folder.Open(b.Site); err == nil {
		text, _ = files.ReadFile("site.yaml")
		files.Close()
	}
	title, _, _ := bytes.Cut(text, []byte("\nlessons:"))
	k := cache.NewKey("site")
	k.Text(string(title))
	return k.String()
}

// placeName names the memory of a checkout.
func (b *Builder) placeName() string {
	place, _ := filepath.Abs(b.Site)
	k := cache.NewKey("place")
	k.Text(place)
	return k.String()
}

// program names the running program, so that another one does not take its pages for its own.
var program = sync.OnceValue(func() string {
	name, err := os.Executable()
	if err != nil {
		return ""
	}
	info, err := os.Stat(name)
	if err != nil {
		return ""
	}
	return strconv.FormatInt(info.Size(), 36) + "." + strconv.FormatInt(info.ModTime().UnixNano(), 36)
})

// young is how old a file must be for its time to tell that it was not touched again after it was read.
const young = 100 * time.Millisecond

// head reads the metadata of a lesson, unless it is known from its file's size and time.
func (r *run) head(file, shown string) (*lesson.Meta, fault.List) {
	info, err := fs.Stat(r.files, file)
	if err != nil {
		return course.ReadHead(r.files, file, shown)
	}
	size, at := info.Size(), info.ModTime()
	if known, ok := r.memory.files().get(file); ok && known.Size == size && known.Time == at.UnixNano() && known.Meta != nil {
		r.memory.files().use(file)
		return known.Meta, nil
	}
	text, err := fs.ReadFile(r.files, file)
	if err != nil {
		return course.ReadHead(r.files, file, shown)
	}
	meta, _, faults := lesson.ReadMeta(&fault.Source{File: shown, Text: text})
	if len(faults) == 0 {
		r.texts.put(file, text)
		if time.Since(at) > young {
			r.memory.files().put(file, fileState{size, at.UnixNano(), newHash(sha256.Sum256(text)), &meta})
		}
	}
	return &meta, faults
}

// sum is the hash of a lesson's file.
func (r *run) sum(file string) (hash, error) {
	if s, ok := r.memory.files().get(file); ok && r.memory.files().has(file) {
		return s.Sum, nil
	}
	text, ok := r.texts.take(file)
	if ok {
		r.texts.put(file, text)
	} else {
		var err error
		if text, err = fs.ReadFile(r.files, file); err != nil {
			return "", err
		}
	}
	return newHash(sha256.Sum256(text)), nil
}

// environment is the hash of what all pages of a language are made from besides their lessons.
func (r *run) environment(l *course.Language) string {
	k := cache.NewKey("environment 1")
	site := r.course.Site
	k.Text(program(), l.Folder, site.Title, l.Summary, site.Address, site.Publisher, l.Footer, site.Look.Logo, strconv.FormatBool(site.Several), strconv.FormatBool(site.Social),
		strconv.Itoa(site.Budget.Page), l.Title, r.assets.Script, r.assets.Style, r.assets.Module, r.assets.Logged, strconv.FormatBool(r.Unfinished))
	k.Text(site.Languages...)
	k.Text(r.assets.Pictures[site.Look.Logo].Path, strconv.Itoa(len(l.Glossary)), strconv.Itoa(len(l.Pages)))
	_ = k.Files(r.theme, "templates", func(string) bool { return true })
	_ = k.Files(r.theme, "messages", func(string) bool { return true })
	return k.String()
}

// pageKey is the hash of what one page is made from, apart from what only its text tells: terms, sources, pictures.
func (r *run) pageKey(environment string, e *course.Entry, sum hash) string {
	k := cache.NewKey("page 3")
	k.Text(environment, e.Address, string(sum))
	k.Ints(e.Index)
	for _, list := range [][]*course.Entry{e.Near(), e.Others, e.Before, {e.Previous, e.Next}} {
		k.Ints(len(list))
		for _, o := range list {
			if o != nil {
				face := r.faces[o]
				k.Text(string(face[:]))
			}
		}
	}
	return k.String()
}

// face is the hash of what other pages say of a lesson.
func face(e *course.Entry) [16]byte {
	k := cache.NewKey("face 1")
	k.Text(e.Title, e.Address, e.Question, e.Language.Folder)
	return k.Sum()
}

// digest takes the hashes of terms and sources, which most lessons refer to.
func (r *run) digest() {
	r.terms, r.sources = make(map[*course.Term]string), make(map[*course.Source]string)
	for _, l := range r.course.Languages {
		for _, t := range l.Glossary {
			k := cache.NewKey("term 1")
			k.Text(t.ID, t.Term, t.Means)
			k.Text(t.Forms...)
			r.terms[t] = k.String()
		}
	}
	for _, s := range r.course.Sources {
		k := cache.NewKey("source 1")
		k.Text(s.ID, s.Title, s.By, s.Year, s.In, s.Address, s.Note)
		r.sources[s] = k.String()
	}
}

// uses is the hash of what a lesson refers to: it is known when the lesson has been read.
func (r *run) uses(e *course.Entry, f *course.Facts) string {
	k := cache.NewKey("uses 2")
	for _, id := range f.Terms {
		if t, ok := e.Language.Term(id); ok {
			k.Text(r.terms[t])
		}
	}
	for _, id := range f.Sources {
		if s, ok := r.course.Source(id); ok {
			k.Text(r.sources[s])
		}
	}
	for _, name := range f.Images {
		k.Text(name, r.assets.Pictures[name].Path)
	}
	for _, file := range f.Links {
		if to := r.course.Entry(file); to != nil {
			k.Text(to.File, to.Address)
		}
	}
	return k.String()
}

// recall keeps a page that is as an earlier build made it, and gives its lesson's facts.
func (r *run) recall(key string, e *course.Entry) (made, bool) {
	m, ok := r.memory.pages().get(key)
	if !ok || m.Facts == nil || m.Uses != r.uses(e, m.Facts) || !r.hasSocial(&m) || !r.edition.Keep(e.Address, m.Sum.bytes()) || !r.keepSocial(&m) {
		return made{}, false
	}
	r.memory.pages().use(key)
	return m, true
}

// many makes files that are made of many lessons, unless they are as an earlier build made them.
func (r *run) many(key string, files func() []page.File) error {
	known := r.memory.many()
	if list, _ := known.get(key); r.keepAll(list) {
		known.use(key)
		return nil
	}
	list, err := r.add(files())
	if err == nil {
		known.put(key, list)
	}
	return err
}

// add publishes files.
func (r *run) add(files []page.File) ([]output, error) {
	list := make([]output, 0, len(files))
	for _, f := range files {
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			return nil, err
		}
		o, err := r.addBytes(f.Path, b.Bytes())
		if err != nil {
			return nil, err
		}
		list = append(list, o)
	}
	return list, nil
}

// addBytes publishes a file that is at hand.
func (r *run) addBytes(path string, data []byte) (output, error) {
	sum, err := r.edition.Add(path, data)
	if err != nil {
		return output{}, err
	}
	r.show(path, data)
	return output{path, newHash(sum)}, nil
}

// keepAll keeps files if all of them are as they were.
func (r *run) keepAll(list []output) bool {
	for _, o := range list {
		if !r.edition.Has(o.Path, o.Sum.bytes()) {
			return false
		}
	}
	for _, o := range list {
		if !r.edition.Keep(o.Path, o.Sum.bytes()) {
			return false
		}
	}
	return len(list) > 0
}
