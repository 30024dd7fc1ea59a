//go:build unix

package publish

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// tryLock locks a file for as long as it is open.
func tryLock(file *os.File) error {
	for {
		err := unix.Flock(int(file.Fd()), unix.LOCK_EX|unix.LOCK_NB)
		switch {
		case errors.Is(err, unix.EINTR):
			continue
		case errors.Is(err, unix.EWOULDBLOCK):
			return errLocked
		case err != nil:
			return &os.PathError{Op: "lock", Path: file.Name(), Err: err}
		}
		return nil
	}
}
