package build

import (
	"context"
	"encoding/base64"
	"fmt"
	"io"
	"sync"

	"example.org/gripleaf/cmd/internal/page"
	"example.org/gripleaf/cmd/internal/wasm"
)

// modules are the calculators for the browser: closed formulas and the site's own, simulated stops, and the one for
// logs.
type modules struct{ formulas, rides, measured *wasm.Source }

// publish compiles the calculators and publishes them as modules and, for pages opened from a folder, as scripts. What
// is published already is not even read.
func (m modules) publish(ctx context.Context, out *output, weigh *scale) error {
	for _, source := range []*wasm.Source{m.formulas, m.rides, m.measured} {
		compile := sync.OnceValues(func() ([]byte, error) { return source.Compile(ctx) })
		for _, f := range moduleFiles(source, compile, out.viewer) {
			if err := out.file(&f); err != nil {
				return err
			}
		}
		if source != m.measured && weigh != nil {
			if err := weigh.module(source.Name()+".wasm", compile); err != nil {
				return err
			}
		}
	}
	return nil
}

// moduleFiles are a module and the script of it, packed: from the disk nothing else is read, and where a server
// compresses nothing a page takes it instead of the module.
func moduleFiles(source *wasm.Source, compile func() ([]byte, error), viewer Viewer) []page.File {
	module, script := source.Name()+".wasm", source.Name()+".js"
	return []page.File{
		{Path: module, Shows: source.Name(), Write: func(w io.Writer) error {
			data, err := compile()
			if err != nil {
				return err
			}
			if viewer != nil {
				viewer.Made(module, data) // a page may be shown already that loads it
			}
			_, err = w.Write(data)
			return err
		}},
		{Path: script, Shows: source.Name(), Write: func(w io.Writer) error {
			data, err := source.Packed(compile)
			if err == nil {
				_, err = fmt.Fprintf(w, `gripleafModule="%s"`, base64.StdEncoding.AppendEncode(nil, data))
			}
			return err
		}},
	}
}

// served takes what servers send: the scripts of the modules are for pages from the disk.
func (m modules) served(path string) bool {
	return path != m.formulas.Name()+".js" && path != m.rides.Name()+".js" && path != m.measured.Name()+".js"
}
