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
	found := &words{all: make(map[string]*places)}
	for i, p := range all {
		found.begin(i)
		for w := range cut(p.Text) {
			found.add(w, 1)
		}
		for w := range cut(p.Title) {
			found.add(w, inTitle)
		}
	}
	files := found.files(part)
	for i := 0; i*block < len(all); i++ {
		files = append(files, passages(part, i, all[i*block:min(len(all), (i+1)*block)]))
	}
	return files
}

// words are those of an index, each with where it stands. Most words of a text have just been there, and are found
// sooner among the latest ones than in the map.
type words struct {
	all    map[string]*places
	lately [1 << 10]*places

	passage int    // the one whose words are added
	digits  []byte // its number as it is written
}

// places are the passages that a word stands in, in order.
type places struct {
	word            string
	written         []byte // all but the last weight
	passage, weight int    // the last
}

// begin begins a passage.
func (f *words) begin(passage int) {
	f.passage, f.digits = passage, append(strconv.AppendInt(f.digits[:0], int64(passage), 10), ',')
}

// add notes that a word stands in the passage, with what that weighs.
func (f *words) add(word string, weight int) {
	seen := &f.lately[(uint(word[0])*31+uint(word[len(word)/2])*7+uint(word[len(word)-1])+uint(len(word))*197)%uint(len(f.lately))]
	p := *seen
	if p == nil || p.word != word {
		p = f.find(word)
		*seen = p
	}
	if p.passage != f.passage {
		p.written = append(append(p.close(p.written), ','), f.digits...)
		p.passage, p.weight = f.passage, 0
	}
	p.weight += weight
}

// find gives the places of a word.
func (f *words) find(word string) *places {
	p := f.all[word]
	if p == nil {
		p = &places{word: strings.Clone(word), passage: f.passage, written: slices.Clone(f.digits)} // not the whole text with the word
		f.all[p.word] = p
	}
	return p
}

// close appends the last weight.
func (p *places) close(b []byte) []byte { return strconv.AppendInt(b, int64(p.weight), 10) }

// files writes a file for each first letter: word -> passage, weight, passage, weight, …
func (f *words) files(part int) []File {
	all := slices.Sorted(maps.Keys(f.all))
	var files []File
	for len(all) > 0 {
		letter, _ := utf8.DecodeRuneInString(all[0])
		n, size := 0, 0
		for ; n < len(all) && strings.HasPrefix(all[n], string(letter)); n++ {
			size += len(all[n]) + len(f.all[all[n]].written) + 20
		}
		files = append(files, script(fmt.Sprintf("terms-%d-%d", part, letter), size, func(b []byte) []byte { return f.object(b, all[:n]) }))
		all = all[n:]
	}
	return files
}

// object appends some of the words as JSON.
func (f *words) object(b []byte, some []string) []byte {
	b = append(b, '{')
	for i, w := range some {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(append(append(b, '"'), w...), `":[`...) // letters, digits and marks
		b = append(f.all[w].close(append(b, f.all[w].written...)), ']')
	}
	return append(b, '}')
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
	text, err := json.Marshal(letters)
	if err != nil {
		panic(err) // numbers
	}
	return script("shards", len(text), func(b []byte) []byte { return append(b, text...) })
}

// passages is the file of a block of passages.
func passages(part, number int, list []Passage) File {
	size := 0
	for _, p := range list {
		size += len(p.Path) + len(p.Title) + len(p.Kind) + len(p.Text) + 14
	}
	return script(fmt.Sprintf("passages-%d-%d", part, number), size, func(b []byte) []byte {
		b = append(b, '[')
		for i, p := range list {
			if i > 0 {
				b = append(b, ',')
			}
			b = appendString(append(b, '['), p.Path)
			b = appendString(append(b, ','), p.Title)
			b = appendString(append(b, ','), string(p.Kind))
			b = append(appendString(append(b, ','), p.Text), ']')
		}
		return append(b, ']')
	})
}

// script is a file that hands its page the data that write appends, about size bytes.
func script(name string, size int, write func([]byte) []byte) File {
	data := fmt.Appendf(make([]byte, 0, size+50), "gripleafFound(%q,", name)
	return File{name + ".js", append(write(data), ')')}
}

// appendString appends a string as encoding/json writes it. Most have nothing to escape.
func appendString(b []byte, s string) []byte {
	if !escapes(s) {
		return append(append(append(b, '"'), s...), '"')
	}
	text, err := json.Marshal(s)
	if err != nil {
		panic(err) // a string
	}
	return append(b, text...)
}

// escapes reports whether a string has anything that encoding/json does not write as it is.
func escapes(s string) bool {
	var all byte
	for i := range len(s) {
		if escaped[s[i]] {
			return true
		}
		all |= s[i]
	}
	return all >= utf8.RuneSelf && (!utf8.ValidString(s) || strings.Contains(s, "\u2028") || strings.Contains(s, "\u2029"))
}

// escaped tells the ASCII characters that encoding/json escapes.
var escaped = func() (is [256]bool) {
	for c := range byte(' ') {
		is[c] = true
	}
	for _, c := range `"\<>&` {
		is[c] = true
	}
	return is
}()

// longest bounds a word, in letters; what is longer is no word that anybody types.
const longest = 40

// cut yields the words of a text as they are searched: folded, a letter or digit at least. It folds word by word, as most are small ASCII letters already and need nothing; no
// character is folded otherwise for an ASCII one beside it, except by accents, which go.
func cut(text string) iter.Seq[string] {
	return func(yield func(string) bool) {
		for at := 0; at < len(text); at++ {
			start, has := at, none
			for ; at < len(text) && holds[text[at]] != none; at++ {
				has |= holds[text[at]]
			}
			w := text[start:at]
			if has&^small != 0 {
				w = Fold(w)
			}
			if has&foreign != 0 {
				for w := range strings.FieldsFuncSeq(w, between) {
					if isWord(w) && !yield(w) {
						return
					}
				}
			} else if has != none && len(w) <= longest && !yield(w) {
				return
			}
		}
	}
}

// isWord reports whether what stands between is searched: it begins with no mark and is not too long.
func isWord(w string) bool {
	first, _ := utf8.DecodeRuneInString(w)
	return !unicode.IsMark(first) && (len(w) <= longest || utf8.RuneCountInString(w) <= longest)
}

// What a byte holds of words.
const (
	none    byte = 0
	small   byte = 1 // a character that folds to itself
	capital byte = 2
	foreign byte = 4 // part of a character that is not ASCII, of a word or between words
)

var holds = func() (of [256]byte) {
	for c := range of {
		switch r := rune(c); {
		case r >= utf8.RuneSelf:
			of[c] = foreign
		case unicode.IsUpper(r):
			of[c] = capital
		case !between(r):
			of[c] = small
		}
	}
	return of
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
