//go:build !linux && !darwin

package publish

import "errors"

// exchange would make two files or folders change places in one step.
func exchange(a, b string) error { return errors.ErrUnsupported }
