//go:build wasip1

// Package reactor is the module's face to its host. A site with calculators of its own links it into its own main.
//
// The ABI has one shared buffer. The host asks for room, writes a request there, calls an export and reads the reply
// from the buffer's address and length:
//
//	room(n) -> address          makes the buffer at least n bytes long; an older address is then void
//	reader(n) -> length         takes a reader: lines "system=imperial", "decimal=,", "group=.", "zero=0", "indian",
//	                            then a blank line and the catalogue, a line "English<TAB>translation" each
//	work(n) -> length           takes a view and, after a newline, the figures wanted ("*" or names between spaces),
//	                            and, after another, a block of text for the calculator, such as a log;
//	                            replies with the JSON of kit.AppendAnswer or kit.AppendFaults
//	first(n) -> length          as work, but may leave out what takes long; the reply's "whole" says whether it did
//	reading(n) -> length        takes a view and, on a line each, a figure's name and an SI value of its level axis;
//	                            replies with the JSON of kit.AppendReadings
//	frame(n, at) -> length      takes a view of a calculator that has a film and, on the next line, what at runs along,
//	                            in SI: "time", "distance", …; replies with the JSON of kit.AppendFrame
//	address() -> address        of the reply, which stays valid until the next call
//
// A view is "calc:…", behind it, after a space each, the queries of states that stand beside it, and what was bet on:
// "bet:OUTPUT=VALUE" in SI. The last calculations are kept: what is asked about them follows without working anew.
//
// Long calculations call the host's gripleaf.partial(done, total, address, length) now and then, with a reply that
// can be shown already; the host stops them by ending the worker, or by returning 0. Stopped so, work replies with
// what was there by then.
package reactor

import (
	"strconv"
	"strings"
	"unicode/utf8"
	"unsafe"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/quantity"
)

// Set is the calculators that the module answers with. Its main sets it before the host can call.
var Set kit.Set

var (
	buffer []byte // request
	reply  []byte
	who    quantity.Reader
	last   []*done // the last calculations that came to their end, the newest first
)

// done is a calculation with the query that asked for it.
type done struct {
	query string
	work  *kit.Work
}

// keeps is how many are kept: a state with those beside it, and the one before.
const keeps = 4

// Most bounds a request, in bytes. The main of a module that takes more than numbers sets it before the host can call.
var Most int32 = 1 << 20

//go:wasmimport gripleaf partial
func partial(done, total int32, address unsafe.Pointer, length int32) int32

//go:wasmexport room
func room(n int32) unsafe.Pointer {
	n = max(1, min(n, Most))
	if int(n) > cap(buffer) {
		buffer = make([]byte, n)
	}
	buffer = buffer[:cap(buffer)]
	return unsafe.Pointer(&buffer[0])
}

//go:wasmexport address
func address() unsafe.Pointer {
	if len(reply) == 0 {
		return nil
	}
	return unsafe.Pointer(&reply[0])
}

// request is the text that the host has written, if it has kept to the buffer.
func request(n int32) (string, bool) {
	if n < 0 || int(n) > len(buffer) || !utf8.Valid(buffer[:n]) {
		return "", false
	}
	return string(buffer[:n]), true
}

func refuse() int32 {
	reply = kit.AppendFaults(reply[:0], kit.Faults{{Text: "the request is not text within the buffer"}}, &who)
	return int32(len(reply))
}

//go:wasmexport reader
func reader(n int32) int32 {
	text, ok := request(n)
	if !ok {
		return refuse()
	}
	who = kit.ParseReader(text)
	reply = append(reply[:0], "{}"...)
	return int32(len(reply))
}

//go:wasmexport work
func work(n int32) int32 { return worked(n, false) }

//go:wasmexport first
func first(n int32) int32 { return worked(n, true) }

func worked(n int32, first bool) int32 {
	text, ok := request(n)
	if !ok {
		return refuse()
	}
	asked, rest, _ := strings.Cut(text, "\n")
	wanted, attachment, _ := strings.Cut(rest, "\n")
	figures := []string(nil) // all
	if wanted != "*" {
		figures = append([]string{}, strings.Fields(wanted)...)
	}
	answer(asked, attachment, figures, first)
	return int32(len(reply))
}

//go:wasmexport frame
func frame(n int32, at float64) int32 {
	return about(n, func(v *kit.View, runs string) error {
		if v.Now.Calculator.Film == nil {
			return kit.Faults{{Text: v.Now.Calculator.ID + " has no film"}}
		}
		if runs == "" {
			runs = "time"
		}
		reply = kit.AppendFrame(reply[:0], v.Frame(kit.Point{Runs: runs, At: at}, &who))
		return nil
	})
}

//go:wasmexport reading
func reading(n int32) int32 {
	return about(n, func(v *kit.View, rest string) error {
		var places []kit.Cursor
		for line := range strings.Lines(rest) {
			name, value, _ := strings.Cut(strings.TrimSpace(line), " ")
			if at, err := strconv.ParseFloat(value, 64); err == nil {
				places = append(places, kit.Cursor{Figure: name, At: at})
			}
		}
		reply = kit.AppendReadings(reply[:0], v.Readings(places, &who))
		return nil
	})
}

// about replies to a request about a view that was or can be worked out.
func about(n int32, tell func(v *kit.View, rest string) error) int32 {
	text, ok := request(n)
	if !ok {
		return refuse()
	}
	asked, rest, _ := strings.Cut(text, "\n")
	v, err := view(asked)
	if err == nil {
		err = tell(v, strings.TrimSpace(rest))
	}
	if err != nil {
		reply = kit.AppendFaults(reply[:0], err, &who)
	}
	return int32(len(reply))
}

// view works out all that a view names, as far as it is not kept.
func view(asked string) (*kit.View, error) {
	now, rest, _ := strings.Cut(asked, " ")
	w, err := kept(now)
	if err != nil {
		return nil, err
	}
	return beside(w, rest), nil
}

// beside puts the states and bets of a view beside the present one. A state that does not work out is left away.
func beside(w *kit.Work, rest string) *kit.View {
	v := &kit.View{Now: w}
	for _, field := range strings.Fields(rest) {
		if bet, ok := strings.CutPrefix(field, "bet:"); ok {
			output, value, _ := strings.Cut(bet, "=")
			if f, err := strconv.ParseFloat(value, 64); err == nil && f-f == 0 {
				v.Bets = append(v.Bets, kit.Bet{Output: output, Value: f})
			}
		} else if other, err := kept(field); err == nil && other.Calculator == w.Calculator && len(v.Kept) < keeps-2 {
			v.Kept = append(v.Kept, other)
		}
	}
	return v
}

// kept is the calculation of a query: one of the last, or it is worked out.
func kept(query string) (*kit.Work, error) {
	if w := find(query, ""); w != nil {
		return w, nil
	}
	w, err := Set.Work(query)
	if err == nil {
		keep(query, w)
	}
	return w, err
}

func find(query, attachment string) *kit.Work {
	for _, d := range last {
		if d.query == query && d.work.Attachment == attachment {
			return d.work
		}
	}
	return nil
}

func keep(query string, w *kit.Work) {
	rest := make([]*done, 0, keeps)
	rest = append(rest, &done{query, w})
	for _, d := range last {
		if d.query != query && len(rest) < keeps {
			rest = append(rest, d)
		}
	}
	last = rest
}

func answer(asked, attachment string, figures []string, first bool) {
	query, rest, _ := strings.Cut(asked, " ")
	if w := find(query, attachment); w != nil && (first || !w.First) {
		reply = kit.AppendAnswer(reply[:0], beside(w, rest).Answer(&who, figures))
		return
	}
	q, faults := kit.Parse(query)
	if len(faults) > 0 {
		reply = kit.AppendFaults(reply[:0], faults, &who)
		return
	}
	w, err := Set.Prepare(q)
	if err == nil {
		w.Attachment, w.First = attachment, first
		w.Progress = func(w *kit.Work, done, total int) bool {
			reply = kit.AppendAnswer(reply[:0], w.Answer(&who, figures))
			return partial(int32(done), int32(total), unsafe.Pointer(&reply[0]), int32(len(reply))) != 0
		}
		err = w.Run()
	}
	if err != nil && err != kit.ErrStopped {
		reply = kit.AppendFaults(reply[:0], err, &who)
		return
	}
	if err == nil {
		keep(query, w)
	}
	reply = kit.AppendAnswer(reply[:0], beside(w, rest).Answer(&who, figures))
}
