package wasm

import (
	"cmp"
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/imports/wasi_snapshot_preview1"

	"example.org/gripleaf/calculators/bench"
	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/kit"
)

// Bench runs a site's own calculators for the builder: in a sandbox, which sees neither files nor the network, and in
// the same code that readers get. One that stops over a state, or does not come to an end, is started anew for the
// next. Any number of goroutines may use it, one at a time is served.
type Bench struct {
	// Patience is how long one calculation may take; 0 is 20 seconds.
	Patience time.Duration

	runtime wazero.Runtime
	program wazero.CompiledModule
	ctx     context.Context // of the one who builds
	set     kit.Set

	mu      sync.Mutex
	stop    context.CancelFunc // of the instance that runs; nil if none does
	stdin   *io.PipeWriter
	send    *gob.Encoder
	receive *gob.Decoder
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
	b := &Bench{runtime: wazero.NewRuntimeWithConfig(ctx, config), ctx: ctx}
	if _, err := wasi_snapshot_preview1.Instantiate(ctx, b.runtime); err != nil {
		return nil, errors.Join(err, b.runtime.Close(ctx))
	}
	var err error
	if b.program, err = b.runtime.CompileModule(ctx, code); err != nil {
		return nil, errors.Join(err, b.runtime.Close(ctx))
	}
	reply, err := b.ask(&bench.Request{})
	if err != nil {
		return nil, errors.Join(err, b.Close())
	}
	for i := range reply.Calculators {
		b.set = append(b.set, b.calculator(&reply.Calculators[i]))
	}
	return b, nil
}

// start starts an instance of the program, which serves until it stops.
func (b *Bench) start() {
	ctx, stop := context.WithCancel(b.ctx)
	in, stdin := io.Pipe()
	stdout, out := io.Pipe()
	go func() {
		var complaint tail
		_, err := b.runtime.InstantiateModule(ctx, b.program, wazero.NewModuleConfig().WithName("").WithStdin(in).WithStdout(out).WithStderr(&complaint))
		err = stopped(err, string(complaint.text))
		out.CloseWithError(err)
		in.CloseWithError(err)
	}()
	b.stop, b.stdin, b.send, b.receive = stop, stdin, gob.NewEncoder(stdin), gob.NewDecoder(stdout)
}

// stopped says why the program has ended. What a panic says tells an author more than where the sandbox stood.
func stopped(err error, complaint string) error {
	if _, reason, ok := strings.Cut(complaint, "panic: "); ok {
		reason, _, _ = strings.Cut(reason, "\n")
		return fmt.Errorf("the site's own calculators stopped: panic: %s", reason)
	}
	return fmt.Errorf("the site's own calculators stopped: %w", err)
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
	b.mu.Lock()
	defer b.mu.Unlock()
	b.end()
	return b.runtime.Close(context.Background())
}

// end ends the instance that runs.
func (b *Bench) end() {
	if b.stop != nil {
		b.stdin.Close()
		b.stop()
		b.stop = nil
	}
}

func (b *Bench) ask(q *bench.Request) (*bench.Reply, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.stop == nil {
		b.start()
	}
	patience := cmp.Or(b.Patience, 20*time.Second)
	late := time.AfterFunc(patience, b.stop)
	var r bench.Reply
	err := b.send.Encode(q)
	if err == nil {
		err = b.receive.Decode(&r)
	}
	if !late.Stop() && b.ctx.Err() == nil {
		err = fmt.Errorf("the calculator %q came to no end within %v and was stopped", q.Calculator, patience)
	}
	if err != nil {
		b.end()
		return nil, err
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
		w.Bands, w.Events = r.Bands, r.Events
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
