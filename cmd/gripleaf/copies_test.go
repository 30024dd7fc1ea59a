package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A small invented site with a video.
var videoSite = map[string]string{
	"site.yaml": "title: Stops\naddress: https://braking.example/\nlanguages: [en]\nlessons: [stopping, slipping]\n",
	"en/stopping.md": `---
title: Stopping
video: {address: "https://video.example/?t={seconds}", length: "2:00"}
---
## [One](moment:0:10#one)

The brakes need [17.7 m](calc:stop?speed=60km/h&grip=0.8#braking-distance).

![Move it](calc:stop?speed=10km/h&reaction=0.1s)
`,
	"en/slipping.md": "---\ntitle: Slipping\n---\nGrip is [9.99](calc:slip?surface=ice#peak-grip).\n",
	"log.csv":        "time (s),speed (km/h)\n0,0\n1,0\n",
}

// in goes into a folder with files in it.
func in(t *testing.T, files map[string]string) {
	dir := t.TempDir()
	t.Setenv("XDG_CACHE_HOME", dir+"/cache")
	for name, text := range files {
		path := filepath.Join(dir, name)
		os.MkdirAll(filepath.Dir(path), 0o755)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(dir)
}

// try runs a command as main does, and gives what it says and its exit code.
func try(command interface{ Run(*world) error }) (stdout, stderr string, code int) {
	var out, errs bytes.Buffer
	w := &world{ctx: context.Background(), stdout: &out, stderr: &errs}
	code = w.finish(command.Run(w))
	return out.String(), errs.String(), code
}

func TestCommandsForVideosAndCopies(t *testing.T) {
	here := oneLesson{Lesson: "stopping", Site: "."}
	for name, test := range map[string]struct {
		command interface{ Run(*world) error }
		code    int
		out     []string // of stdout or stderr
		files   []string
	}{
		"cue":           {&cueCommand{oneLesson: here}, fine, []string{"description.txt\tthe text under the video"}, []string{"cue/stopping/chapters.vtt", "cue/stopping/code-02-one.png", "cue/stopping/script.html"}},
		"cue by file":   {&cueCommand{oneLesson: oneLesson{Lesson: "en/stopping.md", Site: "."}, Out: "out"}, fine, nil, []string{"out/moments.csv"}},
		"cue limit":     {&cueCommand{oneLesson: here, Limit: 10}, faulty, []string{"need", "more than 10", "allow more characters"}, nil},
		"cue misused":   {&cueCommand{oneLesson: here, Limit: -1}, misuse, []string{"--limit"}, nil},
		"no lesson":     {&cueCommand{oneLesson: oneLesson{Lesson: "stoping", Site: "."}}, faulty, []string{`there is no lesson "stoping" in en`, "stopping"}, nil},
		"no language":   {&cueCommand{oneLesson: oneLesson{Lesson: "stopping", Site: ".", Language: "dee"}}, faulty, []string{`no language "dee"`}, nil},
		"no video":      {&cueCommand{oneLesson: oneLesson{Lesson: "slipping", Site: "."}}, faulty, []string{"en/slipping.md:4:", "9.99"}, nil},
		"still":         {&stillCommand{oneLesson: here, Size: "square", Background: "dark", Out: "out"}, fine, []string{"out: 2 pictures as SVG and PNG, square, dark"}, []string{"out/stop-road-square-dark.png", "out/stop-road-square-dark.svg"}},
		"still rate":    {&stillCommand{oneLesson: here, Size: "1080p", Background: "light", Frames: 24}, misuse, []string{"25, 30, 50 or 60"}, nil},
		"pack nothing":  {&packCommand{Site: ".", Copies: 1}, misuse, []string{"--epub"}, nil},
		"pack copies":   {&packCommand{Site: ".", Copies: 41, Worksheet: true}, misuse, []string{"1 to 40"}, nil},
		"pack lessons":  {&packCommand{Site: ".", Copies: 1, EPUB: true, Lessons: []string{"stopping"}}, misuse, []string{"the whole course"}, nil},
		"pack faults":   {&packCommand{Site: ".", Copies: 1, EPUB: true, Out: "out"}, faulty, []string{"en/slipping.md:4:", "9.99"}, nil},
		"measure":       {&measureCommand{Files: []string{"log.csv", "gone.csv"}, Grip: 0.9, Brakes: "all"}, faulty, []string{"gone.csv: this file cannot be read", "log.csv: there is no stop in the log"}, nil},
		"measure grip":  {&measureCommand{Files: []string{"log.csv"}, Grip: 3}, misuse, []string{"--grip"}, nil},
		"measure speed": {&measureCommand{Files: []string{"log.csv"}, Grip: 0.9, Nominal: "60m"}, misuse, []string{"--nominal"}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			in(t, videoSite)
			stdout, stderr, code := try(test.command)
			if code != test.code {
				t.Errorf("exit code %d, want %d", code, test.code)
			}
			for _, want := range test.out {
				if !strings.Contains(stdout+stderr, want) {
					t.Errorf("%q is not in\n%s%s", want, stdout, stderr)
				}
			}
			for _, name := range test.files {
				if info, err := os.Stat(name); err != nil || info.Size() == 0 {
					t.Errorf("%s: %v", name, err)
				}
			}
			if test.code == misuse && stdout != "" {
				t.Errorf("it said %q before it was refused", stdout)
			}
		})
	}
}

// A lesson with no faults can be filmed, though another one of the course has some.
func TestFilmsGoOnWhereTheyStopped(t *testing.T) {
	in(t, videoSite)
	command := &stillCommand{oneLesson: oneLesson{Lesson: "stopping", Site: "."}, Size: "square", Background: "light", Out: "out", Frames: 25}
	if _, stderr, code := try(command); code != fine {
		t.Fatal(stderr)
	}
	dir := "out/stop-square-light-25/"
	before, err := os.Stat(dir + "frame-00001.png")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(dir + "frame-00002.png"); err != nil {
		t.Fatal(err)
	}
	stdout, _, code := try(command)
	after, err := os.Stat(dir + "frame-00001.png")
	if code != fine || err != nil || !os.SameFile(before, after) || !strings.Contains(stdout, "frames at 25 a second") {
		t.Errorf("code %d, %v: %s", code, err, stdout)
	}
	if _, err := os.Stat(dir + "frame-00002.png"); err != nil {
		t.Errorf("the lost frame was not drawn again: %v", err)
	}
}
