package preview

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"sync"

	"example.org/gripleaf/cmd/internal/fault"
)

// A Kind says what pages that are open do about an event.
type Kind string

// The kinds of events.
const (
	Page   Kind = "page"   // load anew
	Style  Kind = "style"  // take the new style sheet, without loading anew
	Module Kind = "module" // load the calculators anew, the explorers keep their state
	Faulty Kind = "fault"  // show what is wrong with the course; the site is the old one
	Mended Kind = "mended" // show no faults any more
	Busy   Kind = "busy"   // say that the calculators are compiled, which takes a while
	Rest   Kind = "rest"   // and that it is over
)

// An Event is what pages that are open are told.
type Event struct {
	Kind   Kind       `json:"kind"`
	Paths  []string   `json:"paths,omitempty"`  // of the files in the site that are new, for Style and Module
	Faults fault.List `json:"faults,omitempty"` // for Faulty
}

// changes reports whether the site is another after the event.
func (e Event) changes() bool { return e.Kind == Page || e.Kind == Style || e.Kind == Module }

// hello is the first event of every page. A page of another edition loads anew.
const hello Kind = "hello"

// A message is an event as it is sent.
type message struct {
	Event
	Edition string `json:"edition"` // of the site after the event
}

func (m message) text() string {
	data, err := json.Marshal(m)
	if err != nil {
		panic(err) // strings and numbers always can be
	}
	return fmt.Sprintf("data: %s\n\n", data)
}

// A hub hands events to all pages that are open. The zero hub is ready to use.
type hub struct {
	mu     sync.Mutex
	name   uint64 // of the hub, so that no two have the same editions; 0 before the first
	count  int    // of the changes to the site
	faults *Event // the last, while it is not mended
	busy   bool   // the last of Busy and Rest was Busy
	ahead  bool   // pages show what a build has made that is not published yet
	pages  map[chan string]*viewer
	loaded chan struct{} // closed when a page joins that shows something early
}

// A viewer is a page that is open.
type viewer struct {
	file    string // of the site, that it shows
	edition string // that it shows
}

// backlog is how many events may wait for a page that does not take them. After more it is cut off; its script comes
// back and finds that it is out of date.
const backlog = 16

func (h *hub) edition() string {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.editionLocked()
}

func (h *hub) editionLocked() string {
	if h.name == 0 {
		h.name = rand.Uint64() | 1
	}
	return fmt.Sprintf("%x.%d", h.name, h.count)
}

// next returns the edition that is being built, for a page that shows some of it.
func (h *hub) next() string {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.ahead = true
	return h.nextLocked()
}

func (h *hub) nextLocked() string {
	h.editionLocked()
	return fmt.Sprintf("%x.%d", h.name, h.count+1)
}

// lookedAt lists the files that pages show.
func (h *hub) lookedAt() []string {
	h.mu.Lock()
	defer h.mu.Unlock()
	var files []string
	for _, v := range h.pages {
		files = append(files, v.file)
	}
	return files
}

// sendEarly tells pages that show a file, or all if it is empty, of something that is not published yet.
func (h *hub) sendEarly(e Event, file string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	next := h.nextLocked()
	text := message{e, next}.text()
	for page, v := range h.pages {
		if file == "" || v.file == file {
			h.ahead, v.edition = true, next
			h.tellLocked(page, text)
		}
	}
}

// nextLoaded returns what is closed when a page has loaded something early.
func (h *hub) nextLoaded() <-chan struct{} {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.loaded == nil {
		h.loaded = make(chan struct{})
	}
	return h.loaded
}

// ended notes that a build has come to nothing. Pages may have seen something of its edition, so that no later one may
// have the same name.
func (h *hub) ended() {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.ahead {
		h.ahead = false
		h.count++
	}
}

// send sends an event to all pages.
func (h *hub) send(e Event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	switch e.Kind {
	case Faulty:
		h.faults = &e
	case Mended:
		h.faults = nil
	case Busy, Rest:
		h.busy = e.Kind == Busy
	default:
		h.count++
		h.ahead = false
	}
	text := message{e, h.editionLocked()}.text()
	for page, v := range h.pages {
		if v.edition == h.editionLocked() && e.changes() {
			continue // it has seen that early
		}
		h.tellLocked(page, text)
	}
}

func (h *hub) tellLocked(page chan string, text string) {
	select {
	case page <- text:
	default:
		h.leaveLocked(page)
	}
}

// join returns a channel of what to send to a page that shows a file of an edition. It is closed if the page does not
// keep up.
func (h *hub) join(file, edition string) chan string {
	h.mu.Lock()
	defer h.mu.Unlock()
	page := make(chan string, backlog)
	if h.pages == nil {
		h.pages = make(map[chan string]*viewer)
	}
	now := h.editionLocked()
	if h.ahead && edition == h.nextLocked() {
		now = edition
		if h.loaded != nil {
			close(h.loaded)
			h.loaded = nil
		}
	}
	h.pages[page] = &viewer{file, now}
	page <- message{Event{Kind: hello}, now}.text()
	if h.busy {
		page <- message{Event{Kind: Busy}, h.editionLocked()}.text()
	}
	if h.faults != nil {
		page <- message{*h.faults, h.editionLocked()}.text()
	}
	return page
}

func (h *hub) leave(page chan string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.leaveLocked(page)
}

func (h *hub) leaveLocked(page chan string) {
	if h.pages[page] != nil {
		delete(h.pages, page)
		close(page)
	}
}
