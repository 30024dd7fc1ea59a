package publish

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// exchange makes two files or folders change places in one step.
func exchange(a, b string) error {
	err := unix.Renameat2(unix.AT_FDCWD, a, unix.AT_FDCWD, b, unix.RENAME_EXCHANGE)
	switch {
	case err == nil:
		return nil
	case errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOSYS) || errors.Is(err, unix.ENOTSUP):
		return errors.ErrUnsupported
	}
	return &os.LinkError{Op: "exchange", Old: a, New: b, Err: err}
}

// canSyncAll says that syncAll is there.
const canSyncAll = true

// syncAll brings all of the file system that name is on to the disk.
func syncAll(name string) error {
	file, err := os.Open(name)
	if err != nil {
		return err
	}
	defer file.Close()
	return os.NewSyscallError("syncfs", unix.Syncfs(int(file.Fd())))
}
