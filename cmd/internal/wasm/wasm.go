// Package wasm compiles the calculators to the module that readers get: a WASI reactor of all standard calculators and
// of the site's own. It is compiled only if a Go file that it links has changed; a binary that was built for release
// has the standard module with it, for machines without a Go toolchain.
package wasm

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"example.org/gripleaf/calculators"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/folder"
	"example.org/gripleaf/cmd/internal/strip"
	"example.org/gripleaf/cmd/internal/whole"
)

// Source is what a module is made from. It is known at once; compiling takes seconds.
type Source struct {
	cache    cache.Cache
	tool     string // path of the go command; empty without one
	main     string // folder of the standard main
	released []byte // its module in a release
	own      *own   // the site's own calculators, if it has any
	key      string
	ahead    func() ([]byte, error) // the module, if it was asked for ahead
}

// kind is the cache's folder of compiled modules.
const kind = "module"

// modulePath is the path of the module that this program and its calculators are in.
const modulePath = "example.org/gripleaf"

// errNoTool says that there is no Go toolchain on this machine.
var errNoTool = errors.New("there is no go command on this machine")

// Flags are what the go command builds a module with. Nothing is inlined but the physics and the mathematics it calls,
// whose loops run hot: that takes a tenth off what a reader has to load.
var Flags = []string{"-buildmode=c-shared", "-trimpath", "-buildvcs=false", "-ldflags=-s -w",
	"-gcflags=all=-l", "-gcflags=" + modulePath + "/calculators/physics/...=", "-gcflags=math="}

// New looks at the sources. site is the folder of the site on disk; its own calculators are in calculators/.
func New(c cache.Cache, site string) (*Source, error) {
	own, err := findOwn(site)
	if err != nil {
		return nil, err
	}
	return newSource(c, "./calculators/module", released, own)
}

// NewMeasured looks at the sources of the module for logs, which is apart so that only readers who have a log load it.
func NewMeasured(c cache.Cache) (*Source, error) {
	return newSource(c, "./calculators/module/measured", releasedMeasured, nil)
}

// NewRides looks at the sources of the module of simulated stops, which is apart so that a page without any does not
// wait for it.
func NewRides(c cache.Cache) (*Source, error) {
	return newSource(c, "./calculators/module/rides", releasedRides, nil)
}

// newSource makes a source, whose key names what it is made from.
func newSource(c cache.Cache, main string, released []byte, own *own) (*Source, error) {
	s := &Source{cache: c, main: main, released: released, own: own}
	key := cache.NewKey("module 7")
	key.Text(main)
	if err := key.Files(calculators.Sources, ".", shipped); err != nil {
		return nil, err
	}
	if tool, err := exec.LookPath("go"); err == nil {
		s.tool = tool
		if info, err := os.Stat(tool); err == nil {
			key.Text(tool, fmt.Sprint(info.Size(), info.ModTime().UnixNano()))
		}
	}
	if own != nil {
		if s.tool == "" {
			return nil, fault.Fault{Code: "no-go", File: own.shown, Text: errNoTool.Error() + ", and calculators of the site's own have to be compiled",
				Hint: "install Go from go.dev; without them the standard calculators still work"}
		}
		files, err := folder.Open(own.folder)
		if err != nil {
			return nil, err
		}
		defer files.Close()
		if err := key.Files(files, ".", ownFile); err != nil {
			return nil, err
		}
	}
	s.key = key.String()
	return s, nil
}

// shipped takes the files that are compiled into the module.
func shipped(name string) bool {
	return strings.HasSuffix(name, ".go") && !strings.HasSuffix(name, "_test.go")
}

func ownFile(name string) bool {
	return shipped(name) || path.Base(name) == "go.mod" || path.Base(name) == "go.sum"
}

// Name names the module by what it is made from, so that pages can refer to it before it is compiled: "module.<hash>",
// "rides.<hash>" or "measured.<hash>".
func (s *Source) Name() string { return path.Base(s.main) + "." + s.key[:10] }

// Ahead begins to compile the module if the site has calculators of its own: it takes as long as to get their sandbox
// ready, and goes on beside that.
func (s *Source) Ahead(ctx context.Context) {
	if s.own != nil {
		s.ahead = sync.OnceValues(func() ([]byte, error) { return s.module(ctx) })
		go s.ahead()
	}
}

// Compile gives the module's bytes, from the cache if they are there.
func (s *Source) Compile(ctx context.Context) ([]byte, error) {
	if s.ahead != nil {
		return s.ahead()
	}
	return s.module(ctx)
}

// Packed gives the module's bytes as gzip packs them, from the cache if they are there; otherwise compile gives the
// module.
func (s *Source) Packed(compile func() ([]byte, error)) ([]byte, error) {
	name := s.key + ".wasm.gz"
	if data, ok := s.cache.Get(kind, name); ok {
		return data, nil
	}
	module, err := compile()
	if err != nil {
		return nil, err
	}
	var packed bytes.Buffer
	z, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err == nil {
		_, err = z.Write(module)
	}
	if err == nil {
		err = z.Close()
	}
	if err != nil {
		return nil, err
	}
	_ = s.cache.Put(kind, name, packed.Bytes())
	return packed.Bytes(), nil
}

func (s *Source) module(ctx context.Context) ([]byte, error) {
	if s.tool == "" && len(s.released) == 0 {
		return nil, fault.Fault{Code: "no-go", Text: errNoTool.Error() + ", and the calculators have to be compiled for the reader's browser",
			Hint: "install Go from go.dev, or use a release of gripleaf, which has them compiled"}
	}
	if s.tool == "" {
		return strip.Module(s.released)
	}
	name := s.key + ".wasm"
	if data, ok := s.cache.Get(kind, name); ok {
		return data, nil
	}
	var write func(folder, standard string) error
	if s.own != nil {
		write = s.own.writeMain
	}
	whole, err := s.compile(ctx, write, Flags)
	if err != nil {
		return nil, err
	}
	data, err := strip.Module(whole)
	if err != nil {
		return nil, err
	}
	_ = s.cache.Put(kind, name, data) // a full disk only costs the next build time
	return data, nil
}

// compile compiles the main that write writes beside the unpacked sources, or the standard one without it.
func (s *Source) compile(ctx context.Context, write func(folder, standard string) error, flags []string) ([]byte, error) {
	work, remove, err := whole.Folder()
	if err != nil {
		return nil, err
	}
	defer remove()
	if err := unpack(work); err != nil {
		return nil, err
	}
	in, main := work, s.main
	if write != nil {
		in, main = filepath.Join(work, "own"), "."
		if err := write(in, work); err != nil {
			return nil, err
		}
	}
	out := filepath.Join(work, "module.wasm")
	cmd := exec.CommandContext(ctx, s.tool, slices.Concat([]string{"build"}, flags, []string{"-o", out, main})...)
	cmd.Dir = in
	cmd.Env = append(os.Environ(), "GOOS=wasip1", "GOARCH=wasm", "GOWORK=off", "GOFLAGS=-mod=readonly", "CGO_ENABLED=0")
	text, err := cmd.CombinedOutput()
	if err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, s.compileFaults(string(text), in, err)
	}
	return os.ReadFile(out)
}

// unpack writes the embedded sources as a module of their own.
func unpack(folder string) error {
	mod := "module " + modulePath + "\n\ngo 1.26\n"
	if err := os.WriteFile(filepath.Join(folder, "go.mod"), []byte(mod), 0o666); err != nil {
		return err
	}
	return fs.WalkDir(calculators.Sources, ".", func(name string, d fs.DirEntry, err error) error {
		to := filepath.Join(folder, "calculators", filepath.FromSlash(name))
		switch {
		case err != nil:
			return err
		case d.IsDir():
			return os.MkdirAll(to, 0o777)
		case !shipped(name):
			return nil
		}
		text, err := fs.ReadFile(calculators.Sources, name)
		if err != nil {
			return err
		}
		return os.WriteFile(to, text, 0o666)
	})
}
