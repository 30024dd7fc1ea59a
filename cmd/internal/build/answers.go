package build

import (
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
	k := cache.NewKey("answer 2")
	k.Text(a.module, query)
	return k.String()
}

// Get implements sum.Store.
func (a answers) Get(query string) ([]float64, bool) {
	data, ok := a.cache.Get("answers", a.name(query))
	if !ok {
		return nil, false
	}
	numbers := make([]float64, len(data)/8)
	_, err := binary.Decode(data, binary.LittleEndian, numbers)
	return numbers, err == nil
}

// Put implements sum.Store.
func (a answers) Put(query string, numbers []float64) {
	data, err := binary.Append(nil, binary.LittleEndian, numbers)
	if err != nil {
		panic(err) // numbers have a size
	}
	_ = a.cache.Put("answers", a.name(query), data) // it will be worked out again
}
