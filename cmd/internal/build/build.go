// Package build makes a site of a course: it reads the course, checks every lesson, writes the pages, and publishes
// them with what they load, all or nothing.
//
// Lessons stream through a bounded number of workers, one lesson a worker at a time, so that memory does not grow with
// the course. What a lesson's page needs of others, their titles and addresses, is known from their metadata, which is
// read first; what only the bodies tell, such as whether a heading exists, is checked when all have been through.
package build

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"golang.org/x/text/language"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/asset"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
	"example.org/gripleaf/cmd/internal/ledger"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
	"example.org/gripleaf/cmd/internal/page"
	"example.org/gripleaf/cmd/internal/proof"
	"example.org/gripleaf/cmd/internal/publish"
	"example.org/gripleaf/cmd/internal/still"
	"example.org/gripleaf/cmd/internal/sum"
	"example.org/gripleaf/cmd/internal/wasm"
	"example.org/gripleaf/theme"
)

// Builder builds one site, any number of times. Its fields are set before the first build.
type Builder struct {
	Site       string // the site's folder
	Out        string // where to publish
	Unfinished bool   // unfinished lessons too
	Weigh      bool   // say what the module weighs
	Compress   bool   // compressed forms beside the files, for servers
	Cache      cache.Cache
	Anew       bool   // work out what the cache has the answers of, too
	Viewer     Viewer // sees what is wanted before all is published; may be nil
	Command    string // for the message of another run that finds the folder locked

	KeepOthers bool // leave files of others in Out, which stop the build otherwise

	bundler  asset.Bundler
	fonts    *still.Fonts  // nil until a social picture needs them
	source   *wasm.Source  // of the calculators that book answers with
	rides    *wasm.Source  // of the one of simulated stops
	measured *wasm.Source  // of the one for logs
	sandbox  *wasm.Sandbox // of the site's own calculators; nil if it has none
	book     *sum.Book
	memory   *memory  // of the last build
	last     *run     // the last build that came to its end, if a viewer looks
	without  *Builder // of the site without its own calculators, while there is something wrong with them
}

// Result says what a build has made.
type Result struct {
	Course  *course.Course
	Numbers int // checked
	Claims  int
	Steps   int
	Report  *publish.Report
	Module  Weight
	Heavy   []Weight // pages over the budget
	Unsaid  []Unsaid // languages whose catalogue lacks texts
	Undrawn Undrawn
	LeftOut fault.List // of raw HTML, where the site has several hands: told, and no faults
	Took    time.Duration
}

// Unsaid is a language whose readers meet texts of the interface in English, and the catalogue that would say them.
type Unsaid struct {
	Language  string   `json:"language"`
	Catalogue string   `json:"catalogue"`
	Texts     []string `json:"texts"`
}

// Build builds the site. An error is a fault.List if it is the course that has faults; the folder is then as it was.
func (b *Builder) Build(ctx context.Context) (*Result, error) {
	start := time.Now()
	files, err := folder.Open(b.Site)
	if err != nil {
		return nil, err
	}
	defer files.Close()
	if err := b.calculators(ctx); err != nil {
		return nil, b.besides(ctx, files, err)
	}
	opening := b.open()
	r := &run{Builder: b, files: files, ctx: ctx, memory: b.remember()}
	r.read()
	edition, err := opening()
	if err == nil {
		defer edition.Close()
	}
	if r.course == nil {
		return nil, r.faults
	}
	if err != nil {
		return nil, err
	}
	if err := notOwn(b.Site, b.Out, r.course.Languages); err != nil {
		return nil, err
	}
	r.assets.Module, r.assets.ModuleJS = b.source.Name()+".wasm", b.source.Name()+".js"
	r.assets.Rides, r.assets.RidesJS = b.rides.Name()+".wasm", b.rides.Name()+".js"
	r.assets.Measured, r.assets.MeasuredJS = b.measured.Name()+".wasm", b.measured.Name()+".js"
	r.edition = edition
	r.output = &output{edition, r.memory, b.Viewer}
	r.modules = modules{b.source, b.rides, b.measured}
	r.scale = &scale{budget: r.course.Site.Budget, cache: b.Cache}
	if err := r.make(); err != nil {
		return nil, err
	}
	if b.Compress {
		if err := edition.Compress(ctx, r.modules.served); err != nil {
			return nil, err
		}
	}
	// The memory may be kept before what it tells of is published: a page that is not there is made anew.
	var keeping sync.WaitGroup
	keeping.Go(func() { r.memory.keep(b.Cache) })
	r.result.Report, err = edition.Commit(ctx)
	if keeping.Wait(); err != nil {
		return nil, err
	}
	r.result.Took = time.Since(start)
	b.lookBack(r)
	return &r.result, nil
}

// open opens the folder to publish into, while the course is read.
func (b *Builder) open() func() (*publish.Edition, error) {
	open := sync.OnceValues(func() (*publish.Edition, error) {
		return publish.Open(b.Out, publish.Options{Sources: []string{b.Site}, Command: b.Command, KeepForeign: b.KeepOthers})
	})
	go open()
	return open
}

// Check reads and checks the whole course and makes nothing.
func (b *Builder) Check(ctx context.Context, visit Visit) (*Result, fault.List) {
	files, err := folder.Open(b.Site)
	if err != nil {
		return nil, fault.From(err)
	}
	defer files.Close()
	if err := b.calculators(ctx); err != nil {
		return nil, fault.From(b.besides(ctx, files, err))
	}
	return b.check(ctx, files, visit)
}

// check is Check, once the calculators are ready.
func (b *Builder) check(ctx context.Context, files fs.FS, visit Visit) (*Result, fault.List) {
	r := &run{Builder: b, files: files, ctx: ctx, visit: visit, memory: new(Builder).remember()}
	if r.read(); r.course == nil {
		return nil, r.faults
	}
	var faults fault.List
	r.gallery, faults = newGallery(r.files, r.Site)
	r.faults.Add(faults...)
	r.everything(r.check)
	return &r.result, r.faults
}

// besides adds to what is wrong with the site's own calculators what is wrong with the course, as far as that can be
// told without them.
func (b *Builder) besides(ctx context.Context, files fs.FS, err error) error {
	if ctx.Err() != nil {
		return err
	}
	if b.without == nil {
		b.without = &Builder{Site: b.Site, Unfinished: b.Unfinished, book: sum.NewBook(standard.Set)}
	}
	_, faults := b.without.check(ctx, files, nil)
	faults = slices.DeleteFunc(faults, func(f fault.Fault) bool { return f.Code == proof.UnknownCalculator })
	faults.Add(fault.From(err)...)
	faults.Sort()
	return faults
}

// Close frees what was kept for the next build.
func (b *Builder) Close() {
	b.bundler.Close()
	b.closeSandbox()
}

// run is one build.
type run struct {
	*Builder
	ctx     context.Context
	files   fs.FS
	theme   asset.Layers
	assets  asset.Set
	sites   map[*course.Language]*page.Site // nil while there are faults
	edition *publish.Edition
	visit   Visit

	course  *course.Course
	faults  fault.List
	result  Result
	readers map[*course.Language]*lesson.Reader

	memory *memory
	held   atomic.Int64 // bytes of the texts that wait in it
	output *output

	gallery  *gallery
	modules  modules
	scale    *scale
	defaults *defaults
	index    *index
	easel    *easel // nil if there are to be no social pictures
}

// read reads all but the bodies of the lessons.
func (r *run) read() {
	go lookAhead(r.files)
	kept := make(chan error, 1)
	go func() {
		_, err := ledger.Read(r.Site)
		kept <- err
	}()
	r.theme = asset.Layers{theme.Files}
	var unread fault.List
	switch _, err := fs.Stat(r.files, "theme"); {
	case err == nil:
		own, _ := fs.Sub(r.files, "theme")
		r.theme = asset.Layers{own, theme.Files}
	case !errors.Is(err, fs.ErrNotExist):
		unread = fault.List{{Code: "theme", File: r.shown("theme"), Text: course.Reason(err)}}
	}
	r.course, r.faults = course.Read(r.files, course.Options{Calculators: r.book.Set(), Work: r.book.Query,
		Unfinished: r.Unfinished, Shown: shown(r.Site), Words: r.words, Head: r.head, Tokens: asset.Tokens(r.theme)})
	r.faults.Add(unread...)
	r.faults.Add(fault.From(<-kept)...)
	r.result.Course = r.course
	if r.course == nil {
		return
	}
	for _, l := range r.course.Languages {
		if len(r.theme) == 1 && len(l.Words) > 0 {
			continue // a catalogue that comes with the program, and lacks nothing
		}
		if texts := locale.Unsaid(theme.Files, "messages", l.Tag, l.Words); len(texts) > 0 {
			r.result.Unsaid = append(r.result.Unsaid, Unsaid{l.Folder, "theme/messages/" + l.Folder + ".yaml", texts})
		}
	}
}

// lookAhead lists the folders of the languages, which takes as long as to read the order of the lessons.
func lookAhead(files fs.FS) {
	top, err := fs.ReadDir(files, ".")
	if err != nil {
		return // whoever reads next tells
	}
	for _, d := range top {
		if _, err := language.Parse(d.Name()); err == nil && d.IsDir() {
			_, _ = fs.ReadDir(files, d.Name())
		}
	}
}

// calculators gets all calculators ready. What was worked out with them is kept until one of them changes.
func (b *Builder) calculators(ctx context.Context) error {
	if err := b.trust(); err != nil {
		return err
	}
	source, err := wasm.New(b.Cache, b.Site)
	if err != nil {
		return err
	}
	if b.source != nil && b.source.Name() == source.Name() {
		if b.sandbox != nil {
			b.sandbox.Begin()
		}
		return nil
	}
	if b.Out != "" {
		source.Ahead(ctx)
	}
	sandbox, err := source.Sandbox(ctx, standard.Set, wasm.Patience)
	if err != nil {
		return err
	}
	set := standard.Set
	if sandbox != nil {
		set = slices.Concat(set, sandbox.Set())
	}
	b.closeSandbox()
	b.source, b.sandbox, b.book = source, sandbox, sum.NewBook(set)
	if !b.Anew {
		b.book = sum.NewStoredBook(set, answers{b.Cache, source.Name()})
	}
	if b.rides, err = wasm.NewRides(b.Cache); err != nil {
		return err
	}
	b.measured, err = wasm.NewMeasured(b.Cache)
	return err
}

func (b *Builder) closeSandbox() {
	if b.sandbox != nil {
		_ = b.sandbox.Close() // one that ends badly has nothing left to lose
		b.sandbox = nil
	}
}

// Set is all calculators of the site.
func (b *Builder) Set(ctx context.Context) (kit.Set, error) {
	if err := b.calculators(ctx); err != nil {
		return nil, err
	}
	return b.book.Set(), nil
}

func (r *run) words(tag language.Tag) (map[string]string, fault.List) {
	return locale.Words(r.theme, "messages", tag)
}

// shown is the site's folder as messages name it.
func shown(site string) string {
	if site == "." {
		return ""
	}
	return site
}

// make makes all files of the site.
func (r *run) make() error {
	ctx, cancel := context.WithCancel(r.ctx)
	defer cancel()
	module := make(chan error, 1)
	weigh := r.scale
	if !r.Weigh {
		weigh = nil
	}
	go func() { module <- r.modules.publish(ctx, r.output, weigh) }()
	err := r.pages()
	if err != nil && r.Viewer == nil { // which may look at a page without faults, and its explorers need the module
		cancel()
	}
	if e := <-module; err == nil {
		err = e
	}
	r.result.Module = r.scale.all
	return err
}

func (r *run) pages() error {
	r.assetsOf()
	var faults fault.List
	r.gallery, faults = newGallery(r.files, r.Site)
	r.faults.Add(faults...)
	r.fonts = cmp.Or(r.fonts, new(still.Fonts))
	var err error
	if r.easel, err = newEasel(&r.course.Site, r.theme, r.assets.Module, r.fonts, r.Cache); err != nil {
		return err
	}
	if len(r.faults) == 0 {
		pictures := ""
		if r.easel != nil {
			pictures = r.easel.key
		}
		logo := r.gallery.pictures[r.course.Site.Look.Logo].Path
		if r.sites, err = page.NewSites(r.course, r.assets, logo, r.theme, pictures); err != nil {
			return err
		}
	}
	r.index, r.defaults = newIndex(r.course), newDefaults(r.course)
	r.defaults.ahead(r.ctx, r.sites, r.memory)
	if r.everything(r.page); len(r.faults) > 0 {
		return r.faults
	}
	if err := r.lists(); err != nil {
		return err
	}
	if r.sandbox != nil {
		if r.faults.Add(r.sandbox.Faults()...); len(r.faults) > 0 {
			return r.faults
		}
	}
	r.result.Heavy = r.scale.heavy
	if r.easel != nil {
		r.result.Undrawn = r.easel.undrawn
	}
	return r.gallery.hang(r.course, r.output)
}

// mostFaults is how many faults of one file are told: more of them nobody reads at once.
const mostFaults = 200

// everything works on all lessons, and checks what only all together tell.
func (r *run) everything(work func(*worker, *course.Entry) fault.List) {
	var all []*course.Entry
	for e := range r.course.Entries {
		all = append(all, e)
	}
	r.readers = make(map[*course.Language]*lesson.Reader)
	for _, l := range r.course.Languages {
		r.readers[l] = lesson.NewReader(l.Locale, r.course.Site.Several)
	}
	r.each(all, work)
	r.faults.Add(r.course.CheckAll()...)
	r.faults = r.faults.Most(mostFaults)
	r.result.LeftOut.Sort()
}

// Find gives the site that a command means: the folder itself, or content/ below it.
func Find(folder string) (string, error) {
	for _, site := range []string{folder, folder + "/content"} {
		if _, err := os.Stat(site + "/site.yaml"); err == nil {
			if folder == "." && site != folder {
				return "content", nil
			}
			return site, nil
		}
	}
	return "", fault.Fault{Code: "no-site", Text: fmt.Sprintf("there is no site.yaml in %s", name(folder)),
		Hint: "go to the folder of a site, or make one: gripleaf begin DIR"}
}

func name(folder string) string {
	if folder == "." {
		return "this folder"
	}
	return folder
}
