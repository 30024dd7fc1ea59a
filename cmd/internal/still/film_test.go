package still

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/judge"
	"example.org/gripleaf/cmd/internal/lesson"
)

// small is a format that tests can afford many frames of.
var small = Size{Name: "small", Width: 640, Height: 360, Scale: 0.5}

func film(t testing.TB) Film {
	f, ok := Ride(work(t, "calc:stop?speed=30km/h&reaction=0.2s"), &quantity.Reader{}, 25)
	if !ok {
		t.Fatal("a stop has no film")
	}
	return f
}

func quiet(done, total int) {}

func TestFilmCanBeStoppedAndContinued(t *testing.T) {
	f, dir, pen := film(t), t.TempDir(), newPen(t, Dark)
	ctx, stop := context.WithCancel(context.Background())
	err := f.WriteFrames(ctx, dir, small, pen, func(done, total int) {
		if done == 10 {
			stop()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Fatalf("got %v", err)
	}
	first := filepath.Join(dir, FrameName(0))
	before, err := os.Stat(first)
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	if err := f.WriteFrames(context.Background(), dir, small, pen, func(done, total int) { seen++ }); err != nil {
		t.Fatal(err)
	}
	after, err := os.Stat(first)
	if err != nil || !os.SameFile(before, after) {
		t.Errorf("a frame that was there has been drawn again")
	}
	frames, _ := filepath.Glob(filepath.Join(dir, "frame-*.png"))
	if len(frames) != f.Frames() || seen != f.Frames() {
		t.Errorf("%d frames and %d steps of progress, want %d", len(frames), seen, f.Frames())
	}
	if parts, _ := filepath.Glob(filepath.Join(dir, ".part*")); len(parts) != 0 {
		t.Errorf("parts are left over: %v", parts)
	}
}

func TestFramesOfAnotherFilmAreReplaced(t *testing.T) {
	f, dir := film(t), t.TempDir()
	if err := f.WriteFrames(context.Background(), dir, small, newPen(t, Dark), quiet); err != nil {
		t.Fatal(err)
	}
	if err := f.WriteFrames(context.Background(), dir, small, newPen(t, Light), quiet); err != nil {
		t.Fatal(err)
	}
	file, err := os.Open(filepath.Join(dir, FrameName(3)))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	img, err := png.Decode(file)
	if err != nil {
		t.Fatal(err)
	}
	if r, _, _, _ := img.At(0, 0).RGBA(); r < 0xf000 {
		t.Errorf("the frame is still the dark one")
	}
}

func TestVideo(t *testing.T) {
	judge.Find(t, "ffmpeg")
	for g, want := range map[Background]struct{ codec, ending string }{Light: {"h264", ".mp4"}, Transparent: {"vp9", ".webm"}} {
		f, dir := film(t), filepath.Join(t.TempDir(), "film")
		pen := newPen(t, g)
		if err := f.WriteFrames(context.Background(), dir, small, pen, quiet); err != nil {
			t.Fatal(err)
		}
		last := 0
		path, err := f.WriteVideo(context.Background(), dir, pen, func(done, total int) { last = done })
		if err != nil {
			t.Fatal(err)
		}
		if last != f.Frames() {
			t.Errorf("of %d frames the encoder told %d", f.Frames(), last)
		}
		if path != dir+want.ending {
			t.Errorf("the video is %s", path)
		}
		var probe struct {
			Streams []struct {
				Codec  string            `json:"codec_name"`
				Width  int               `json:"width"`
				Rate   string            `json:"avg_frame_rate"`
				Frames string            `json:"nb_read_frames"`
				Tags   map[string]string `json:"tags"`
			} `json:"streams"`
			Format struct {
				Duration string `json:"duration"`
			} `json:"format"`
		}
		said := judge.Ask(t, "ffprobe", "-v", "error", "-count_frames", "-show_streams", "-show_format", "-of", "json", path)
		if err := json.Unmarshal([]byte(said), &probe); err != nil {
			t.Fatal(err)
		}
		s := probe.Streams[0]
		if s.Codec != want.codec || s.Width != 320 || s.Rate != "25/1" || s.Frames != strconv.Itoa(f.Frames()) {
			t.Errorf("ffprobe says %+v, want %d frames", s, f.Frames())
		}
		if seconds, _ := strconv.ParseFloat(probe.Format.Duration, 64); seconds < f.Lasts+0.9 || seconds > f.Lasts+1.1 {
			t.Errorf("the video takes %v s, the stop %v s and one more", seconds, f.Lasts)
		}
		alpha := s.Tags["alpha_mode"] + s.Tags["ALPHA_MODE"]
		if (g == Transparent) != strings.Contains(alpha, "1") {
			t.Errorf("on %s the alpha mode is %q", g, alpha)
		}
	}
}

func TestOnlyStopsAreFilmed(t *testing.T) {
	if _, ok := Ride(work(t, "calc:slip"), &quantity.Reader{}, 25); ok {
		t.Error("a tyre curve has a film")
	}
}

// Half a second for each step: from 30 to 60 km/h by 10 takes one and a half. The axes stand still while the number
// moves.
func TestSweep(t *testing.T) {
	s := &Sweep{Calculators: standard.Set, Input: "speed", Range: lesson.Draw{From: 30, To: 60, Step: 10, Unit: "km/h"}}
	f, err := s.Film(work(t, "calc:stop?grip=0.8&speed=50km/h"), 0, &quantity.Reader{}, 25)
	if err != nil {
		t.Fatal(err)
	}
	if f.Lasts != 1.5 {
		t.Errorf("it takes %v s", f.Lasts)
	}
	ticks := make(map[string]bool)
	for at, want := range map[float64]string{0: "Grip 0.80", 0.75: "Speed 45 km/h", 1.5: "Speed 60 km/h"} {
		p, err := f.At(at)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(strings.ReplaceAll(p.About, "\u00a0", " "), want) {
			t.Errorf("at %v s it is about %q", at, p.About)
		}
		scene, said := p.Draw(figure.Style{Reader: p.Reader, Width: 900, Height: 600, Letters: 40}), ""
		for _, m := range scene.Marks {
			if m.Role == "tick" {
				said += fmt.Sprint(m.Text, m.Points)
			}
		}
		ticks[said] = true
	}
	if len(ticks) != 1 {
		t.Errorf("the axes jump between %d scales", len(ticks))
	}
	s.Range = lesson.Draw{From: 0, To: 60, Step: 10, Unit: "km/h"} // nobody stops from 0 km/h
	if _, err := s.Film(work(t, "calc:stop"), 0, &quantity.Reader{}, 25); err == nil {
		t.Error("a range outside the input's is swept")
	}
}

// letters are the words of a moment.
func letters(t *testing.T, f *Film, at float64) (words []string) {
	p, err := f.At(at)
	if err != nil {
		t.Fatal(err)
	}
	scene := p.Draw(figure.Style{Reader: p.Reader, Width: 1700, Height: 700, Letters: 40})
	for _, m := range scene.Marks {
		if m.Text != "" {
			words = append(words, strings.ReplaceAll(m.Text, "\u00a0", " "))
		}
	}
	return words
}

// Where a stop from 60 km/h ends, one from 80 km/h has as much speed left as it began with more: both lose the same in
// the same time (any physics book).
func TestBesideOneRoadAndOneClock(t *testing.T) {
	f, ok := Beside(work(t, "calc:stop?speed=60km/h&grip=0.8"), work(t, "calc:stop?speed=80km/h&grip=0.8"), &quantity.Reader{}, 25)
	if !ok {
		t.Fatal("two stops have no film")
	}
	const a = 0.8 * 9.80665
	if want := 1 + 80/3.6/a; math.Abs(f.Lasts-want) > 1e-9 {
		t.Errorf("it takes %v s, want %v", f.Lasts, want)
	}
	said := letters(t, &f, 1+60/3.6/a)
	for _, want := range []string{"Speed 60 km/h", "34.4 m", "Speed 80 km/h", "20 km/h", "3.12 s"} {
		if !slices.Contains(said, want) {
			t.Errorf("%q is not in %q", want, said)
		}
	}
	if p, _ := f.At(0); strings.Contains(p.About, "Speed") || !strings.Contains(p.About, "Grip") {
		t.Errorf("both are said to have %q", p.About)
	}
	if _, ok := Beside(work(t, "calc:stop"), work(t, "calc:slip"), &quantity.Reader{}, 25); ok {
		t.Error("a tyre curve has a film")
	}
}

func TestSlowMotionOfOneCycle(t *testing.T) {
	f, ok := Cycle(work(t, "calc:antilock?surface=gravel"), &quantity.Reader{}, 25)
	if !ok {
		t.Fatal("the controller has no cycle")
	}
	clock := func(at float64) float64 {
		for _, word := range letters(t, &f, at) {
			if number, ok := strings.CutSuffix(word, " s"); ok {
				v, _ := strconv.ParseFloat(number, 64)
				return v
			}
		}
		t.Fatal("the clock is not to be seen")
		return 0
	}
	if passed := clock(f.Lasts) - clock(0); math.Abs(passed-f.Lasts/20) > 0.011 || passed <= 0 {
		t.Errorf("in %v s of film %v s of the stop pass", f.Lasts, passed)
	}
	if _, ok := Cycle(work(t, "calc:antilock?channels=none"), &quantity.Reader{}, 25); ok {
		t.Error("a bike without a controller has a cycle")
	}
}

func BenchmarkFrame(b *testing.B) {
	f, pen := film(b), newPen(b, Transparent)
	for b.Loop() {
		p, _ := f.frame(10)
		if _, err := p.Image(Sizes[0], pen); err != nil {
			b.Fatal(err)
		}
	}
}
