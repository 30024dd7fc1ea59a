package publish

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// ManifestName is the path of the manifest in a site.
const ManifestName = "manifest.json"

// manifestFormat tells a manifest of ours from another file of that name.
const (
	manifestFormat = "gripleaf-manifest-1"
	manifestHead   = "{\n\"format\": \"" + manifestFormat + "\",\n"
)

// A Manifest lists all files of a site but the manifest itself, assets before the pages that use them and by path
// within each: the order in which to upload them, so that no page ever asks for what is not there yet.
type Manifest []Entry

// An Entry is one file of a site.
type Entry struct {
	Path   string // relative to the site, with slashes
	Size   int64  // in bytes
	SHA256 [sha256.Size]byte
}

// page reports whether path is a page or a compressed form of one, which other files must be there for.
func page(p string) bool {
	return strings.HasSuffix(p, ".html") || strings.HasSuffix(p, ".html.br") || strings.HasSuffix(p, ".html.gz")
}

// compare orders entries for uploading.
func compare(a, b Entry) int {
	if p, q := page(a.Path), page(b.Path); p != q {
		if p {
			return 1
		}
		return -1
	}
	return cmp.Compare(a.Path, b.Path)
}

func (m Manifest) sort() { slices.SortFunc(m, compare) }

// byPath returns the entries of m under their paths.
func (m Manifest) byPath() map[string]Entry {
	entries := make(map[string]Entry, len(m))
	for _, e := range m {
		entries[e.Path] = e
	}
	return entries
}

// sorted returns the entries of m as they are sorted.
func (m Manifest) sorted() Manifest {
	if !slices.IsSortedFunc(m, compare) {
		m = slices.Clone(m)
		m.sort()
	}
	return m
}

// An entryJSON is how an entry is read, and the form in which it is written.
type entryJSON struct {
	Path   string `json:"path"`
	Size   int64  `json:"size"`
	SHA256 string `json:"sha256"`
}

// Write writes m as JSON, one file a line.
func (m Manifest) Write(w io.Writer) error {
	b := append(make([]byte, 0, 160*len(m)), manifestHead+"\"files\": ["...)
	for i, e := range m {
		if i > 0 {
			b = append(b, ',')
		}
		path, err := json.Marshal(e.Path)
		if err != nil {
			return err
		}
		b = append(append(b, "\n{\"path\":"...), path...)
		b = strconv.AppendInt(append(b, ",\"size\":"...), e.Size, 10)
		b = hex.AppendEncode(append(b, ",\"sha256\":\""...), e.SHA256[:])
		b = append(b, "\"}"...)
	}
	_, err := w.Write(append(b, "\n]\n}\n"...))
	return err
}

// ReadManifest reads what Write has written.
func ReadManifest(r io.Reader) (Manifest, error) {
	var file struct {
		Format string      `json:"format"`
		Files  []entryJSON `json:"files"`
	}
	if err := json.NewDecoder(r).Decode(&file); err != nil {
		return nil, err
	}
	if file.Format != manifestFormat {
		return nil, fmt.Errorf("not a manifest of a site: the format is %q, not %q", file.Format, manifestFormat)
	}
	m := make(Manifest, len(file.Files))
	seen := make(map[string]bool, len(file.Files))
	for i, f := range file.Files {
		sum, err := hex.DecodeString(f.SHA256)
		switch {
		case err != nil || len(sum) != sha256.Size:
			return nil, fmt.Errorf("%s: not a SHA-256 in hexadecimal: %q", f.Path, f.SHA256)
		case f.Size < 0:
			return nil, fmt.Errorf("%s: the size is negative", f.Path)
		case seen[f.Path]:
			return nil, fmt.Errorf("%s: listed twice", f.Path)
		}
		if err := checkPath(f.Path); err != nil {
			return nil, fmt.Errorf("%s: %w", f.Path, err)
		}
		seen[f.Path] = true
		m[i] = Entry{f.Path, f.Size, [sha256.Size]byte(sum)}
	}
	return m, nil
}

// A Kind says in which way a file differs between two sites.
type Kind string

// The kinds of changes.
const (
	Added   Kind = "added"
	Changed Kind = "changed"
	Removed Kind = "removed"
)

// A Change is one file that differs between two sites.
type Change struct {
	Kind Kind   `json:"kind"`
	Path string `json:"path"`
	Size int64  `json:"size"` // of the new file, 0 if removed
}

// Changes lists what differs between two sites, in an order that is safe to carry out on a server: assets that are new
// or changed, then pages, then the pages that are gone, then the assets that are gone.
func Changes(before, after Manifest) []Change {
	var changes []Change
	old := before.byPath()
	for _, e := range after.sorted() {
		switch was, ok := old[e.Path]; {
		case !ok:
			changes = append(changes, Change{Added, e.Path, e.Size})
		case was != e:
			changes = append(changes, Change{Changed, e.Path, e.Size})
		}
		delete(old, e.Path)
	}
	if len(old) == 0 {
		return changes
	}
	for _, e := range slices.Backward(before.sorted()) {
		if _, gone := old[e.Path]; gone {
			changes = append(changes, Change{Removed, e.Path, 0})
		}
	}
	return changes
}

// checkPath returns an error if p cannot be the path of an output: it must stay in the site, be a file name on every
// system and not be the manifest.
func checkPath(p string) error {
	if p == ManifestName {
		return fmt.Errorf("this path belongs to the list of all files")
	}
	for name := range strings.SplitSeq(p, "/") {
		switch {
		case name == "" || name == "." || name == "..":
			return fmt.Errorf("a path must be relative and have no empty, . or .. parts")
		case len(name) > 255:
			return fmt.Errorf("a file name must not be longer than 255 bytes")
		case strings.ContainsAny(name, `<>:"\|?*`) || strings.ContainsFunc(name, unicode.IsControl):
			return fmt.Errorf(`a file name must have no control characters and none of <>:"\|?*`)
		case strings.HasSuffix(name, ".") || strings.HasSuffix(name, " "):
			return fmt.Errorf("a file name must not end with a full stop or a space")
		}
	}
	return nil
}
