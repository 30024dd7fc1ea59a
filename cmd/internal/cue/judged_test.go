package cue

import (
	"encoding/json"
	"html"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/chromedp/chromedp"

	"example.org/gripleaf/cmd/internal/judge"
	"example.org/gripleaf/cmd/internal/still"
)

func pen(t *testing.T) *still.Pen {
	palette, err := still.NewPalette(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &still.Pen{Fonts: new(still.Fonts), Palette: palette}
}

// A decoder reads from the picture what was meant, also on a screen a quarter as large.
func TestCodesCanBeRead(t *testing.T) {
	judge.Find(t, "zbarimg")
	q := cueOf(t, inTime)
	files, err := q.Write(t.TempDir(), 0, pen(t))
	if err != nil {
		t.Fatal(err)
	}
	read := 0
	for _, f := range files {
		if filepath.Ext(f.Path) != ".png" || filepath.Base(f.Path) == "thumbnail.png" {
			continue
		}
		if got := strings.TrimSpace(judge.Ask(t, "zbarimg", "--quiet", "--raw", f.Path)); got != f.About {
			t.Errorf("%s says %q, want %q", f.Path, got, f.About)
		}
		read++
	}
	if read != len(q.Moments) {
		t.Errorf("%d codes for %d moments", read, len(q.Moments))
	}
}

// A browser's own WebVTT parser finds the cues in a track of chapters.
func TestBrowserReadsTheChapters(t *testing.T) {
	q := cueOf(t, inTime)
	var vtt strings.Builder
	if err := q.WriteChapters(&vtt); err != nil {
		t.Fatal(err)
	}
	got := tracked(t, "chapters", vtt.String())
	if len(got) != len(q.Moments) {
		t.Fatalf("the browser found %+v", got)
	}
	for i, m := range q.Moments {
		text := strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&").Replace(got[i].Text)
		if got[i].ID != m.ID || got[i].Start != m.At.Seconds() || got[i].End != m.End.Seconds() || text != m.Title {
			t.Errorf("cue %d is %+v, want %+v", i, got[i], m)
		}
	}
}

// textCue is a cue as a browser reads it.
type textCue struct {
	ID         string
	Start, End float64
	Text       string
}

// tracked is what a browser's WebVTT parser makes of a track.
func tracked(t *testing.T, kind, vtt string) (got []textCue) {
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/track.vtt" {
			w.Header().Set("Content-Type", "text/vtt")
			w.Write([]byte(vtt))
			return
		}
		w.Header().Set("Content-Type", "text/html")
		w.Write([]byte(`<!doctype html><video><track kind="` + kind + `" src="track.vtt" default></video>`))
	}))
	defer server.Close()
	browse(t, server.URL, `new Promise((done, failed) => {
		const track = document.querySelector("track");
		track.onerror = () => failed(new Error("the track cannot be read"));
		track.onload = () => done(JSON.stringify([...track.track.cues].map(c => ({ID: c.id, Start: c.startTime, End: c.endTime, Text: c.text}))));
		track.track.mode = "hidden";
		if (track.readyState === 2) track.onload();
	})`, &got)
	return got
}

// The captions are the text that is said, each within its moment, one after the other, in lines that can be read.
func TestBrowserReadsTheCaptions(t *testing.T) {
	q := cueOf(t, strings.NewReplacer("1:02:05", "2:05", "Half of it is lost.", "Half of it is lost, & the rest of it goes < by > so fast that nobody who was there could say afterwards where it went.").Replace(lessonFile))
	var vtt strings.Builder
	if err := q.WriteCaptions(&vtt); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(vtt.String(), "NOTE\nDraft") {
		t.Error("nothing says that it is a draft")
	}
	got := tracked(t, "captions", vtt.String())
	var said, want []string
	at := 0.0
	for _, c := range got {
		if c.Start < at-0.0011 || c.End <= c.Start || c.End > q.Length.Seconds() {
			t.Errorf("%+v follows what ends at %v", c, at)
		}
		at = c.End
		for line := range strings.Lines(c.Text) {
			if n := utf8.RuneCountInString(html.UnescapeString(strings.TrimSpace(line))); n > captionLine {
				t.Errorf("%q has %d characters", line, n)
			}
		}
		said = append(said, strings.Fields(html.UnescapeString(c.Text))...)
	}
	for _, m := range q.Moments {
		for _, p := range m.Passages {
			want = append(want, strings.Fields(p.Shown)...)
		}
		if i := slices.IndexFunc(got, func(c textCue) bool { return c.Start >= m.At.Seconds() }); i < 0 || got[i].Start > m.At.Seconds()+0.001 {
			t.Errorf("nothing is said at %v", m.At)
		}
	}
	if diff := compare(want, said); diff != "" {
		t.Error(diff)
	}
}

// browse opens an address in a browser and reads what a script's promise gives, as JSON.
func browse(t *testing.T, address, script string, result any) {
	ctx := judge.Tab(t)
	if err := chromedp.Do(ctx, chromedp.Navigate(address)); err != nil {
		t.Fatal(err)
	}
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](script, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(text), result); err != nil {
		t.Fatal(err)
	}
}

func TestNothingIsWrittenWhenTheLimitCannotBeKept(t *testing.T) {
	q := cueOf(t, inTime)
	dir := filepath.Join(t.TempDir(), "cue")
	_, err := q.Write(dir, 20, pen(t))
	if err == nil || !strings.Contains(err.Error(), "more than 20") {
		t.Errorf("got %v", err)
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("a folder was made")
	}
}
