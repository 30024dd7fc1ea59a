package build

import (
	"bytes"
	"strconv"
	"sync"

	"github.com/andybalholm/brotli"

	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/course"
)

// Weight is what a file weighs as it travels, compressed with brotli.
type Weight struct {
	Path   string
	Bytes  int
	Budget int // 0 is no limit
}

// Over reports whether it weighs more than its budget.
func (w Weight) Over() bool { return w.Budget > 0 && w.Bytes > w.Budget }

// scale weighs what readers load.
type scale struct {
	budget course.Budget
	cache  cache.Cache
	shared int // what the script and the style sheet weigh, which every page loads

	mu    sync.Mutex
	heavy []Weight // pages over the budget
	all   Weight   // of the module
}

// every weighs what every page loads.
func (s *scale) every(data []byte) {
	if s.budget.Page > 0 {
		small, _ := compress(data, 9)
		s.shared += len(small)
	}
}

// page gives what a page weighs if that is over the budget, and otherwise 0. It is what a first visit loads without the
// module: the page, its script and its style sheet. What is under the budget before compression is so after it too.
func (s *scale) page(html []byte) (int, error) {
	if s.budget.Page == 0 || s.shared+len(html) <= s.budget.Page {
		return 0, nil
	}
	small, err := compress(html, 5)
	if weight := s.shared + len(small); weight > s.budget.Page {
		return weight, err
	}
	return 0, err
}

// note notes a page that is over the budget.
func (s *scale) note(path string, weight int) {
	if weight == 0 {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.heavy = append(s.heavy, Weight{path, weight, s.budget.Page})
}

// module weighs the module, in brotli at most. Only if a quick look is over the budget is it compressed as well as
// servers do, which takes many seconds.
func (s *scale) module(path string, compile func() ([]byte, error)) error {
	quick, err := s.compressed(path, compile, 5)
	if err == nil && s.budget.Module > 0 && quick > s.budget.Module {
		quick, err = s.compressed(path, compile, brotli.BestCompression)
	}
	if quick > s.all.Bytes { // the heaviest counts
		s.all = Weight{path, quick, s.budget.Module}
	}
	return err
}

// compressed is the module's size compressed at a level. It is kept, as it stays the same as long as the module does.
func (s *scale) compressed(path string, compile func() ([]byte, error), level int) (int, error) {
	name := path + "." + strconv.Itoa(level)
	var size int
	if decode(s.cache, "weight", name, &size) {
		return size, nil
	}
	data, err := compile()
	if err != nil {
		return 0, err
	}
	small, err := compress(data, level)
	if err == nil {
		encode(s.cache, "weight", name, len(small))
	}
	return len(small), err
}

func compress(data []byte, level int) ([]byte, error) {
	var b bytes.Buffer
	w := brotli.NewWriterLevel(&b, level)
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	err := w.Close()
	return b.Bytes(), err
}
