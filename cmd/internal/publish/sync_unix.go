//go:build unix

package publish

import (
	"errors"
	"os"
	"syscall"
)

// syncDir brings the entries of a folder to the disk, where the file system has a way to.
func syncDir(name string) error {
	dir, err := os.Open(name)
	if err != nil {
		return err
	}
	defer dir.Close()
	if err := dir.Sync(); err != nil && !errors.Is(err, syscall.EINVAL) && !errors.Is(err, errors.ErrUnsupported) {
		return err
	}
	return nil
}
