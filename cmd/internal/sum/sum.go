// Package sum works calculations out once for all who ask: the same state is in a checked number, an explorer and a
// claim, on many pages and in every language.
package sum

import (
	"slices"
	"strings"
	"sync"

	"example.org/gripleaf/calculators/kit"
)

// most is how many calculations are kept. A course of a hundred thousand lessons asks for more than fit in memory, and
// what is forgotten is only worked out again.
const most = 512

// Store keeps answers that took long from one run of the program to the next, by their queries, as the numbers that
// their calculators condense them to. Several goroutines may use it at once.
type Store interface {
	Get(query string) (numbers []float64, found bool)
	Put(query string, numbers []float64)
}

// Book keeps calculations that were worked out. Any number of goroutines may use it at once.
type Book struct {
	set   kit.Set
	store Store // may be nil

	mu          sync.Mutex
	new, before map[string]*sum // two generations: when the new one is full, the one before is forgotten
}

type sum struct {
	once sync.Once
	work *kit.Work
	err  error
}

// NewBook makes an empty Book for a set of calculators.
func NewBook(set kit.Set) *Book { return &Book{set: set, new: make(map[string]*sum)} }

// NewStoredBook makes a Book that looks for answers in a store, and puts them there.
func NewStoredBook(set kit.Set, store Store) *Book {
	b := NewBook(set)
	b.store = store
	return b
}

// Set is the calculators that the book answers with.
func (b *Book) Set() kit.Set { return b.set }

// Work prepares and runs a query. Its error is of kit.Faults, with places in the text that the query was parsed from.
func (b *Book) Work(q kit.Query) (*kit.Work, error) {
	s := b.sum(key(q))
	s.once.Do(func() {
		s.work, s.err = b.set.Prepare(q)
		if s.err == nil {
			s.err = b.run(s.work)
		}
	})
	if s.err == nil {
		return s.work, nil
	}
	if _, err := b.set.Prepare(q); err != nil {
		return nil, err // with the places of this very text
	}
	if faults, ok := s.err.(kit.Faults); ok {
		return nil, kit.Place(slices.Clone(faults), q) // those of the book have no place
	}
	return nil, s.err
}

// run works a calculation out, unless its answer is kept.
func (b *Book) run(w *kit.Work) error {
	c := w.Calculator
	if b.store == nil || c.Condense == nil {
		return w.Run()
	}
	query := w.Canonical()
	if numbers, found := b.store.Get(query); found && c.Restore(w, numbers) {
		return nil
	}
	err := w.Run()
	if err == nil {
		b.store.Put(query, c.Condense(w))
	}
	return err
}

// Query parses a query and works it out.
func (b *Book) Query(text string) (*kit.Work, error) {
	q, faults := kit.Parse(text)
	if len(faults) > 0 {
		return nil, faults
	}
	return b.Work(q)
}

func (b *Book) sum(key string) *sum {
	b.mu.Lock()
	defer b.mu.Unlock()
	if s, ok := b.new[key]; ok {
		return s
	}
	s, ok := b.before[key]
	if !ok {
		s = &sum{}
	}
	if len(b.new) >= most {
		b.before, b.new = b.new, make(map[string]*sum, most)
	}
	b.new[key] = s
	return s
}

func key(q kit.Query) string {
	var b strings.Builder
	b.WriteString(q.Calculator)
	for _, p := range q.Pairs {
		b.WriteByte('\n')
		b.WriteString(p.Name)
		b.WriteByte('=')
		b.WriteString(p.Value)
	}
	return b.String()
}
