package preview

import (
	"bytes"
	_ "embed"
	"html/template"
	"net/http"
	"sync"

	"example.org/gripleaf/cmd/internal/series"
)

//go:embed series.html
var seriesText string

var seriesPage = template.Must(template.New("series").Parse(seriesText))

// chart is how far the lessons have come, after the last build.
type chart struct {
	mu      sync.Mutex
	lessons []series.Lesson
}

func (c *chart) set(lessons []series.Lesson) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.lessons = lessons
}

// Counts are how many lessons are in a state.
func (c *chart) Counts() (planned, unfinished, silent, moved int) {
	for _, l := range c.lessons {
		switch {
		case l.State == series.Planned:
			planned++
		case l.State == series.Unfinished:
			unfinished++
		}
		if !l.Video {
			silent++
		}
		if len(l.Moved) > 0 {
			moved++
		}
	}
	return planned, unfinished, silent, moved
}

// serveSeries shows the table of all lessons.
func (s *Server) serveSeries(w http.ResponseWriter, r *http.Request) {
	s.chart.mu.Lock()
	var b bytes.Buffer
	planned, unfinished, silent, moved := s.chart.Counts()
	err := seriesPage.Execute(&b, map[string]any{"Lessons": s.chart.lessons, "Planned": planned, "Unfinished": unfinished, "Silent": silent, "Moved": moved})
	s.chart.mu.Unlock()
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; script-src 'self'; connect-src 'self'")
	servePage(w, r, http.StatusOK, &b, s.hub.edition())
}
