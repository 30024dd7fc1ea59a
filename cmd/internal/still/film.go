package still

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"example.org/gripleaf/cmd/internal/whole"
)

// A Film is pictures that follow each other. The last one stands for a second.
type Film struct {
	Name  string // of its files
	Of    string // all that it is made from, for the note beside its frames
	Rate  int    // frames a second
	Lasts float64
	At    func(t float64) (Picture, error) // at a time in s; asked by several goroutines at once
}

// Frames is how many there are.
func (f *Film) Frames() int { return int(f.Lasts*float64(f.Rate)) + 1 + f.Rate }

// frame is the picture of a frame.
func (f *Film) frame(i int) (Picture, error) { return f.At(min(float64(i)/float64(f.Rate), f.Lasts)) }

// noteName is the file beside the frames that says what they show.
const noteName = "film.txt"

// note says all that a frame depends on, so that frames of an earlier run are kept only if they would come out the
// same.
func (f *Film) note(size Size, pen *Pen) string {
	h := sha256.New()
	for _, i := range []int{0, f.Frames() / 2, f.Frames() - 1} {
		if p, err := f.frame(i); err == nil { // one that cannot be drawn fails below
			p.WriteSVG(h, size, pen)
		}
	}
	return fmt.Sprintf("%s\n%s, %s, %d frames a second, %d frames\nsha256 of three of them: %x\n",
		f.Of, size.Name, pen.Background, f.Rate, f.Frames(), h.Sum(nil))
}

// FrameName is the name of a frame's file, counted from 1 as editors do.
func FrameName(i int) string { return fmt.Sprintf("frame-%05d.png", i+1) }

// WriteFrames writes the film as numbered PNG files. Frames that an earlier run of the same film has left are kept;
// those of another are replaced. Progress is told after each frame.
func (f *Film) WriteFrames(ctx context.Context, dir string, size Size, pen *Pen, progress func(done, total int)) error {
	note := f.note(size, pen)
	if old, err := os.ReadFile(filepath.Join(dir, noteName)); err != nil || string(old) != note {
		if err := forget(dir); err != nil {
			return err
		}
		if err := whole.Bytes(filepath.Join(dir, noteName), []byte(note)); err != nil {
			return err
		}
	}
	var done atomic.Int64
	workers, ctx := errgroup.WithContext(ctx)
	workers.SetLimit(runtime.GOMAXPROCS(0))
	for i := range f.Frames() {
		workers.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			err := f.writeFrame(filepath.Join(dir, FrameName(i)), i, size, pen)
			progress(int(done.Add(1)), f.Frames())
			return err
		})
	}
	return workers.Wait()
}

func (f *Film) writeFrame(path string, i int, size Size, pen *Pen) error {
	if _, err := os.Stat(path); err == nil {
		return nil
	}
	p, err := f.frame(i)
	if err != nil {
		return err
	}
	img, err := p.Image(size, pen)
	if err != nil {
		return err
	}
	fast := png.Encoder{CompressionLevel: png.BestSpeed}
	return whole.Write(path, func(w io.Writer) error { return fast.Encode(w, img) })
}

// forget removes the frames of another film.
func forget(dir string) error {
	old, err := filepath.Glob(filepath.Join(dir, "frame-[0-9]*.png"))
	if err != nil {
		return err
	}
	for _, path := range old {
		if err := os.Remove(path); err != nil {
			return err
		}
	}
	return nil
}

// ErrNoEncoder says that the program that makes videos is not installed.
var ErrNoEncoder = errors.New("ffmpeg is not installed: the frames are there, but no video")

// codings are what videos are made with. They are quick rather than small: an editing program makes the last file.
var (
	opaque = []string{"-c:v", "libx264", "-preset", "veryfast", "-crf", "18", "-pix_fmt", "yuv420p", "-movflags", "+faststart"}
	clear  = []string{"-c:v", "libvpx-vp9", "-deadline", "realtime", "-cpu-used", "8", "-crf", "18", "-b:v", "0",
		"-row-mt", "1", "-tile-columns", "2", "-pix_fmt", "yuva420p", "-auto-alt-ref", "0"}
)

// WriteVideo makes a video of frames in dir: WebM with an alpha channel (VP9) on the transparent background, MP4
// (H.264) otherwise. It gives the file's name.
func (f *Film) WriteVideo(ctx context.Context, dir string, pen *Pen, progress func(done, total int)) (string, error) {
	encoder, err := exec.LookPath("ffmpeg")
	if err != nil {
		return "", ErrNoEncoder
	}
	ending, coding := ".mp4", opaque
	if pen.Background == Transparent {
		ending, coding = ".webm", clear
	}
	path := strings.TrimRight(dir, "/") + ending
	part := path + ".part" + ending
	arguments := slices.Concat([]string{"-nostdin", "-loglevel", "error", "-progress", "pipe:1", "-y", "-framerate", strconv.Itoa(f.Rate),
		"-i", filepath.Join(dir, "frame-%05d.png"), "-threads", strconv.Itoa(runtime.GOMAXPROCS(0))}, coding, []string{part})
	if err := f.encode(exec.CommandContext(ctx, encoder, arguments...), progress); err != nil {
		os.Remove(part)
		return "", err
	}
	defer os.Remove(part)
	made, err := os.Open(part)
	if err != nil {
		return "", err
	}
	defer made.Close()
	return path, pen.Keeper.Write(path, func(w io.Writer) error {
		_, err := io.Copy(w, made)
		return err
	})
}

// encode runs the encoder, which says every now and then which frame it is at.
func (f *Film) encode(cmd *exec.Cmd, progress func(done, total int)) error {
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		return fmt.Errorf("making the video: %w", err)
	}
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if number, ok := strings.CutPrefix(lines.Text(), "frame="); ok {
			done, _ := strconv.Atoi(strings.TrimSpace(number))
			progress(min(done, f.Frames()), f.Frames())
		}
	}
	if err := cmd.Wait(); err != nil {
		return fmt.Errorf("making the video: ffmpeg: %w: %s", err, strings.TrimSpace(said.String()))
	}
	return nil
}
