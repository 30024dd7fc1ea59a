package page

import (
	"sync"

	"example.org/gripleaf/cmd/internal/course"
)

// digest is what the lessons of a language tell together, once the facts of all have been read.
type digest struct {
	from    []int                      // minutes to read before each lesson, and before the end
	minutes int                        // to read them all
	numbers int                        // checked ones
	with    map[string][]*course.Entry // by calculator: the lessons that have an explorer of it
}

// digests makes the digest of each language when it is asked for.
func digests(languages []*course.Language) map[*course.Language]func() *digest {
	all := make(map[*course.Language]func() *digest)
	for _, l := range languages {
		all[l] = sync.OnceValue(func() *digest { return newDigest(l) })
	}
	return all
}

func (p *Printer) digest(l *course.Language) *digest { return p.digests[l]() }

func newDigest(l *course.Language) *digest {
	d := &digest{with: make(map[string][]*course.Entry)}
	for _, e := range l.Lessons {
		d.from = append(d.from, d.minutes)
		d.minutes += minutesOf(e)
		if e.Facts == nil {
			continue
		}
		d.numbers += e.Facts.Numbers
		for _, x := range e.Facts.Explorers {
			if in := d.with[x.Calculator]; len(in) == 0 || in[len(in)-1] != e {
				d.with[x.Calculator] = append(in, e)
			}
		}
	}
	d.from = append(d.from, d.minutes)
	return d
}
