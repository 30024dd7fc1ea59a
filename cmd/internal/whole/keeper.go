package whole

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"example.org/gripleaf/cmd/internal/fault"
)

// Keeper writes files whole, and keeps those that somebody else has written or changed since: what it has written
// itself it knows again. A nil Keeper keeps nothing.
type Keeper struct {
	Memory    Memory // of what was written
	Overwrite bool   // keep nothing
}

// Memory keeps data by kind and name, as a cache does.
type Memory interface {
	Get(kind, name string) ([]byte, bool)
	Put(kind, name string, data []byte) error
}

const written = "written"

// Write writes a file, or gives a fault.Fault that says that it was kept.
func (k *Keeper) Write(path string, write func(io.Writer) error) error {
	if k == nil {
		return Write(path, write)
	}
	return replace(path, write, func(sum [sha256.Size]byte) error {
		if err := k.may(path, sum); err != nil {
			return err
		}
		// Before the file takes its name, so that a run that is killed there leaves nothing that the next one takes for
		// somebody else's. If it cannot be kept, the next run asks before it replaces the file.
		_ = k.Memory.Put(written, name(path, sum), nil)
		return nil
	})
}

// Bytes writes a file that is at hand.
func (k *Keeper) Bytes(path string, data []byte) error { return k.Write(path, contents(data)) }

// may says whether a file may be replaced by one of this sum.
func (k *Keeper) may(path string, sum [sha256.Size]byte) error {
	if k.Overwrite {
		return nil
	}
	there, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	defer there.Close()
	h := sha256.New()
	if _, err := io.Copy(h, there); err != nil {
		return err
	}
	now := [sha256.Size]byte(h.Sum(nil))
	if _, known := k.Memory.Get(written, name(path, now)); known || now == sum {
		return nil
	}
	return fault.Fault{Code: "edited", File: path, Text: "this is kept: somebody has changed it, or it was there before",
		Hint: "move it out of the way, or write over it with --overwrite"}
}

// name is that under which the memory knows a path with these contents.
func name(path string, sum [sha256.Size]byte) string {
	if full, err := filepath.Abs(path); err == nil {
		path = full
	}
	return fmt.Sprintf("%x", sha256.Sum256(append(sum[:], path...)))
}
