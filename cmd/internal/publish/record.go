package publish

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"strconv"
	"strings"
	"time"
)

// A record is what the last run knew about the trees when it ended. It only saves work: what it says is checked against
// the stamps of the files, and without it every file is read. It is text, a line for each entry:
//
//	file SHA256 INODE SIZE TIME PATH
//	both SHA256 INODE SIZE TIME PATH
//	kept - INODE SIZE TIME PATH
//	dir - INODE 0 TIME PATH
//	link - 0 0 0 PATH
//	spare - INODE 0 TIME PATH
//	end
//
// where both are files of ours that the spare tree has too, kept are files of others, and spare are folders of the
// spare tree.
type record struct {
	manifest Manifest
	tree     *tree // the site
	spare    *tree
}

const recordHead = "gripleaf record 1"

func newRecord() *record { return &record{tree: newTree(), spare: newTree()} }

// readRecord reads the record of a place; one that is missing or damaged knows nothing.
func readRecord(p place) *record {
	text, err := os.ReadFile(p.record)
	if err != nil {
		return newRecord()
	}
	r, err := parseRecord(text)
	if err != nil {
		return newRecord()
	}
	return r
}

var errRecord = errors.New("not a record")

func parseRecord(text []byte) (*record, error) {
	body, ok := bytes.CutPrefix(text, []byte(recordHead+"\n"))
	if !ok {
		return nil, errRecord
	}
	if body, ok = bytes.CutSuffix(body, []byte("\nend\n")); !ok {
		return nil, errRecord
	}
	r := newRecord()
	for line := range strings.SplitSeq(string(body), "\n") {
		if err := r.parseLine(line); err != nil {
			return nil, err
		}
	}
	return r, nil
}

func (r *record) parseLine(line string) error {
	var field [5]string
	for i := range field {
		var ok bool
		if field[i], line, ok = strings.Cut(line, " "); !ok {
			return errRecord
		}
	}
	p, err := strconv.Unquote(line)
	if err != nil || !fs.ValidPath(p) {
		return errRecord
	}
	inode, errInode := strconv.ParseUint(field[2], 10, 64)
	size, errSize := strconv.ParseInt(field[3], 10, 64)
	time, errTime := strconv.ParseInt(field[4], 10, 64)
	if err := errors.Join(errInode, errSize, errTime); err != nil {
		return err
	}
	return r.add(field[0], field[1], stamp{inode, size, time}, p)
}

// add adds what a line says.
func (r *record) add(kind, hexadecimal string, s stamp, p string) error {
	switch kind {
	case "file", "both":
		sum, err := hex.DecodeString(hexadecimal)
		if err != nil || len(sum) != sha256.Size {
			return errRecord
		}
		r.manifest = append(r.manifest, Entry{p, s.size, [sha256.Size]byte(sum)})
		if s.inode == 0 && s.time == 0 {
			s = stamp{}
		}
		r.tree.files[p] = s
		if kind == "both" {
			r.spare.files[p] = s
		}
	case "kept":
		r.tree.files[p] = s
	case "dir":
		r.tree.dirs[p] = s
	case "link":
		r.tree.links[p] = ""
	case "spare":
		r.spare.dirs[p] = s
	default:
		return errRecord
	}
	return nil
}

// write writes the record of trees that were seen at a time, with the entries of the manifest by path. It need not
// outlast a crash of the system, as it is checked against the files; it only must not be half of one.
func (r *record) write(p place, ours map[string]Entry, seen time.Time) error {
	temporary := p.record + ".new"
	file, err := os.Create(temporary)
	if err != nil {
		return err
	}
	_, err = file.Write(r.text(ours, seen))
	if err := errors.Join(err, file.Close()); err != nil {
		return errors.Join(err, os.Remove(temporary))
	}
	return os.Rename(temporary, p.record)
}

// text is the record with only the stamps that tell of every change later than seen.
func (r *record) text(ours map[string]Entry, seen time.Time) []byte {
	b := append(make([]byte, 0, 192*(len(r.manifest)+len(r.tree.dirs))), recordHead+"\n"...)
	line := func(kind string, sum []byte, s stamp, p string) {
		b = append(append(b, kind...), ' ')
		if sum == nil {
			b = append(b, "- "...)
		} else {
			b = append(hex.AppendEncode(b, sum), ' ')
		}
		b = append(strconv.AppendUint(b, s.inode, 10), ' ')
		b = append(strconv.AppendInt(b, s.size, 10), ' ')
		b = append(strconv.AppendInt(b, s.time, 10), ' ')
		b = append(strconv.AppendQuote(b, p), '\n')
	}
	for _, e := range r.manifest {
		kind, s := "file", r.tree.files[e.Path].lasting(seen)
		if _, both := r.spare.files[e.Path]; both {
			kind = "both"
		}
		s.size = e.Size
		line(kind, e.SHA256[:], s, e.Path)
	}
	for p, s := range r.tree.files {
		if _, is := ours[p]; !is {
			line("kept", nil, s.lasting(seen), p)
		}
	}
	for p, s := range r.tree.dirs {
		line("dir", nil, s.lasting(seen), p)
	}
	for p := range r.tree.links {
		line("link", nil, stamp{}, p)
	}
	for p, s := range r.spare.dirs {
		line("spare", nil, s.lasting(seen), p)
	}
	return append(b, "end\n"...)
}
