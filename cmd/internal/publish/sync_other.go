//go:build !linux

package publish

import "errors"

// canSyncAll says that files have to be brought to the disk one by one.
const canSyncAll = false

func syncAll(string) error { return errors.ErrUnsupported }
