package publish

import (
	"bytes"
	"cmp"
	"compress/gzip"
	"context"
	"io"
	"os"
	"path"
	"runtime"
	"slices"

	"github.com/andybalholm/brotli"
	"golang.org/x/sync/errgroup"
)

// Servers that can send a file compressed look for it beside the plain one, under the same name with an ending more:
// .br (RFC 7932) or .gz (RFC 1952).

// compressible are the endings of files that get smaller; pictures and fonts are compressed already.
var compressible = []string{".html", ".css", ".js", ".wasm", ".svg", ".json", ".xml", ".txt", ".vtt", ".csv"}

// leastCompressed is the size from which it is worth a file, in bytes: a packet of the network holds what is smaller.
const leastCompressed = 1024

// compressions are the forms of a file beside its plain one.
var compressions = []struct {
	ending string
	to     func(io.Writer) io.WriteCloser
}{
	{".br", func(w io.Writer) io.WriteCloser { return brotli.NewWriterLevel(w, brotli.BestCompression) }},
	{".gz", func(w io.Writer) io.WriteCloser {
		z, err := gzip.NewWriterLevel(w, gzip.BestCompression)
		if err != nil {
			panic(err) // the level is one of the package's own
		}
		return z
	}},
}

// Compress adds the compressed forms of all outputs that were handed in so far and that wanted takes. Forms of files
// that stay as they are stay too, since compressing well takes a hundred times longer than reading.
func (e *Edition) Compress(ctx context.Context, wanted func(path string) bool) error {
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for _, o := range e.toCompress(wanted) {
		group.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			return e.compress(o)
		})
	}
	return group.Wait()
}

// toCompress lists outputs, the largest first so that none is left for the end.
func (e *Edition) toCompress(wanted func(path string) bool) []output {
	e.mu.Lock()
	defer e.mu.Unlock()
	var list []output
	for _, o := range e.outputs {
		if slices.Contains(compressible, path.Ext(o.Path)) && o.Size >= leastCompressed && wanted(o.Path) {
			list = append(list, o)
		}
	}
	slices.SortFunc(list, func(a, b output) int { return cmp.Compare(b.Size, a.Size) })
	return list
}

// lies returns the name of the file that holds an output for now.
func (e *Edition) lies(o output) string {
	switch o.part {
	case "":
		return at(e.place.dir, o.Path)
	case inPlace:
		return at(e.place.spare, o.Path)
	}
	return o.part
}

// compress adds the forms of one output that are smaller than it.
func (e *Edition) compress(o output) error {
	was, ok := e.current.clean(o.Path)
	same := ok && was == o.Entry
	var data []byte
	for _, c := range compressions {
		if form, ok := e.current.clean(o.Path + c.ending); same && ok {
			if err := e.enter(output{Entry: form}); err != nil {
				return err
			}
			continue
		}
		if data == nil {
			var err error
			if data, err = os.ReadFile(e.lies(o)); err != nil {
				return e.fail(o.Path, err)
			}
		}
		var b bytes.Buffer
		w := c.to(&b)
		_, _ = w.Write(data) // a buffer takes all
		if err := w.Close(); err != nil {
			return e.fail(o.Path, err)
		}
		if b.Len() >= len(data) {
			continue
		}
		if _, err := e.Add(o.Path+c.ending, b.Bytes()); err != nil {
			return err
		}
	}
	return nil
}
