package preview

import (
	"context"
	"errors"
	"net/http"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"example.org/gripleaf/cmd/internal/watch"
)

var editionOf = regexp.MustCompile(`data-edition="([^"]*)"`)

// slow is a build that is led by the test: it waits for what to do next.
type slow struct {
	t     *testing.T
	dir   string
	steps chan func(*Server) (Report, error)
}

func (b *slow) build(ctx context.Context, _ []string, s *Server) (Report, error) {
	for {
		select {
		case step := <-b.steps:
			if report, err := step(s); err != nil || report.Changed != nil {
				return report, err
			}
		case <-ctx.Done():
			return Report{}, ctx.Err()
		}
	}
}

// do lets the build do something and go on.
func (b *slow) do(step func(*Server)) {
	done := make(chan struct{})
	b.steps <- func(s *Server) (Report, error) { step(s); close(done); return Report{}, nil }
	<-done
}

// A page that is looked at is seen as soon as it is made; when all is published it is not loaded again, and the others
// are. What came of a build that failed is not taken for the next one.
func TestWhatIsLookedAtIsSeenEarly(t *testing.T) {
	source, dir := t.TempDir(), filepath.Join(t.TempDir(), "built")
	b := &slow{t, dir, make(chan func(*Server) (Report, error))}
	ctx, cancel := context.WithCancel(context.Background())
	ready, done := make(chan string, 1), make(chan error, 1)
	go func() {
		done <- Serve(ctx, Options{Dir: dir, Addr: "127.0.0.1:0", Watch: watch.Watcher{Roots: []string{source}}, Build: b.build, Ready: func(url string) { ready <- url }})
	}()
	server := &running{addr: strings.Trim(strings.TrimPrefix(<-ready, "http://"), "/")}

	// The first build: a request for a page waits until that is made, and no longer.
	answers := make(chan string)
	go func() { answers <- body(t, server, "/lesson.html") }()
	for wanted := false; !wanted; {
		b.do(func(s *Server) { wanted = slices.Contains(s.Wanted(), "lesson.html") })
	}
	b.do(func(s *Server) { s.Made("lesson.html", []byte(pageOf("early"))) })
	first := <-answers
	if !strings.Contains(first, "early") {
		t.Fatalf("the page that waited is %s", first)
	}
	edition := editionOf.FindStringSubmatch(first)[1]
	early := server.listenAs(t, "/lesson.html", edition)
	if got := early.want(Event{Kind: hello}); got != edition {
		t.Errorf("the early page has edition %s and is told of %s", edition, got)
	}
	other := server.listenAs(t, "/other.html", "")
	before := other.want(Event{Kind: hello})
	if before == edition {
		t.Error("a page that shows nothing early has the next edition")
	}
	b.steps <- func(*Server) (Report, error) {
		write(t, filepath.Join(dir, "lesson.html"), pageOf("early"))
		return Report{Changed: []string{"lesson.html"}}, nil
	}
	if got := other.want(Event{Kind: Page}); got != edition {
		t.Errorf("the site was published as edition %s, want %s", got, edition)
	}

	// The next one fails after the page was made: it is loaded again with the one after that.
	write(t, filepath.Join(source, "lesson.md"), "1")
	b.do(func(s *Server) {
		if !slices.Contains(s.Wanted(), "lesson.html") {
			t.Errorf("wanted are %q, and lesson.html is looked at", s.Wanted())
		}
		s.Made("lesson.html", []byte(pageOf("doomed")))
	})
	doomed := early.want(Event{Kind: Page}) // the first since it joined: it was not told of what it had seen
	settled := make(chan struct{})
	b.do(func(s *Server) {
		s.Made("lesson.html", []byte(pageOf("doomed"))) // which is no news
		go func() {
			s.Settle(context.Background())
			close(settled)
		}()
	})
	server.listenAs(t, "/lesson.html", doomed)
	<-settled
	b.steps <- func(*Server) (Report, error) { return Report{}, errors.New("a fault elsewhere") }
	if m := early.next(); m.Kind != Faulty {
		t.Errorf("told of %v, want the fault", m)
	}
	if got := body(t, server, "/lesson.html"); strings.Contains(got, "doomed") {
		t.Error("a page that came to nothing is still served")
	}
	write(t, filepath.Join(source, "lesson.md"), "22")
	b.steps <- func(*Server) (Report, error) { return Report{Changed: []string{"lesson.html"}}, nil }
	early.want(Event{Kind: Mended})
	if after := early.want(Event{Kind: Page}); after == doomed {
		t.Error("two editions have one name")
	}

	// A style sheet alone is taken over by all pages before the site, whose every page names it, is published.
	write(t, filepath.Join(source, "page.css"), "p {}")
	b.do(func(s *Server) { s.Made("style.00000002.css", []byte("p { color: red }")) })
	style := Event{Kind: Style, Paths: []string{"style.00000002.css"}}
	early.want(style)
	if got := body(t, server, "/style.00000002.css"); !strings.Contains(got, "color: red") {
		t.Errorf("the early style sheet is %s", got)
	}
	b.steps <- func(*Server) (Report, error) {
		return Report{Changed: []string{"lesson.html", "style.00000002.css"}}, nil
	}
	write(t, filepath.Join(source, "lesson.md"), "333")
	b.steps <- func(*Server) (Report, error) { return Report{Changed: []string{"lesson.html"}}, nil }
	early.want(Event{Kind: Page}) // the first since: the style was not told of twice
	cancel()
	if err := <-done; err != nil {
		t.Error(err)
	}
}

func body(t *testing.T, server *running, path string) string {
	t.Helper()
	answer, err := http.Get("http://" + server.addr + path)
	if err != nil {
		t.Error(err)
		return ""
	}
	defer answer.Body.Close()
	var b strings.Builder
	if err := answer.Write(&b); err != nil {
		t.Error(err)
	}
	return b.String()
}
