// Package whole writes files that are there whole or not at all, whatever happens on the way, and keeps what somebody
// else has written.
package whole

import (
	"bufio"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Write writes a file by way of a part beside it that takes its name at the end. Folders on the way are made. When
// write fails, the file stays as it was.
func Write(path string, write func(io.Writer) error) error {
	return replace(path, write, func([sha256.Size]byte) error { return nil })
}

// replace is Write, if a look at the sum of what was written finds that the file may be replaced.
func replace(path string, write func(io.Writer) error, may func(sum [sha256.Size]byte) error) error {
	return put(path, write, may, func(part string) error { return os.Rename(part, path) })
}

// put is replace, with a way of giving the part its name.
func put(path string, write func(io.Writer) error, may func(sum [sha256.Size]byte) error, name func(part string) error) error {
	folder := filepath.Dir(path)
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	clear(folder, partPrefix)
	part, err := os.CreateTemp(folder, mine(partPrefix))
	if err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	sum := sha256.New()
	b := bufio.NewWriter(io.MultiWriter(part, sum))
	err = errors.Join(write(b), b.Flush(), part.Chmod(0o644), part.Close())
	if err == nil {
		err = may([sha256.Size]byte(sum.Sum(nil)))
	}
	if err == nil {
		err = name(part.Name())
	}
	if err != nil {
		os.Remove(part.Name())
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return nil
}

// Bytes writes a file that is at hand.
func Bytes(path string, data []byte) error { return Write(path, contents(data)) }

// Create writes a file that must not be there yet: fs.ErrExist if it is.
func Create(path string, data []byte) error {
	return put(path, contents(data), func([sha256.Size]byte) error { return nil }, func(part string) error {
		err := os.Link(part, path) // which never takes the place of anything
		if err == nil || errors.Is(err, fs.ErrExist) {
			return errors.Join(err, os.Remove(part))
		}
		if _, err := os.Lstat(path); err == nil { // on a file system without links
			return fs.ErrExist
		}
		return os.Rename(part, path)
	})
}

func contents(data []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	}
}
