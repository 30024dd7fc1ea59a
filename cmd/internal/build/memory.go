package build

import (
	"bytes"
	"crypto/sha256"
	"encoding/gob"
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
	mu    sync.Mutex
	pages map[string]made      // by key
	many  map[string][]output  // by key: files that are made of many lessons
	files map[string]fileState // by name in the site

	// What this build has asked for or made; only that of files and many is kept.
	used     map[string]bool // keys of pages
	nowMany  map[string][]output
	nowFiles map[string]fileState
	learnt   bool // something that was not there before
}

// made is a page that was made, and what the course needs to know of its lesson.
type made struct {
	Sum                    [sha256.Size]byte
	Size                   int
	Facts                  course.Facts
	Uses                   string // hash of the terms, sources, pictures and lessons that it refers to
	Numbers, Claims, Steps int
	Heavy                  int    // what it weighs if that is over the budget
	Social                 output // the picture that stands for it elsewhere, if it has one

	undrawn bool // it should have one, which this machine has no letters for
}

// output is a file of the published site.
type output struct {
	Path string
	Sum  [sha256.Size]byte
}

// fileState is a file of the site as it was when it was last read.
type fileState struct {
	Size, Time int64
	Sum        [sha256.Size]byte
	Meta       *lesson.Meta // of a lesson without faults in its metadata
}

// kept is how the memory lies in the cache.
type kept struct {
	Pages map[string]made
	Many  map[string][]output
}

const (
	pagesKind = "pages"
	filesKind = "files"
)

func newMemory() *memory {
	return &memory{pages: make(map[string]made), used: make(map[string]bool), nowMany: make(map[string][]output), nowFiles: make(map[string]fileState)}
}

// remember reads what earlier builds of this site have left.
func (b *Builder) remember() *memory {
	m := newMemory()
	var k kept
	if decode(b.Cache, pagesKind, b.siteName(), &k) && k.Pages != nil {
		m.pages, m.many = k.Pages, k.Many
	}
	decode(b.Cache, filesKind, b.placeName(), &m.files)
	return m
}

func decode(c cache.Cache, kind, name string, into any) bool {
	data, ok := c.Get(kind, name)
	return ok && gob.NewDecoder(bytes.NewReader(data)).Decode(into) == nil
}

// keep writes the memory. Pages that this build had no use for are forgotten once there are more of them than others.
func (b *Builder) keep(m *memory) {
	if !m.learnt && len(m.nowMany) == len(m.many) && len(m.nowFiles) == len(m.files) {
		return
	}
	if stale := len(m.pages) - len(m.used); stale > len(m.used)+100 {
		for key := range m.pages {
			if !m.used[key] {
				delete(m.pages, key)
			}
		}
	}
	encode(b.Cache, pagesKind, b.siteName(), kept{m.pages, m.nowMany})
	encode(b.Cache, filesKind, b.placeName(), m.nowFiles)
}

func encode(c cache.Cache, kind, name string, v any) {
	var data bytes.Buffer
	if gob.NewEncoder(&data).Encode(v) == nil {
		_ = c.Put(kind, name, data.Bytes()) // what cannot be kept is made again
	}
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
func program() string {
	name, err := os.Executable()
	if err != nil {
		return ""
	}
	info, err := os.Stat(name)
	if err != nil {
		return ""
	}
	return strconv.FormatInt(info.Size(), 36) + "." + strconv.FormatInt(info.ModTime().UnixNano(), 36)
}

// young is how old a file must be for its time to tell that it was not touched again after it was read.
const young = 100 * time.Millisecond

// head reads the metadata of a lesson, unless it is known from its file's size and time.
func (r *run) head(file, shown string) (lesson.Meta, fault.List) {
	info, err := fs.Stat(r.files, file)
	if err != nil {
		return course.ReadHead(r.files, file, shown)
	}
	size, at := info.Size(), info.ModTime()
	if known, ok := r.memory.files[file]; ok && known.Size == size && known.Time == at.UnixNano() && known.Meta != nil {
		r.memory.see(file, known)
		return *known.Meta, nil
	}
	text, err := fs.ReadFile(r.files, file)
	if err != nil {
		return course.ReadHead(r.files, file, shown)
	}
	meta, _, faults := lesson.ReadMeta(&fault.Source{File: shown, Text: text})
	if len(faults) == 0 {
		r.texts.put(file, text)
		if time.Since(at) > young {
			r.memory.see(file, fileState{size, at.UnixNano(), sha256.Sum256(text), &meta})
		}
	}
	return meta, faults
}

func (m *memory) see(file string, s fileState) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.nowFiles[file] = s
	m.learnt = m.learnt || m.files[file].Sum != s.Sum || m.files[file].Time != s.Time
}

// sum is the hash of a lesson's file.
func (r *run) sum(file string) (sum [sha256.Size]byte, err error) {
	r.memory.mu.Lock()
	s, ok := r.memory.nowFiles[file]
	r.memory.mu.Unlock()
	if ok {
		return s.Sum, nil
	}
	text, ok := r.texts.take(file)
	if ok {
		r.texts.put(file, text)
	} else if text, err = fs.ReadFile(r.files, file); err != nil {
		return sum, err
	}
	return sha256.Sum256(text), nil
}

// environment is the hash of what all pages of a language are made from besides their lessons.
func (r *run) environment(l *course.Language) string {
	k := cache.NewKey("environment 1")
	site := r.course.Site
	k.Text(program(), l.Folder, site.Title, site.Summary, site.Address, site.Publisher, site.Look.Footer, site.Look.Logo, strconv.FormatBool(site.Several), strconv.FormatBool(site.Social),
		strconv.Itoa(site.Budget.Page), l.Title, r.assets.Script, r.assets.Style, r.assets.Module, r.assets.Logged, strconv.FormatBool(r.Workshop))
	k.Text(site.Languages...)
	k.Text(r.assets.Pictures[site.Look.Logo].Path, strconv.Itoa(len(l.Glossary)), strconv.Itoa(len(l.Pages)))
	_ = k.Files(r.theme, "templates", func(string) bool { return true })
	_ = k.Files(r.theme, "messages", func(string) bool { return true })
	return k.String()
}

// pageKey is the hash of what one page is made from, apart from what only its text tells: terms, sources, pictures.
func (r *run) pageKey(environment string, e *course.Entry, sum [sha256.Size]byte) string {
	k := cache.NewKey("page 1")
	k.Text(environment, e.Address, strconv.Itoa(e.Index), string(sum[:]))
	for _, list := range [][]*course.Entry{e.Near(), e.Others, e.Before, {e.Previous, e.Next}} {
		k.Text(strconv.Itoa(len(list)))
		for _, o := range list {
			if o != nil {
				k.Text(o.Title, o.Address, o.Question, o.Language.Folder)
			}
		}
	}
	return k.String()
}

// uses is the hash of what a lesson refers to: it is known when the lesson has been read.
func (r *run) uses(e *course.Entry, f *course.Facts) string {
	k := cache.NewKey("uses 1")
	for _, id := range f.Terms {
		if t, ok := e.Language.Term(id); ok {
			k.Text(t.ID, t.Term, t.Means)
			k.Text(t.Forms...)
		}
	}
	for _, id := range f.Sources {
		if s, ok := r.course.Source(id); ok {
			k.Text(s.ID, s.Title, s.By, s.Year, s.In, s.Address, s.Note)
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
	r.memory.mu.Lock()
	m, ok := r.memory.pages[key]
	r.memory.mu.Unlock()
	if !ok || m.Uses != r.uses(e, &m.Facts) || !r.hasSocial(&m) || !r.edition.Keep(e.Address, m.Sum) || !r.keepSocial(&m) {
		return made{}, false
	}
	r.memory.mu.Lock()
	r.memory.used[key] = true
	r.memory.mu.Unlock()
	return m, true
}

func (m *memory) learn(key string, one made) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.pages[key], m.used[key], m.learnt = one, true, true
}

// many makes files that are made of many lessons, unless they are as an earlier build made them.
func (r *run) many(key string, files func() []page.File) error {
	if list := r.memory.many[key]; r.keepAll(list) {
		r.memory.seeMany(key, list)
		return nil
	}
	var list []output
	for _, f := range files() {
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			return err
		}
		sum, err := r.edition.Add(f.Path, b.Bytes())
		if err != nil {
			return err
		}
		list = append(list, output{f.Path, sum})
	}
	r.memory.seeMany(key, list)
	return nil
}

func (m *memory) seeMany(key string, list []output) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.nowMany[key] = list
	_, known := m.many[key]
	m.learnt = m.learnt || !known
}

// keepAll keeps files if all of them are as they were.
func (r *run) keepAll(list []output) bool {
	for _, o := range list {
		if !r.edition.Has(o.Path, o.Sum) {
			return false
		}
	}
	for _, o := range list {
		if !r.edition.Keep(o.Path, o.Sum) {
			return false
		}
	}
	return len(list) > 0
}
