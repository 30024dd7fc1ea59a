package build

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"

	"example.org/gripleaf/cmd/internal/cache"
)

// answers keeps answers that took long in the user's cache: a crowd takes half a second, and is asked for in every
// course.
type answers struct {
	cache  cache.Cache
	module string // named by the code of all calculators
}

func (a answers) name(query string) string {
	k := cache.NewKey("answer 1")
	k.Text(a.module, query)
	return k.String()
}

// Get implements sum.Store. Numbers are believed only with their hash: no page would show that a disk has changed them.
func (a answers) Get(query string) ([]float64, bool) {
	data, ok := a.cache.Get("answers", a.name(query))
	if !ok || len(data) < sha256.Size {
		return nil, false
	}
	sum, data := data[:sha256.Size], data[sha256.Size:]
	if want := sha256.Sum256(data); !bytes.Equal(sum, want[:]) {
		return nil, false
	}
	numbers := make([]float64, len(data)/8)
	_, err := binary.Decode(data, binary.LittleEndian, numbers)
	return numbers, err == nil
}

// Put implements sum.Store.
func (a answers) Put(query string, numbers []float64) {
	data, err := binary.Append(make([]byte, sha256.Size), binary.LittleEndian, numbers)
	if err != nil {
		panic(err) // numbers have a size
	}
	sum := sha256.Sum256(data[sha256.Size:])
	copy(data, sum[:])
	_ = a.cache.Put("answers", a.name(query), data) // it will be worked out again
}
