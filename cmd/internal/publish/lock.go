package publish

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"example.org/gripleaf/cmd/internal/fault"
)

// A Holder is the run that holds the lock of a folder.
type Holder struct {
	Process int       `json:"process"`
	Command string    `json:"command"`
	Since   time.Time `json:"since"`
}

// String returns the holder in words.
func (h Holder) String() string {
	return fmt.Sprintf("%s (process %d, since %s)", h.Command, h.Process, h.Since.Format(time.DateTime))
}

// A lock is a file that the system locks for us and frees when the process ends, whatever its end. The file itself
// stays; while the lock is held it tells by whom, and so it still does after a run that was killed.
type lock struct{ file *os.File }

// errLocked is what tryLock returns if another run has the lock.
var errLocked = errors.New("locked")

// A holder signs just after it has taken the lock and takes its name off just before it lets go. So one without a name
// is asked again, until nameless has passed.
const (
	nameless = time.Second
	askAgain = 5 * time.Millisecond
)

// acquire takes the lock of a place. interrupted is the last holder if it did not release the lock.
func acquire(p place, command string) (l *lock, interrupted *Holder, err error) {
	for asked := time.Now(); ; time.Sleep(askAgain) {
		l, interrupted, err = tryAcquire(p, command)
		if !errors.Is(err, errLocked) {
			return l, interrupted, err
		}
		if interrupted != nil || time.Since(asked) > nameless {
			return nil, nil, lockedFault(p.name, interrupted)
		}
	}
}

// tryAcquire is acquire without patience: if another run has the lock, it returns errLocked and who has it, or nil if
// it has no name.
func tryAcquire(p place, command string) (l *lock, last *Holder, err error) {
	file, err := openLock(p)
	if err != nil {
		return nil, nil, fmt.Errorf("preparing to build into %s: %w", p.name, err)
	}
	err = tryLock(file)
	last = readHolder(file)
	switch {
	case err != nil:
		file.Close()
		return nil, last, err
	case !current(file): // removed before we had the lock, by the last holder
		file.Close()
		return tryAcquire(p, command)
	}
	l = &lock{file}
	if err := l.sign(command); err != nil {
		return nil, nil, errors.Join(err, l.release())
	}
	return l, last, nil
}

func openLock(p place) (*os.File, error) {
	if err := os.MkdirAll(p.state, 0o777); err != nil {
		return nil, err
	}
	return os.OpenFile(p.lock, os.O_RDWR|os.O_CREATE, 0o666)
}

// current reports whether a file is still the one of its name.
func current(file *os.File) bool {
	ours, err := file.Stat()
	if err != nil {
		return false
	}
	named, err := os.Stat(file.Name())
	return err == nil && os.SameFile(ours, named)
}

func lockedFault(dir string, holder *Holder) error {
	by := "another run"
	if holder != nil {
		by = holder.String()
	}
	return fault.Fault{
		Code: "folder-locked",
		File: dir,
		Text: "this folder is being built by " + by,
		Hint: "wait until it has ended, stop it, or build into another folder",
	}
}

// readHolder returns whom the lock file names, or nil if it names nobody.
func readHolder(file *os.File) *Holder {
	text, err := io.ReadAll(io.NewSectionReader(file, 0, 64<<10))
	var h Holder
	if err != nil || json.Unmarshal(text, &h) != nil {
		return nil
	}
	return &h
}

// sign writes who holds the lock.
func (l *lock) sign(command string) error {
	if command == "" {
		command = strings.Join(append([]string{filepath.Base(os.Args[0])}, os.Args[1:]...), " ")
	}
	text, err := json.Marshal(Holder{os.Getpid(), command, time.Now().Round(0)})
	if err != nil {
		return err
	}
	if err := l.file.Truncate(0); err != nil {
		return err
	}
	_, err = l.file.WriteAt(append(text, '\n'), 0)
	return err
}

func (l *lock) release() error { return errors.Join(l.file.Truncate(0), l.file.Close()) }
