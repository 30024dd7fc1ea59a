package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"text/tabwriter"

	"example.org/gripleaf/cmd/internal/build"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/ledger"
	"example.org/gripleaf/cmd/internal/series"
)

type seriesCommand struct {
	Site string `arg:"" optional:"" default:"." help:"Folder of the site."`
	JSON bool   `name:"json" help:"Write the table for machines."`
}

func (seriesCommand) Help() string {
	return `A line for each lesson says how far it has come: planned (unfinished, and without a text yet), unfinished, finished; whether
it has a video; which languages lack it; and which of its numbers a proof has found to have moved since the video was
made. That day is "made" of the video in the lesson's metadata, or else the lesson's date.

The preview shows the same at /.gripleaf/series.

Example: gripleaf series`
}

// Run writes the table.
func (c *seriesCommand) Run(w *world) error {
	site, err := build.Find(c.Site)
	if err != nil {
		return err
	}
	b := build.Builder{Site: site, Unfinished: true, Cache: cache.Open(), Command: "gripleaf series"}
	defer b.Close()
	result, faults := b.Check(w.ctx, nil)
	if result == nil {
		return faults
	}
	before, err := ledger.Read(site)
	if err != nil {
		return err
	}
	lessons := series.Of(result.Course, before)
	if c.JSON {
		return json.NewEncoder(w.stdout).Encode(lessons)
	}
	t := tabwriter.NewWriter(w.stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "lesson\tstate\tvideo\tnot translated\tmoved since the video")
	for _, l := range lessons {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\n", l.File, l.State, videoOf(&l), strings.Join(l.Untranslated, " "), movedOf(&l))
	}
	return t.Flush()
}

func videoOf(l *series.Lesson) string {
	if !l.Video {
		return "none"
	}
	return strings.TrimSpace("made " + l.Made)
}

func movedOf(l *series.Lesson) string {
	var list []string
	for _, n := range l.Moved {
		list = append(list, n.From+" → "+n.To)
	}
	return strings.Join(list, ", ")
}
