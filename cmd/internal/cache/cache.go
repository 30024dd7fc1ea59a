// Package cache keeps what was expensive to make, under names that are hashes of everything it was made from. The
// folder may be deleted at any time, and any number of builders may use it at once: a file appears whole or not at all.
package cache

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"sync"

	"example.org/gripleaf/cmd/internal/whole"
)

// Cache is a folder. The zero Cache keeps nothing.
type Cache struct{ Folder string }

// Open makes the user's cache folder of this program. Where the system has none the cache keeps nothing.
func Open() Cache {
	base, err := os.UserCacheDir()
	if err != nil {
		return Cache{}
	}
	return Cache{filepath.Join(base, "gripleaf")}
}

// Key collects what something is made from.
type Key struct{ text *[]byte }

// NewKey begins a key for one kind of thing.
func NewKey(kind string) Key {
	text := make([]byte, 0, 1<<10)
	k := Key{&text}
	k.Text(kind)
	return k
}

// Text adds texts. Two texts are not the same as one that is both together.
func (k Key) Text(texts ...string) {
	for _, s := range texts {
		*k.text = binary.AppendUvarint(*k.text, uint64(len(s)))
		*k.text = append(*k.text, s...)
	}
}

// Files adds all files below a folder of files that the filter takes, by name and content.
func (k Key) Files(files fs.FS, folder string, take func(name string) bool) error {
	return fs.WalkDir(files, folder, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !take(name) {
			return err
		}
		text, err := fs.ReadFile(files, name)
		k.Text(name, string(text))
		return err
	})
}

// String is the key as a name.
func (k Key) String() string {
	sum := sha256.Sum256(*k.text)
	return hex.EncodeToString(sum[:16])
}

// Path is where a thing of a kind would be kept; empty if nothing is.
func (c Cache) Path(kind, name string) string {
	if c.Folder == "" {
		return ""
	}
	return filepath.Join(c.Folder, kind, name)
}

// Get reads what is kept, if it is what was put: a disk may have changed it, and nobody would notice on a page.
func (c Cache) Get(kind, name string) ([]byte, bool) {
	if c.Folder == "" {
		return nil, false
	}
	data, err := os.ReadFile(c.Path(kind, name))
	if err != nil || len(data) < sha256.Size {
		return nil, false
	}
	sum, data := data[:sha256.Size], data[sha256.Size:]
	if want := sha256.Sum256(data); !bytes.Equal(sum, want[:]) {
		return nil, false
	}
	return data, true
}

// Put keeps data behind its SHA-256. An error means only that it will have to be made again.
func (c Cache) Put(kind, name string, data []byte) error {
	if c.Folder == "" {
		return nil
	}
	return whole.Write(c.Path(kind, name), func(w io.Writer) error {
		sum := sha256.Sum256(data)
		_, err := w.Write(sum[:])
		_, e := w.Write(data)
		return errors.Join(err, e)
	})
}

// Program names the running program, so that another one does not take what it has made for its own.
var Program = sync.OnceValue(func() string {
	name, err := os.Executable()
	if err != nil {
		return ""
	}
	info, err := os.Stat(name)
	if err != nil {
		return ""
	}
	return strconv.FormatInt(info.Size(), 36) + "." + strconv.FormatInt(info.ModTime().UnixNano(), 36)
})
