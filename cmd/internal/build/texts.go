package build

import "sync"

// mostTexts bounds the texts that wait to be made pages of, in bytes.
const mostTexts = 64 << 20

// texts are files of lessons that were read for their metadata, which was without faults, until they are read whole.
type texts struct {
	mu   sync.Mutex
	kept map[string][]byte // by name in the site
	size int
}

func (t *texts) put(file string, text []byte) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.size+len(text) > mostTexts {
		return
	}
	if t.kept == nil {
		t.kept = make(map[string][]byte)
	}
	t.kept[file] = text
	t.size += len(text)
}

// take gives a text away.
func (t *texts) take(file string) ([]byte, bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	text, ok := t.kept[file]
	delete(t.kept, file)
	t.size -= len(text)
	return text, ok
}
