package preview

import (
	"bytes"
	_ "embed"
	"html/template"
	"net/http"

	"example.org/gripleaf/cmd/internal/series"
)

//go:embed series.html
var seriesText string

var seriesPage = template.Must(template.New("series").Parse(seriesText))

// chart is how far the lessons have come.
type chart struct {
	Lessons                            []series.Lesson
	Planned, Unfinished, Silent, Moved int // how many lessons are so
}

func newChart(lessons []series.Lesson) *chart {
	c := &chart{Lessons: lessons}
	for _, l := range lessons {
		switch {
		case l.State == series.Planned:
			c.Planned++
		case l.State == series.Unfinished:
			c.Unfinished++
		}
		if !l.Video {
			c.Silent++
		}
		if len(l.Moved) > 0 {
			c.Moved++
		}
	}
	return c
}

// serveSeries shows the table of all lessons.
func (s *Server) serveSeries(w http.ResponseWriter, r *http.Request) {
	c := s.chart.Load()
	if c == nil { // before the first build
		c = new(chart)
	}
	var b bytes.Buffer
	if err := seriesPage.Execute(&b, c); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; script-src 'self'; connect-src 'self'")
	servePage(w, r, http.StatusOK, &b, s.hub.edition())
}
