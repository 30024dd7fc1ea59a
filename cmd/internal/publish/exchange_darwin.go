package publish

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// exchange makes two files or folders change places in one step.
func exchange(a, b string) error {
	err := unix.RenamexNp(a, b, unix.RENAME_SWAP)
	switch {
	case err == nil:
		return nil
	case errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOTSUP):
		return errors.ErrUnsupported
	}
	return &os.LinkError{Op: "exchange", Old: a, New: b, Err: err}
}
