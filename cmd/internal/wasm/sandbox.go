package wasm

import (
	"bufio"
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"sync"
	"time"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/experimental"
	"github.com/tetratelabs/wazero/imports/wasi_snapshot_preview1"

	"example.org/gripleaf/calculators/figure"
	"example.org/gripleaf/calculators/guest"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/cmd/internal/fault"
)

// Sandbox runs a site's own calculators for the builder: without files and network, and in the same code that readers
// get. One that stops over a state is started anew for the next; one that comes to no end is not asked again until
// Begin. Any number of goroutines may use it, one at a time is served.
type Sandbox struct {
	patience time.Duration // for one calculation

	own     *own
	engine  wazero.Runtime
	program wazero.CompiledModule
	ctx     context.Context // of the one who builds
	set     kit.Set

	mu      sync.Mutex
	running *instance              // nil if none runs
	endless map[string]error       // calculators that came to no end, by ID
	told    map[string]fault.Fault // the first fault at each place of the source
	drawn   fault.List             // faults of figures, whose Draw cannot say so itself
}

// Patience is how long one calculation may take; a page waits as long.
const Patience = 20 * time.Second

// instance is the program while it runs.
type instance struct {
	stop    func()
	stdin   *io.PipeWriter
	send    *gob.Encoder
	receive *gob.Decoder
	stderr  *tail
}

// Sandbox compiles and starts the site's own calculators, and tries them; nil if the site has none. taken are the
// calculators that there are already. What is wrong with them is a fault.List.
func (s *Source) Sandbox(ctx context.Context, taken kit.Set, patience time.Duration) (*Sandbox, error) {
	if s.own == nil {
		return nil, nil
	}
	name := s.key + ".guest.wasm"
	code, ok := s.cache.Get(kind, name)
	if !ok {
		var err error
		if code, err = s.compile(ctx, s.own.writeGuest, []string{"-trimpath", "-buildvcs=false"}); err != nil {
			return nil, err
		}
		_ = s.cache.Put(kind, name, code)
	}
	b, err := newSandbox(ctx, code, s.cache.Path("machine", ""), s.own)
	if err != nil {
		return nil, err
	}
	b.patience = patience
	if err := b.meet(taken); err != nil {
		return nil, errors.Join(err, b.Close())
	}
	return b, nil
}

// memoryPages bounds what the calculators may take: 64 KiB each, so 512 MiB.
const memoryPages = 8192

func newSandbox(ctx context.Context, code []byte, kept string, o *own) (*Sandbox, error) {
	config := wazero.NewRuntimeConfig().WithMemoryLimitPages(memoryPages).WithCloseOnContextDone(true)
	if kept != "" {
		if c, err := wazero.NewCompilationCacheWithDir(kept); err == nil {
			config = config.WithCompilationCache(c)
		}
	}
	b := &Sandbox{own: o, engine: wazero.NewRuntimeWithConfig(ctx, config), ctx: ctx}
	b.Begin()
	if _, err := wasi_snapshot_preview1.Instantiate(ctx, b.engine); err != nil {
		return nil, errors.Join(err, b.engine.Close(ctx))
	}
	var err error
	if b.program, err = b.engine.CompileModule(experimental.WithCompilationWorkers(ctx, runtime.GOMAXPROCS(0)), code); err != nil {
		return nil, errors.Join(err, b.engine.Close(ctx))
	}
	return b, nil
}

// meet asks for the declarations, and tries each calculator at its defaults, with its figures: most mistakes in its
// code show there, before a lesson asks.
func (b *Sandbox) meet(taken kit.Set) error {
	reply, err := b.ask(&guest.Request{}, nil)
	if err != nil {
		return err
	}
	var list fault.List
	for i, mistakes := range reply.Mistakes {
		c, at := &reply.Calculators[i], b.own.packages[i]
		for _, m := range mistakes {
			list.Add(at.fault(m.At, m.Text, m.Hint))
		}
		if _, found := taken.Find(c.ID); found {
			list.Add(at.fault("ID", fmt.Sprintf("there is a calculator %q already", c.ID), "give this one another ID"))
		}
		if _, found := b.set.Find(c.ID); found {
			list.Add(at.fault("ID", fmt.Sprintf("two calculators have the ID %q", c.ID), "give one of them another ID"))
		}
		b.set = append(b.set, b.calculator(c))
	}
	if len(list) == 0 {
		for i, c := range b.set {
			list.Add(b.try(c, b.own.packages[i])...)
		}
	}
	return list.Err()
}

// try works a calculator out at its defaults, which its page opens with.
func (b *Sandbox) try(c *kit.Calculator, at *declared) fault.List {
	w, err := kit.Set{c}.Prepare(kit.Query{Calculator: c.ID})
	if err == nil {
		err = w.Run()
	}
	var refused kit.Faults
	switch {
	case errors.As(err, &refused):
		return fault.List{at.fault("Work", "the calculator refuses its own defaults: "+refused.Error(),
			"choose defaults that it can work with: its page opens with them")}
	case err != nil:
		return fault.From(err)
	}
	var list fault.List
	for i := range c.Figures {
		scene, err := b.draw(w, i, figure.Style{})
		if err != nil {
			list.Add(fault.From(err)...)
			continue
		}
		if svg := scene.SVG(); strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
			list.Add(at.fault(fmt.Sprintf("Figures.%d.Draw", i), fmt.Sprintf("a point of the figure %q is no number", c.Figures[i].Name),
				"look for a division by 0 where it is drawn"))
		}
	}
	return list
}

// Begin begins a build: what came to no end in the last one gets another chance.
func (b *Sandbox) Begin() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.endless, b.told, b.drawn = make(map[string]error), make(map[string]fault.Fault), nil
}

// Faults are those of figures since Begin.
func (b *Sandbox) Faults() fault.List {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.drawn
}

// Set is the site's own calculators.
func (b *Sandbox) Set() kit.Set { return b.set }

// Close ends the program.
func (b *Sandbox) Close() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.end()
	return b.engine.Close(context.Background())
}

// start starts an instance of the program, which serves until it stops.
func (b *Sandbox) start() {
	ctx, cancel := context.WithCancel(b.ctx)
	in, stdin := io.Pipe()
	stdout, out := io.Pipe()
	stop := func() { // also one that waits for its input
		cancel()
		in.CloseWithError(ctx.Err())
		out.CloseWithError(ctx.Err())
	}
	stderr := new(tail)
	go func() {
		// What is initialised is told, so that an init without an end can be named.
		config := wazero.NewModuleConfig().WithName("").WithStdin(in).WithStdout(out).WithStderr(stderr).WithEnv("GODEBUG", "inittrace=1")
		_, err := b.engine.InstantiateModule(ctx, b.program, config)
		err = &ended{err, stderr}
		out.CloseWithError(err)
		in.CloseWithError(err)
	}()
	b.running = &instance{stop: stop, stdin: stdin, send: gob.NewEncoder(stdin), receive: gob.NewDecoder(&marked{from: bufio.NewReader(stdout)}), stderr: stderr}
}

// end ends the instance that runs.
func (b *Sandbox) end() {
	if b.running != nil {
		b.running.stdin.Close()
		b.running.stop()
		b.running = nil
	}
}

// ask sends a request. w is what it works out; nil if it asks for the declarations.
func (b *Sandbox) ask(q *guest.Request, w *kit.Work) (*guest.Reply, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if err := b.endless[q.Calculator]; err != nil {
		return nil, err
	}
	if b.running == nil {
		b.start()
	}
	run := b.running
	late := time.AfterFunc(b.patience, run.stop)
	var r guest.Reply
	err := run.send.Encode(q)
	if err == nil {
		err = run.receive.Decode(&r)
	}
	if !late.Stop() && b.ctx.Err() == nil {
		err = b.tooLate(w, run.stderr.String())
		b.endless[q.Calculator] = err
	}
	var over *ended
	switch {
	case errors.As(err, &over) && b.ctx.Err() == nil:
		err = b.stopped(w, over)
	case err == nil && r.Trap != nil:
		return nil, b.trapped(w, r.Trap)
	case err == nil && len(r.Faults) > 0:
		return nil, r.Faults
	}
	if err != nil {
		b.end()
		return nil, err
	}
	return &r, nil
}

// calculator gives a declaration its functions: they ask the program.
func (b *Sandbox) calculator(c *kit.Calculator) *kit.Calculator {
	c.Work = func(w *kit.Work) error {
		r, err := b.ask(&guest.Request{Calculator: c.ID, Inputs: w.Inputs}, w)
		if err != nil {
			return err
		}
		copy(w.Outputs, r.Outputs)
		copy(w.Moot, r.Moot)
		copy(w.Bands, r.Bands)
		w.Events, w.Series = r.Events, r.Series
		return nil
	}
	for i := range c.Figures {
		c.Figures[i].Draw = func(w *kit.Work, s figure.Style) figure.Scene {
			scene, err := b.draw(w, i, s)
			if err != nil {
				b.mu.Lock()
				defer b.mu.Unlock()
				b.drawn.Add(fault.From(err)...)
				return figure.Scene{Width: 1, Height: 1, Alt: err.Error()}
			}
			return scene
		}
	}
	return c
}

func (b *Sandbox) draw(w *kit.Work, i int, s figure.Style) (figure.Scene, error) {
	r, err := b.ask(&guest.Request{Calculator: w.Calculator.ID, Inputs: w.Inputs, Scene: true, Figure: i, Style: s}, w)
	if err != nil {
		return figure.Scene{}, err
	}
	return r.Scene, nil
}

// marked reads what stands behind guest.Marker: what stands before it, a calculator has printed while it started.
type marked struct {
	from  *bufio.Reader
	begun bool
}

func (m *marked) Read(p []byte) (int, error) {
	for seen := 0; !m.begun; {
		c, err := m.from.ReadByte()
		switch {
		case err != nil:
			return 0, err
		case c == guest.Marker[seen]:
			seen++
		case c == guest.Marker[0]:
			seen = 1
		default:
			seen = 0
		}
		m.begun = seen == len(guest.Marker)
	}
	return m.from.Read(p)
}
