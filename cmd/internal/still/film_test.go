package still

import (
	"context"
	"encoding/json"
	"errors"
	"image/png"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/judge"
)

// small is a format that tests can afford many frames of.
var small = Size{Name: "small", Width: 640, Height: 360, Scale: 0.5}

func film(t testing.TB) Film {
	f, ok := FilmOf(work(t, "calc:stop?speed=30km/h&reaction=0.2s"), &quantity.Reader{}, 25)
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
		path, err := f.WriteVideo(context.Background(), dir, pen)
		if err != nil {
			t.Fatal(err)
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
		if seconds, _ := strconv.ParseFloat(probe.Format.Duration, 64); seconds < f.Stop.Duration()+0.9 || seconds > f.Stop.Duration()+1.1 {
			t.Errorf("the video takes %v s, the stop %v s and one more", seconds, f.Stop.Duration())
		}
		alpha := s.Tags["alpha_mode"] + s.Tags["ALPHA_MODE"]
		if (g == Transparent) != strings.Contains(alpha, "1") {
			t.Errorf("on %s the alpha mode is %q", g, alpha)
		}
	}
}

func TestOnlyStopsAreFilmed(t *testing.T) {
	if _, ok := FilmOf(work(t, "calc:slip"), &quantity.Reader{}, 25); ok {
		t.Error("a tyre curve has a film")
	}
}

func BenchmarkFrame(b *testing.B) {
	f, pen := film(b), newPen(b, Transparent)
	for b.Loop() {
		p := f.frame(10)
		if _, err := p.Image(Sizes[0], pen); err != nil {
			b.Fatal(err)
		}
	}
}
