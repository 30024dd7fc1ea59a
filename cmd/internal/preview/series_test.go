package preview

import (
	"strings"
	"testing"

	"example.org/gripleaf/cmd/internal/series"
)

// The table of the series holds every lesson with what is open, and is escaped as all that authors write.
func TestSeriesPage(t *testing.T) {
	s := start(t, &Server{Dir: t.TempDir()})
	s.chart.Store(newChart([]series.Lesson{
		{File: "en/one.md", Address: "one.html", Title: "One <b>", State: series.Finished, Video: true, Made: "2026-01-15", Untranslated: []string{"de", "hi"},
			Moved: []series.Number{{Link: "calc:stop?speed=60km/h#braking-distance", From: "17.7 m", To: "17.9 m", On: "2026-02-03"}}},
		{File: "en/two.md", Address: "two.html", Title: "Two", State: series.Planned},
	}))
	page := body(t, s, seriesPath)
	for _, want := range []string{"2 lessons: 1 planned, 0 unfinished, 1 without a video, 1 with numbers that have moved", `<a href="/one.html">One &lt;b&gt;</a>`, "made 2026-01-15",
		"de, hi", "<b>17.7 m → 17.9 m</b> on 2026-02-03", `class="open">planned`, `class="open">none`, scriptPath} {
		if !strings.Contains(page, want) {
			t.Errorf("there is no %q in\n%s", want, page)
		}
	}
}
