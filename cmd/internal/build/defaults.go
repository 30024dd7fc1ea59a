package build

import (
	"context"
	"sync"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/course"
	"example.org/gripleaf/cmd/internal/page"
)

// defaults are the calculators at their defaults, as their own pages show them, each worked out once.
type defaults struct {
	works map[string]func() (*kit.Work, error)
}

func newDefaults(c *course.Course) *defaults {
	d := &defaults{make(map[string]func() (*kit.Work, error))}
	for _, one := range c.Calculators {
		d.works[one.ID] = sync.OnceValues(func() (*kit.Work, error) { return c.Work(one.ID) })
	}
	return d
}

func (d *defaults) work(id string) (*kit.Work, error) { return d.works[id]() }

// ahead begins to work them out beside the lessons, as some take seconds, unless an earlier build has made their pages.
func (d *defaults) ahead(ctx context.Context, sites map[*course.Language]*page.Site, m *memory) {
	known := true
	for _, site := range sites {
		name := "calculators in " + site.Language.Tag
		was, _ := m.files.before(name)
		now := madeFile{Key: site.Key()}
		m.files.put(name, now, was != now)
		known = known && was == now
	}
	if known {
		return
	}
	go func() {
		for _, c := range standard.Set {
			if ctx.Err() == nil {
				_, _ = d.work(c.ID) // who asks next gets the error
			}
		}
	}()
}
