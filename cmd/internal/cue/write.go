package cue

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/still"
	"example.org/gripleaf/cmd/internal/whole"
)

// A File is one file that Write has written, and what it is for.
type File struct{ Path, About string }

// Write writes everything into a folder: description.txt, comment.txt for a corrected lesson, chapters.vtt,
// captions-draft.vtt, moments.csv, script.html, script.md, script.txt, and a code for each moment as SVG and PNG. Nothing
// is written when the description's limit cannot be kept.
func (q *Cue) Write(dir string, limit int, fonts *still.Fonts) ([]File, error) {
	description, err := q.Description(limit)
	if err != nil {
		return nil, fault.List{limitFault(err)}
	}
	var files []File
	add := func(name, about string, write func(io.Writer) error) {
		if err == nil {
			path := filepath.Join(dir, name)
			err = whole.Write(path, write)
			files = append(files, File{path, about})
		}
	}
	add("description.txt", "the text under the video", func(w io.Writer) error {
		_, err := io.WriteString(w, description)
		return err
	})
	if comment := q.Comment(); comment != "" {
		add("comment.txt", "a text to pin below the video", func(w io.Writer) error {
			_, err := io.WriteString(w, comment)
			return err
		})
	}
	add("chapters.vtt", "the moments as WebVTT chapters", q.WriteChapters)
	add("captions-draft.vtt", "what is said as WebVTT captions, to be set right by ear", q.WriteCaptions)
	add("moments.csv", "the moments as a table", q.WriteTable)
	add("script.html", "the script to speak from", q.WriteScriptHTML)
	add("script.md", "the same in Markdown", q.WriteScriptMarkdown)
	add("script.txt", "the same as text", q.WriteScriptText)
	for i := range q.Moments {
		m := &q.Moments[i]
		code, cannot := m.Code()
		if cannot != nil {
			return files, cannot
		}
		name := fmt.Sprintf("code-%02d-%s", i+1, strings.Map(inFileName, m.ID))
		add(name+".svg", m.Address, func(w io.Writer) error { return code.WriteSVG(w, fonts) })
		add(name+".png", m.Address, func(w io.Writer) error { return code.WritePNG(w, fonts) })
	}
	return files, err
}

// inFileName leaves out what a file's name cannot hold everywhere.
func inFileName(r rune) rune {
	if r < ' ' || strings.ContainsRune(`/\:*?"<>|`, r) {
		return '-'
	}
	return r
}
