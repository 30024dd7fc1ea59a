package wasm

import (
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"io"
	"sync"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/imports/wasi_snapshot_preview1"

	"example.org/gripleaf/calculators/bench"
	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
)

// Bench runs a site's own calculators for the builder: in a sandbox, which sees neither files nor the network, and in
// the same code that readers get. Any number of goroutines may use it, one at a time is served.
type Bench struct {
	mu      sync.Mutex
	runtime wazero.Runtime
	stdin   *io.PipeWriter
	send    *gob.Encoder
	receive *gob.Decoder
	set     kit.Set
	err     error
}

// Bench compiles and starts the site's own calculators; nil if it has none.
func (s *Source) Bench(ctx context.Context) (*Bench, error) {
	if s.own == nil {
		return nil, nil
	}
	name := s.key + ".bench.wasm"
	code, ok := s.cache.Get(kind, name)
	if !ok {
		var err error
		if code, err = s.compile(ctx, s.own.writeBench, []string{"-trimpath", "-buildvcs=false"}); err != nil {
			return nil, err
		}
		_ = s.cache.Put(kind, name, code)
	}
	return startBench(ctx, code, s.cache.Path("machine", ""))
}

// memoryPages bounds what the calculators may take: 64 KiB each, so 512 MiB.
const memoryPages = 8192

func startBench(ctx context.Context, code []byte, kept string) (*Bench, error) {
	config := wazero.NewRuntimeConfig().WithMemoryLimitPages(memoryPages).WithCloseOnContextDone(true)
	if kept != "" {
		if c, err := wazero.NewCompilationCacheWithDir(kept); err == nil {
			config = config.WithCompilationCache(c)
		}
	}
	b := &Bench{runtime: wazero.NewRuntimeWithConfig(ctx, config)}
	if _, err := wasi_snapshot_preview1.Instantiate(ctx, b.runtime); err != nil {
		return nil, errors.Join(err, b.runtime.Close(ctx))
	}
	program, err := b.runtime.CompileModule(ctx, code)
	if err != nil {
		return nil, errors.Join(err, b.runtime.Close(ctx))
	}
	in, stdin := io.Pipe()
	stdout, out := io.Pipe()
	var complaint tail
	go func() {
		_, err := b.runtime.InstantiateModule(ctx, program, wazero.NewModuleConfig().WithStdin(in).WithStdout(out).WithStderr(&complaint))
		err = fmt.Errorf("the site's own calculators stopped: %w\n%s", err, complaint.text)
		out.CloseWithError(err)
		in.CloseWithError(err)
	}()
	b.stdin, b.send, b.receive = stdin, gob.NewEncoder(stdin), gob.NewDecoder(stdout)
	reply, err := b.ask(&bench.Request{})
	if err != nil {
		return nil, errors.Join(err, b.Close())
	}
	for i := range reply.Calculators {
		b.set = append(b.set, b.calculator(&reply.Calculators[i]))
	}
	return b, nil
}

// tail keeps the end of what is written: the message of a panic.
type tail struct{ text []byte }

func (t *tail) Write(p []byte) (int, error) {
	t.text = append(t.text, p...)
	if over := len(t.text) - 2000; over > 0 {
		t.text = t.text[over:]
	}
	return len(p), nil
}

// Set is the site's own calculators.
func (b *Bench) Set() kit.Set { return b.set }

// Close ends the program.
func (b *Bench) Close() error {
	return errors.Join(b.stdin.Close(), b.runtime.Close(context.Background()))
}

func (b *Bench) ask(q *bench.Request) (*bench.Reply, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.err != nil {
		return nil, b.err
	}
	var r bench.Reply
	if b.err = b.send.Encode(q); b.err == nil {
		b.err = b.receive.Decode(&r)
	}
	if b.err != nil {
		return nil, b.err
	}
	if len(r.Faults) > 0 {
		return nil, r.Faults
	}
	return &r, nil
}

// calculator gives a declaration its functions: they ask the program.
func (b *Bench) calculator(c *kit.Calculator) *kit.Calculator {
	c.Work = func(w *kit.Work) error {
		r, err := b.ask(&bench.Request{Calculator: c.ID, Inputs: w.Inputs})
		if err != nil {
			return err
		}
		copy(w.Outputs, r.Outputs)
		copy(w.Moot, r.Moot)
		w.Series = r.Series
		return nil
	}
	for i := range c.Figures {
		c.Figures[i].Draw = func(w *kit.Work, s figure.Style) figure.Scene {
			r, err := b.ask(&bench.Request{Calculator: c.ID, Inputs: w.Inputs, Scene: true, Figure: i, Style: s})
			if err != nil {
				return figure.Scene{Width: 1, Height: 1, Alt: err.Error()}
			}
			return r.Scene
		}
	}
	return c
}

// writeBench writes the program that serves the site's own calculators.
func (o *own) writeBench(folder, standard string) error {
	list := ""
	for i := range o.packages {
		list += fmt.Sprintf("\t\t&own%d.Calculator,\n", i)
	}
	body := "func main() {\n\tset := kit.Set{\n" + list + "\t}\n\tif err := bench.Serve(set, os.Stdin, os.Stdout); err != nil {\n\t\tpanic(err)\n\t}\n}\n"
	return o.write(folder, standard, []string{"os", modulePath + "/calculators/bench", modulePath + "/calculators/kit"}, body)
}
