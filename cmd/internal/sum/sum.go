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

// Book keeps calculations that were worked out. Any number of goroutines may use it at once.
type Book struct {
	set kit.Set

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

// Set is the calculators that the book answers with.
func (b *Book) Set() kit.Set { return b.set }

// Work prepares and runs a query. Its error is of kit.Faults, with places in the text that the query was parsed from.
func (b *Book) Work(q kit.Query) (*kit.Work, error) {
	s := b.sum(key(q))
	s.once.Do(func() {
		s.work, s.err = b.set.Prepare(q)
		if s.err == nil {
			s.err = s.work.Run()
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
