package wasm

import (
	"errors"
	"fmt"
	"path"
	"strings"
	"sync"

	"github.com/tetratelabs/wazero/sys"

	"example.org/gripleaf/calculators/guest"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/cmd/internal/fault"
)

// ended says that the program of the site's own calculators has ended, and what it has written to its standard error.
type ended struct {
	err    error
	stderr *tail
}

func (e *ended) Error() string { return "the site's own calculators stopped" }

// tail keeps the end of what is written: the message of a panic and the lines that ran.
type tail struct {
	mu   sync.Mutex
	text []byte
}

const mostTail = 64 << 10

func (t *tail) Write(p []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.text = append(t.text, p...)
	if over := len(t.text) - mostTail; over > 0 {
		t.text = t.text[over:]
	}
	return len(p), nil
}

func (t *tail) String() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return string(t.text)
}

// stopped says why the program has ended. w is what it was to work out; nil while it started.
func (b *Sandbox) stopped(w *kit.Work, e *ended) error {
	if t := trapOf(e.stderr.String()); t != nil {
		return b.trapped(w, t)
	}
	var exit *sys.ExitError
	code := uint32(0)
	if errors.As(e.err, &exit) {
		code = exit.ExitCode()
	} else if e.err != nil {
		return b.trapped(w, &guest.Trap{Text: strings.SplitN(e.err.Error(), "\n", 2)[0]})
	}
	return b.exited(w, code)
}

// trapOf reads the message of a panic or of the runtime, and the lines that ran; nil if there is none.
func trapOf(stderr string) *guest.Trap {
	var t *guest.Trap
	for line := range strings.Lines(stderr) {
		line = strings.TrimRight(line, "\n")
		if place, ok := strings.CutPrefix(line, "\t"); ok && t != nil {
			place, _, _ = strings.Cut(place, " +")
			if file, at, _, ok := compilerLine(place + ": "); ok {
				t.Lines = append(t.Lines, guest.Line{File: file, Line: at[0]})
			}
		}
		for _, begins := range []string{"panic: ", "fatal error: "} {
			if what, ok := strings.CutPrefix(line, begins); ok && t == nil {
				t = &guest.Trap{Text: strings.TrimPrefix(what, "runtime error: ")}
			}
		}
	}
	return t
}

// exited is the fault of a program that ended itself.
func (b *Sandbox) exited(w *kit.Work, code uint32) error {
	text, hint := fmt.Sprintf("the program of the calculators is ended with exit code %d", code), "return an error instead: "+refusal
	if w == nil {
		hint = "leave it out: it is the builder that ends the program"
	}
	for _, p := range b.own.packages {
		if len(p.exits) == 0 || w != nil && p != b.of(w) {
			continue
		}
		at := p.files.Position(p.exits[0])
		return b.first(b.own.at(at.Filename, at.Line, 0, 0, text+" here", hint+state(w)))
	}
	if w != nil {
		return b.first(b.of(w).fault("Work", text, hint+state(w)))
	}
	return fault.Fault{Code: ownCode, File: b.own.shown, Text: text, Hint: "leave os.Exit out, and what calls it"}
}

const refusal = `w.Refuse(input, "what is wrong", "what to do")`

// tooLate is the fault of a calculation, or of a start if w is nil, that came to no end.
func (b *Sandbox) tooLate(w *kit.Work, stderr string) error {
	if w == nil {
		return b.endlessStart(stderr)
	}
	return b.of(w).fault("Work", fmt.Sprintf("the calculator %q came to no end within %v and was stopped", w.Calculator.ID, b.patience),
		"look for a loop whose condition stays true; it is not asked again in this build"+state(w))
}

// endlessStart names the package that was being initialised: those before it have been told of.
func (b *Sandbox) endlessStart(stderr string) error {
	f := fault.Fault{Code: ownCode, File: b.own.shown}
	for _, p := range b.own.packages {
		if p.starts == nil || strings.Contains(stderr, "init "+path.Join(b.own.path(), p.folder)+" @") {
			continue
		}
		one := p.node(p.starts, "", "")
		if f.Line > 0 {
			f.Notes = append(f.Notes, fault.Note{File: one.File, Line: one.Line, Column: one.Column, Text: "or this one"})
			continue
		}
		f = one
	}
	f.Text = fmt.Sprintf("what runs when the program starts came to no end within %v and was stopped", b.patience)
	f.Hint = "look for a loop whose condition stays true, or leave the work to Work"
	return f
}

// trapped is the fault of a calculator's own code, at the innermost line that is the author's.
func (b *Sandbox) trapped(w *kit.Work, t *guest.Trap) error {
	hint := t.Hint
	if hint == "" {
		hint = wayOut(t.Text)
	}
	hint += state(w)
	for _, l := range t.Lines {
		if name, ok := b.own.file(l.File); ok {
			return b.first(b.own.at(name, l.Line, 0, 0, t.Text, hint))
		}
	}
	if w == nil {
		return fault.Fault{Code: ownCode, File: b.own.shown, Text: t.Text, Hint: hint}
	}
	at := t.At
	if at == "" {
		at = "Work"
	}
	return b.first(b.of(w).fault(at, t.Text, hint))
}

// of is the package of the calculator that is worked out.
func (b *Sandbox) of(w *kit.Work) *declared {
	for i, c := range b.set {
		if c.ID == w.Calculator.ID {
			return b.own.packages[i]
		}
	}
	return b.own.packages[0]
}

// file is a file of the author's as the compiler names it: MODULE@VERSION/NAME.
func (o *own) file(name string) (string, bool) {
	rest, ok := strings.CutPrefix(name, o.path())
	if !ok {
		return "", false
	}
	_, rest, ok = strings.Cut(rest, "/")
	return rest, ok
}

// first gives the first fault that was found at this place since Begin: the same line fails for many links.
func (b *Sandbox) first(f fault.Fault) error {
	place := fmt.Sprintf("%s:%d", f.File, f.Line)
	if before, ok := b.told[place]; ok {
		return before
	}
	b.told[place] = f
	return f
}

// state is what was worked out, as a link writes it.
func state(w *kit.Work) string {
	if w == nil {
		return ""
	}
	var pairs []string
	for i := range w.Inputs {
		if v := &w.Inputs[i]; v.Set {
			pairs = append(pairs, w.Calculator.Inputs[i].Name+"="+v.Text)
		}
	}
	link := kit.Scheme + w.Calculator.ID
	if len(pairs) > 0 {
		link += "?" + strings.Join(pairs, "&")
	}
	return "\nit happens with " + link
}

// wayOut is what to do about a message of the runtime.
func wayOut(text string) string {
	for _, one := range []struct{ has, hint string }{
		{"index out of range", "look at the length before, or refuse such inputs: return " + refusal},
		{"slice bounds out of range", "look at the length before, or refuse such inputs: return " + refusal},
		{"divide by zero", "look at the divisor before, or refuse such inputs: return " + refusal},
		{"nil map", "make the map first: make(map[…]…)"},
		{"nil pointer", "something is nil here: give it a value before it is used"},
		{"interface conversion", "ask first: v, ok := x.(T)"},
		{"stack overflow", "a function calls itself for ever: let it stop somewhere"},
		{"out of memory", "something grows for ever here: let it stop somewhere"},
		{"cannot allocate", "something grows for ever here: let it stop somewhere"},
		{"makeslice", "look at the length before, or refuse such inputs: return " + refusal},
		{"deadlock", "it waits for what never comes: a calculator needs no goroutines"},
	} {
		if strings.Contains(text, one.has) {
			return one.hint
		}
	}
	return "return an error instead: " + refusal
}
