// Package search makes the index by which readers search a site without a server: scripts that a page loads as it
// needs them, so that it works from a folder opened with a double click as well.
//
// An index is cut into parts, each of some lessons, so that it grows with the site and a change touches one part; and a
// part into shards. terms-P-N.js holds the words of part P that begin with one letter, each with the passages it stands
// in; passages-P-N.js holds some passages' texts; shards.js says which letters each part has. A search loads the shards
// of its words' first letters and the passages that it shows, however large the site.
package search

import (
	"bytes"
	"encoding/json"
	"fmt"
	"iter"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Kind says what a passage belongs to.
type Kind string

// The kinds of pages that are searched.
const (
	Lesson     Kind = "lesson"
	Term       Kind = "term"
	Calculator Kind = "calculator"
)

// Passage is a piece of a page that a result can show and lead to.
type Passage struct {
	Path  string // from the site's root, with the anchor
	Title string // of the page, and of the section behind it
	Kind  Kind
	Text  string
}

// Index collects the passages of one part. Several goroutines may add to it.
type Index struct {
	mu    sync.Mutex
	pages map[string][]Passage // by page, so that the order in which pages come does not matter
}

// Add gives the index the passages of a page; what it had of that page is replaced.
func (x *Index) Add(page string, passages []Passage) {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.pages == nil {
		x.pages = make(map[string][]Passage)
	}
	x.pages[page] = passages
}

// File is one shard.
type File struct {
	Name string
	Data []byte
}

// block is how many passages share a file.
const block = 40

// inTitle is how much more a word counts in a title than in a text.
const inTitle = 8

// Files writes the index as a part of a site's. The same passages give the same bytes.
func (x *Index) Files(part int) []File {
	x.mu.Lock()
	defer x.mu.Unlock()
	var all []Passage
	for _, page := range slices.Sorted(maps.Keys(x.pages)) {
		all = append(all, x.pages[page]...)
	}
	found := make(places)
	for i, p := range all {
		for w := range words(p.Text) {
			found.add(w, i, 1)
		}
		for w := range words(p.Title) {
			found.add(w, i, inTitle)
		}
	}
	files := found.files(part)
	for i := 0; i < len(all); i += block {
		files = append(files, shard(fmt.Sprintf("passages-%d-%d", part, i/block), rows(all[i:min(len(all), i+block)])))
	}
	return files
}

// places are the passages that each word stands in, in order, each with its weight behind it.
type places map[string]*[]int

// add notes that a word stands in a passage, the last so far, with what that weighs.
func (p places) add(word string, passage, weight int) {
	at := p[word]
	if at == nil {
		at = new([]int)
		p[strings.Clone(word)] = at // not the whole text with it
	}
	if n := len(*at); n > 0 && (*at)[n-2] == passage {
		(*at)[n-1] += weight
	} else {
		*at = append(*at, passage, weight)
	}
}

// files writes a file for each first letter: word -> passage, weight, passage, weight, …
func (p places) files(part int) []File {
	all := slices.Sorted(maps.Keys(p))
	var files []File
	for len(all) > 0 {
		letter, _ := utf8.DecodeRuneInString(all[0])
		n := slices.IndexFunc(all, func(w string) bool { first, _ := utf8.DecodeRuneInString(w); return first != letter })
		if n < 0 {
			n = len(all)
		}
		name := fmt.Sprintf("terms-%d-%d", part, letter)
		data := fmt.Appendf(nil, "gripleafFound(%q,{", name)
		for i, w := range all[:n] {
			if i > 0 {
				data = append(data, ',')
			}
			data = append(data, '"')
			data = append(data, w...) // letters, digits and marks
			data = append(data, `":[`...)
			for j, v := range *p[w] {
				if j > 0 {
					data = append(data, ',')
				}
				data = strconv.AppendInt(data, int64(v), 10)
			}
			data = append(data, ']')
		}
		files = append(files, File{name + ".js", append(data, "})"...)})
		all = all[n:]
	}
	return files
}

// Shards is the file that says which letters each part has; names are those of each part's files.
func Shards(names [][]string) File {
	letters := make([][]int, len(names))
	for part := range names {
		letters[part] = []int{}
		for _, name := range names[part] {
			var letter int
			if _, err := fmt.Sscanf(name, "terms-"+strconv.Itoa(part)+"-%d.js", &letter); err == nil {
				letters[part] = append(letters[part], letter)
			}
		}
	}
	return shard("shards", letters)
}

func rows(passages []Passage) [][4]string {
	list := make([][4]string, len(passages))
	for i, p := range passages {
		list[i] = [4]string{p.Path, p.Title, string(p.Kind), p.Text}
	}
	return list
}

// ReadPassages gives the passages in a file passages-P-N.js, by page, and reports whether it is one.
func ReadPassages(data []byte) (map[string][]Passage, bool) {
	_, data, found := bytes.Cut(data, []byte(","))
	data, whole := bytes.CutSuffix(data, []byte(")"))
	var list [][4]string
	if !found || !whole || json.Unmarshal(data, &list) != nil {
		return nil, false
	}
	pages := make(map[string][]Passage)
	for _, row := range list {
		page, _, _ := strings.Cut(row[0], "#")
		pages[page] = append(pages[page], Passage{row[0], row[1], Kind(row[2]), row[3]})
	}
	return pages, true
}

// shard is a script that hands its data to the page.
func shard(name string, data any) File {
	text, err := json.Marshal(data)
	if err != nil {
		panic(err) // texts and numbers
	}
	return File{name + ".js", fmt.Appendf(nil, "gripleafFound(%q,%s)", name, text)}
}

// longest bounds a word, in letters; what is longer is no word that anybody types.
const longest = 40

// Words cuts a text into words as they are searched: folded, a letter or digit at least.
func Words(text string) []string { return slices.Collect(words(text)) }

func words(text string) iter.Seq[string] {
	text = Fold(text)
	if ascii(text) {
		return asciiWords(text)
	}
	return func(yield func(string) bool) {
		for w := range strings.FieldsFuncSeq(text, between) {
			first, _ := utf8.DecodeRuneInString(w)
			if unicode.IsMark(first) || len(w) > longest && utf8.RuneCountInString(w) > longest {
				continue
			}
			if !yield(w) {
				return
			}
		}
	}
}

// asciiWords is words of a text without any but ASCII characters, which most texts are.
func asciiWords(text string) iter.Seq[string] {
	return func(yield func(string) bool) {
		for at := 0; at < len(text); {
			if !inWord[text[at]] {
				at++
				continue
			}
			end := at + 1
			for end < len(text) && inWord[text[end]] {
				end++
			}
			if end-at <= longest && !yield(text[at:end]) {
				return
			}
			at = end
		}
	}
}

// inWord tells the ASCII characters of words.
var inWord = func() (in [utf8.RuneSelf]bool) {
	for c := range in {
		in[c] = !between(rune(c))
	}
	return in
}()

// between reports whether a character is of no word.
func between(r rune) bool {
	if r < utf8.RuneSelf {
		return !('a' <= r && r <= 'z' || '0' <= r && r <= '9' || 'A' <= r && r <= 'Z')
	}
	return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r)
}

// Fold makes words equal that readers take for equal: lower case, without accents, vowel points and lengthening
// strokes, ß as ss. The page's script does the same to what is typed.
func Fold(text string) string {
	if ascii(text) {
		return strings.ToLower(text)
	}
	var b strings.Builder
	for _, r := range norm.NFD.String(strings.ToValidUTF8(text, " ")) {
		switch {
		case '\u0300' <= r && r <= '\u036f', '\u064b' <= r && r <= '\u065f', r == '\u0670', r == '\u0640':
		case r == 'ß' || r == 'ẞ':
			b.WriteString("ss")
		default:
			b.WriteRune(unicode.ToLower(r))
		}
	}
	return norm.NFC.String(b.String())
}

func ascii(text string) bool {
	for i := range len(text) {
		if text[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}
