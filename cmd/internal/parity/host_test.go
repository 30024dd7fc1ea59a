// Package parity tests the module that readers get, the very bytes that a build ships, against native Go: the same
// answers to the last printed digit, in a size that a phone loads, from a host that may ask anything.
package parity_test

import (
	"context"
	"strings"
	"sync"
	"testing"

	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"
	"github.com/tetratelabs/wazero/imports/wasi_snapshot_preview1"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/standard"
	"example.org/gripleaf/cmd/internal/cache"
	"example.org/gripleaf/cmd/internal/wasm"
)

// shipped is the module of closed formulas as a build ships it, compiled once for all tests.
var shipped = sync.OnceValues(func() ([]byte, error) {
	source, err := wasm.New(cache.Cache{}, "")
	if err != nil {
		return nil, err
	}
	return source.Compile(context.Background())
})

// rides is the module of simulated stops, likewise.
var rides = sync.OnceValues(func() ([]byte, error) {
	source, err := wasm.NewRides(cache.Cache{})
	if err != nil {
		return nil, err
	}
	return source.Compile(context.Background())
})

// ridden reports whether a request is about a calculator of that module.
func ridden(request string) bool {
	id, _, _ := strings.Cut(strings.TrimPrefix(request, kit.Scheme), "\n")
	id, _, _ = strings.Cut(id, "?")
	c, ok := standard.Set.Find(id)
	return ok && (c.Simulates || c.Long)
}

// logged is the module for logs, likewise.
var logged = sync.OnceValues(func() ([]byte, error) {
	source, err := wasm.NewMeasured(cache.Cache{})
	if err != nil {
		return nil, err
	}
	return source.Compile(context.Background())
})

// compiled keeps what wazero makes of the module, so that each test only starts it again.
var compiled = wazero.NewCompilationCache()

// host is an instance of the module.
type host struct {
	tb      testing.TB
	ctx     context.Context
	runtime wazero.Runtime
	module  api.Module
	partial func(done, total int32, reply []byte) bool // what it does with progress; nil goes on
	rides   *host                                      // of the other module, which is asked about simulated stops
}

func open(tb testing.TB) *host {
	tb.Helper()
	h := start(tb, shipped)
	h.rides = start(tb, rides)
	h.rides.partial = func(done, total int32, reply []byte) bool { return h.partial == nil || h.partial(done, total, reply) }
	return h
}

func start(tb testing.TB, module func() ([]byte, error)) *host {
	tb.Helper()
	bytes, err := module()
	if err != nil {
		tb.Fatal(err)
	}
	h := &host{tb: tb, ctx: context.Background()}
	h.runtime = wazero.NewRuntimeWithConfig(h.ctx, wazero.NewRuntimeConfig().WithCompilationCache(compiled))
	tb.Cleanup(func() { h.runtime.Close(h.ctx) })
	wasi_snapshot_preview1.MustInstantiate(h.ctx, h.runtime)
	if _, err := h.runtime.NewHostModuleBuilder("gripleaf").NewFunctionBuilder().WithFunc(h.progress).Export("partial").Instantiate(h.ctx); err != nil {
		tb.Fatal(err)
	}
	h.module, err = h.runtime.InstantiateWithConfig(h.ctx, bytes, wazero.NewModuleConfig().WithStartFunctions("_initialize"))
	if err != nil {
		tb.Fatal(err)
	}
	return h
}

func (h *host) progress(_ context.Context, m api.Module, done, total, address, length int32) int32 {
	reply, ok := m.Memory().Read(uint32(address), uint32(length))
	if !ok {
		h.tb.Errorf("progress points outside of the memory: %d, %d", address, length)
	}
	if h.partial != nil && !h.partial(done, total, reply) {
		return 0
	}
	return 1
}

// call calls an export with numbers.
func (h *host) call(export string, arguments ...uint64) uint64 {
	h.tb.Helper()
	results, err := h.module.ExportedFunction(export).Call(h.ctx, arguments...)
	if err != nil {
		h.tb.Fatalf("%s(%v): %v", export, arguments, err)
	}
	if len(results) == 0 {
		return 0
	}
	return results[0]
}

// ask writes a request into the buffer and reads the reply.
func (h *host) ask(export, request string) string {
	h.tb.Helper()
	if h.rides != nil && ridden(request) {
		return h.rides.ask(export, request)
	}
	if h.rides != nil && export == "reader" {
		h.rides.ask(export, request)
	}
	address := h.call("room", uint64(len(request)))
	if !h.module.Memory().Write(uint32(address), []byte(request)) {
		h.tb.Fatalf("the buffer at %d is outside of the memory", address)
	}
	return h.reply(h.call(export, uint64(len(request))))
}

func (h *host) reply(length uint64) string {
	h.tb.Helper()
	bytes, ok := h.module.Memory().Read(uint32(h.call("address")), uint32(length))
	if !ok {
		h.tb.Fatalf("a reply of %d bytes is outside of the memory", length)
	}
	return string(bytes)
}
