package cue

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"example.org/gripleaf/cmd/internal/judge"
	"example.org/gripleaf/cmd/internal/still"
)

// A decoder reads from the picture what was meant, also on a screen a quarter as large.
func TestCodesCanBeRead(t *testing.T) {
	judge.Find(t, "zbarimg")
	q := cueOf(t, strings.Replace(lessonFile, "1:02:05", "2:05", 1))
	files, err := q.Write(t.TempDir(), 0, new(still.Fonts))
	if err != nil {
		t.Fatal(err)
	}
	read := 0
	for _, f := range files {
		if filepath.Ext(f.Path) != ".png" {
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
	q := cueOf(t, strings.Replace(lessonFile, "1:02:05", "2:05", 1))
	var vtt strings.Builder
	if err := q.WriteChapters(&vtt); err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/chapters.vtt" {
			w.Header().Set("Content-Type", "text/vtt")
			w.Write([]byte(vtt.String()))
			return
		}
		w.Header().Set("Content-Type", "text/html")
		w.Write([]byte(`<!doctype html><video><track kind="chapters" src="chapters.vtt" default></video>`))
	}))
	defer server.Close()
	var got []struct {
		ID         string
		Start, End float64
		Text       string
	}
	browse(t, server.URL, `new Promise((done, failed) => {
		const track = document.querySelector("track");
		track.onerror = () => failed(new Error("the track cannot be read"));
		track.onload = () => done(JSON.stringify([...track.track.cues].map(c => ({ID: c.id, Start: c.startTime, End: c.endTime, Text: c.text}))));
		track.track.mode = "hidden";
		if (track.readyState === 2) track.onload();
	})`, &got)
	if len(got) != len(q.Moments) {
		t.Fatalf("the browser found %+v", got)
	}
	for i, m := range q.Moments {
		end := q.Length
		if i+1 < len(q.Moments) {
			end = q.Moments[i+1].At
		}
		text := strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&").Replace(got[i].Text)
		if got[i].ID != m.ID || got[i].Start != m.At.Seconds() || got[i].End != end.Seconds() || text != m.Title {
			t.Errorf("cue %d is %+v, want %+v", i, got[i], m)
		}
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
	q := cueOf(t, strings.Replace(lessonFile, "1:02:05", "2:05", 1))
	dir := filepath.Join(t.TempDir(), "cue")
	_, err := q.Write(dir, 20, new(still.Fonts))
	if err == nil || !strings.Contains(err.Error(), "more than 20") {
		t.Errorf("got %v", err)
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("a folder was made")
	}
}
