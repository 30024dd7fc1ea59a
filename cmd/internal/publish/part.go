package publish

import (
	"bytes"
	"crypto/sha256"
	"hash"
	"os"
)

// A part is an output on its way: in memory while it is small, since most turn out to be unchanged and need no file,
// and in a file from then on.
type part struct {
	create func() (file *os.File, sync bool, err error)
	hash   hash.Hash
	size   int64
	buffer bytes.Buffer
	file   *os.File
	sync   bool
}

// inMemory is how large an output may be to wait in memory, in bytes.
const inMemory = 256 << 10

func (p *part) Write(b []byte) (int, error) {
	p.hash.Write(b)
	p.size += int64(len(b))
	if p.file == nil && p.size <= inMemory {
		return p.buffer.Write(b)
	}
	if err := p.spill(); err != nil {
		return 0, err
	}
	return p.file.Write(b)
}

// spill moves the part into a file.
func (p *part) spill() (err error) {
	if p.file != nil {
		return nil
	}
	if p.file, p.sync, err = p.create(); err != nil {
		return err
	}
	_, err = p.buffer.WriteTo(p.file)
	p.buffer = bytes.Buffer{}
	return err
}

func (p *part) sum() [sha256.Size]byte { return [sha256.Size]byte(p.hash.Sum(nil)) }

// keep finishes the part and returns the file that holds it.
func (p *part) keep() (name string, s stamp, err error) {
	if err := p.spill(); err != nil {
		return "", stamp{}, err
	}
	if p.sync {
		if err := p.file.Sync(); err != nil {
			return "", stamp{}, err
		}
		backdate(p.file.Name()) // it is one of few
	}
	info, err := p.file.Stat()
	if err != nil {
		return "", stamp{}, err
	}
	name = p.file.Name()
	if err := p.file.Close(); err != nil {
		return "", stamp{}, err
	}
	p.file = nil
	return name, newStamp(info), nil
}

// discard removes what was not kept.
func (p *part) discard() {
	if p.file != nil {
		p.file.Close()
		os.Remove(p.file.Name())
	}
}
