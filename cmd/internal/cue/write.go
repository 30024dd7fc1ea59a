package cue

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/still"
)

// A File is one file that Write has written, and what it is for.
type File struct{ Path, About string }

// Write writes everything into a folder: description.txt, comment.txt for a corrected lesson, chapters.vtt,
// captions-draft.vtt, moments.csv, script.html, script.md, script.txt, thumbnail.png, and a code for each moment as SVG
// and PNG, drawn and kept by a pen. Nothing is written when the description's limit cannot be kept. What is kept is in
// the error, and all else is written.
func (q *Cue) Write(dir string, limit int, pen *still.Pen) ([]File, error) {
	description, err := q.Description(limit)
	if err != nil {
		return nil, fault.List{{Code: "limit", Text: err.Error(), Hint: "allow more characters"}}
	}
	var files []File
	var errs []error
	add := func(name, about string, write func(io.Writer) error) {
		path := filepath.Join(dir, name)
		if err := pen.Keeper.Write(path, write); err != nil {
			errs = append(errs, err)
			return
		}
		files = append(files, File{path, about})
	}
	text := func(text string) func(io.Writer) error {
		return func(w io.Writer) error {
			_, err := io.WriteString(w, text)
			return err
		}
	}
	add("description.txt", "the text under the video", text(description))
	if comment := q.Comment(); comment != "" {
		add("comment.txt", "a text to pin below the video", text(comment))
	}
	add("chapters.vtt", "the moments as WebVTT chapters", q.WriteChapters)
	add("captions-draft.vtt", "what is said as WebVTT captions, to be set right by ear", q.WriteCaptions)
	add("moments.csv", "the moments as a table", q.WriteTable)
	add("script.html", "the script to speak from", q.WriteScriptHTML)
	add("script.md", "the same in Markdown", q.WriteScriptMarkdown)
	add("script.txt", "the same as text", q.WriteScriptText)
	picture := still.Thumbnail{Title: q.Title, Number: q.Number, Label: q.Label, RTL: q.language.RightToLeft}
	add("thumbnail.png", "the title and the one number", func(w io.Writer) error { return picture.WritePNG(w, pen) })
	for i := range q.Moments {
		m := &q.Moments[i]
		code, cannot := m.Code()
		if cannot != nil {
			return files, cannot
		}
		name := fmt.Sprintf("code-%02d-%s", i+1, strings.Map(inFileName, m.ID))
		add(name+".svg", m.Address, func(w io.Writer) error { return code.WriteSVG(w, pen.Fonts) })
		add(name+".png", m.Address, func(w io.Writer) error { return code.WritePNG(w, pen.Fonts) })
	}
	return files, errors.Join(errs...)
}

// inFileName leaves out what a file's name cannot hold everywhere.
func inFileName(r rune) rune {
	if r < ' ' || strings.ContainsRune(`/\:*?"<>|`, r) {
		return '-'
	}
	return r
}
