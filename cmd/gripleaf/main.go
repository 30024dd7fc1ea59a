// Command gripleaf turns lessons on braking, written in Markdown, into a site in which every number is worked out.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"syscall"

	"github.com/alecthomas/kong"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/version"
)

// commands lists the commands in the order of the help. Each is in a file of its own, with its help beside it.
type commands struct {
	Version kong.VersionFlag `help:"Say which version this is."`

	Begin   beginCommand   `cmd:"" help:"Write a small working site to start from."`
	Preview previewCommand `cmd:"" help:"Build, serve on this machine, and show every save at once."`
	Build   buildCommand   `cmd:"" help:"Build the course of this folder."`
	Prove   proveCommand   `cmd:"" help:"Check every number, claim, link, source and picture, and report."`
	Work    workCommand    `cmd:"" help:"Work one calculation out."`
	Cue     cueCommand     `cmd:"" help:"Write what the video of a lesson needs: description, chapters, codes, captions, a script to speak from."`
	Still   stillCommand   `cmd:"" help:"Draw the figures of a lesson for the screen, and film its stops."`
	Pack    packCommand    `cmd:"" help:"Make copies to take along: zip, e-book, handouts, worksheets, lesson plans, for learning systems."`
	Series  seriesCommand  `cmd:"" help:"Show how far each lesson has come: planned, without a video or a translation, numbers that moved."`
	Theme   themeCommand   `cmd:"" help:"List the files of the theme, or write one out to change it."`
	Measure measureCommand `cmd:"" help:"Work logged stops up, and set them beside the limits of the regulation."`
}

const about = `Gripleaf turns lessons on braking, written in Markdown, into a site in which every number is worked out.

Start with: gripleaf begin my-course && cd my-course && gripleaf preview`

// Exit codes.
const (
	fine   = 0
	faulty = 1 // the course has faults, or the work could not be done
	misuse = 2 // the command was used wrongly
)

// world is what a command may touch besides files.
type world struct {
	ctx            context.Context
	stdout, stderr io.Writer
	colour         bool // stderr is a terminal that shows colours
}

func main() {
	collectRarely()
	os.Exit(run(os.Args[1:]))
}

func run(args []string) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second signal ends what does not heed the first
	w := &world{ctx: ctx, stdout: os.Stdout, stderr: os.Stderr, colour: fault.Coloured(os.Stderr)}
	code := -1
	var c commands
	parser, err := kong.New(&c, kong.Name("gripleaf"), kong.Description(about), kong.Exit(func(n int) { code = n }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}), kong.Vars{"version": "gripleaf " + version.Name()})
	if err != nil {
		panic(err) // the commands' own declarations are wrong
	}
	if len(args) > 0 && args[0] == "help" { // as people ask; kong asks for --help
		args = append(slices.Clone(args[1:]), "--help")
	}
	parsed, err := parser.Parse(args)
	if code >= 0 { // the help was shown
		return code
	}
	if err != nil {
		fmt.Fprintf(w.stderr, "gripleaf: %v\nrun gripleaf --help, or gripleaf COMMAND --help\n", err)
		return misuse
	}
	return w.finish(parsed.Run(w))
}

// finish reports an error and gives the exit code.
func (w *world) finish(err error) int {
	var wrong usage
	switch {
	case err == nil:
		return fine
	case errors.As(err, &wrong):
		fmt.Fprintf(w.stderr, "gripleaf: %v\n", err)
		return misuse
	case errors.Is(err, errReported):
		return faulty
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(w.stderr, "gripleaf: stopped")
		return faulty
	}
	list := fault.From(err)
	if err := list.Print(w.stderr, w.colour); err != nil {
		return faulty
	}
	if len(list) > 1 {
		fmt.Fprintf(w.stderr, "%d faults\n", len(list))
	}
	return faulty
}

// errReported says that what is wrong has been printed already.
var errReported = errors.New("reported")

// usage is an error in how a command was used.
type usage string

func (u usage) Error() string { return string(u) }
