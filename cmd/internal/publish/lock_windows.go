package publish

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// tryLock locks a file for as long as it is open. A locked range cannot be read by others, so it lies beyond the text
// that names the holder.
func tryLock(file *os.File) error {
	const flags = windows.LOCKFILE_EXCLUSIVE_LOCK | windows.LOCKFILE_FAIL_IMMEDIATELY
	err := windows.LockFileEx(windows.Handle(file.Fd()), flags, 0, 1, 0, &windows.Overlapped{OffsetHigh: 1})
	switch {
	case errors.Is(err, windows.ERROR_LOCK_VIOLATION):
		return errLocked
	case err != nil:
		return &os.PathError{Op: "lock", Path: file.Name(), Err: err}
	}
	return nil
}
