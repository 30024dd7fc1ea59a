// Package search makes the index by which readers search a site without a server: scripts that a page loads as it
// needs them, so that it works from a folder opened with a double click as well.
//
// An index is cut into parts, each of some lessons, so that it grows with the site and a change touches one part; and a
// part into shards. terms-P-N.js holds the words of part P that begin with one letter, each with the passages it stands
// in; passages-P-N.js holds some passages' texts; shards.js says which letters each part has. A search loads the shards
// of its words' first letters and the passages that it shows, however large the site.
package search

import (
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
	var pages [][]Passage
	for _, page := range slices.Sorted(maps.Keys(x.pages)) {
		pages = append(pages, x.pages[page])
	}
	all := slices.Concat(pages...)
	found := make(words)
	for i, p := range all {
		for w := range cut(p.Text) {
			found.add(w, i, 1)
		}
		for w := range cut(p.Title) {
			found.add(w, i, inTitle)
		}
	}
	files := found.files(part)
	for i := 0; i*block < len(all); i++ {
		files = append(files, passages(part, i, all[i*block:min(len(all), (i+1)*block)]))
	}
	return files
}

// words are those of an index, each with where it stands: passage, weight, passage, weight, …
type words map[string]*[]int

// add notes that a word stands in a passage, with what that weighs. Passages come in order.
func (f words) add(word string, passage, weight int) {
	places := f[word]
	if places == nil {
		places = new([]int)
		f[strings.Clone(word)] = places // not the whole text with the word
	}
	if n := len(*places); n > 0 && (*places)[n-2] == passage {
		(*places)[n-1] += weight
		return
	}
	*places = append(*places, passage, weight)
}

// files writes a file for each first letter.
func (f words) files(part int) []File {
	letters := make(map[rune]words)
	for word, places := range f {
		letter, _ := utf8.DecodeRuneInString(word)
		if letters[letter] == nil {
			letters[letter] = make(words)
		}
		letters[letter][word] = places
	}
	var files []File
	for _, letter := range slices.Sorted(maps.Keys(letters)) {
		files = append(files, script(fmt.Sprintf("terms-%d-%d", part, letter), letters[letter]))
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
	return script("shards", letters)
}

// passages is the file of a block of passages.
func passages(part, number int, list []Passage) File {
	rows := make([][4]string, len(list))
	for i, p := range list {
		rows[i] = [4]string{p.Path, p.Title, string(p.Kind), p.Text}
	}
	return script(fmt.Sprintf("passages-%d-%d", part, number), rows)
}

// script is a file that hands data to its page.
func script(name string, data any) File {
	text, err := json.Marshal(data)
	if err != nil {
		panic(err) // texts and numbers
	}
	return File{name + ".js", fmt.Appendf(nil, "gripleafFound(%q,%s)", name, text)}
}

// longest bounds a word, in letters: nobody types a longer one.
const longest = 40

// cut yields the words of a text as they are searched: folded, a letter or digit at least. It folds word by word, as
// most are plain and only get small letters.
func cut(text string) iter.Seq[string] {
	return func(yield func(string) bool) {
		for word := range strings.FieldsFuncSeq(text, between) {
			if ascii(word) {
				if len(word) <= longest && !yield(strings.ToLower(word)) {
					return
				}
				continue
			}
			for w := range strings.FieldsFuncSeq(Fold(word), between) {
				if isWord(w) && !yield(w) {
					return
				}
			}
		}
	}
}

// isWord reports whether what stands between is searched: it begins with no mark and is not too long.
func isWord(w string) bool {
	first, _ := utf8.DecodeRuneInString(w)
	return !unicode.IsMark(first) && (len(w) <= longest || utf8.RuneCountInString(w) <= longest)
}

// between reports whether a character stands between words and not in one.
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
