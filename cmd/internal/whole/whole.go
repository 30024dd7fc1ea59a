// Package whole writes files that are there whole or not at all, whatever
// happens on the way.
package whole

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Write writes a file by way of a part beside it that takes its name at the
// end. Folders on the way are made. When write fails, the file stays as it was.
func Write(path string, write func(io.Writer) error) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	part, err := os.CreateTemp(filepath.Dir(path), ".part-*")
	if err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	b := bufio.NewWriter(part)
	err = errors.Join(write(b), b.Flush(), part.Chmod(0o644), part.Close())
	if err == nil {
		err = os.Rename(part.Name(), path)
	}
	if err != nil {
		os.Remove(part.Name())
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return nil
}

// Bytes writes a file that is at hand.
func Bytes(path string, data []byte) error {
	return Write(path, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}
