package strip

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/andybalholm/brotli"
	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/imports/wasi_snapshot_preview1"
)

func compile(t testing.TB) []byte {
	t.Helper()
	out := filepath.Join(t.TempDir(), "reactor.wasm")
	cmd := exec.Command("go", "build", "-trimpath", "-ldflags=-s -w", "-buildmode=c-shared", "-o", out, "./testdata/reactor")
	cmd.Env = append(os.Environ(), "GOOS=wasip1", "GOARCH=wasm")
	if message, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, message)
	}
	b, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// run starts a module and calls its work a few times; the outside judge is wazero, which also validates the module.
func run(t testing.TB, wasm []byte) []uint64 {
	t.Helper()
	ctx := context.Background()
	r := wazero.NewRuntime(ctx)
	defer r.Close(ctx)
	wasi_snapshot_preview1.MustInstantiate(ctx, r)
	m, err := r.InstantiateWithConfig(ctx, wasm, wazero.NewModuleConfig().WithStartFunctions("_initialize").WithName(""))
	if err != nil {
		t.Fatal(err)
	}
	var results []uint64
	for _, n := range []uint64{1, 5, 40} {
		got, err := m.ExportedFunction("work").Call(ctx, n)
		if err != nil {
			t.Fatal(err)
		}
		results = append(results, got[0])
	}
	return results
}

func TestModuleComputesTheSame(t *testing.T) {
	whole := compile(t)
	small, err := Module(whole)
	if err != nil {
		t.Fatal(err)
	}
	want, got := run(t, whole), run(t, small)
	for i := range want {
		if want[i] != got[i] {
			t.Errorf("call %d: %d, stripped %d", i, want[i], got[i])
		}
	}
	a, b := weight(t, whole), weight(t, small)
	t.Logf("brotli: %d bytes, stripped %d", a, b)
	if float64(b) > 0.9*float64(a) {
		t.Errorf("stripping took %d bytes only to %d", a, b)
	}
	if bytes.Contains(small, []byte("runtime.findRunnable")) {
		t.Error("function names are still there: the table of this Go version is not known")
	}
}

func weight(t testing.TB, b []byte) int {
	var out bytes.Buffer
	w := brotli.NewWriterLevel(&out, brotli.BestCompression)
	if _, err := w.Write(b); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Len()
}

func TestModuleTwice(t *testing.T) {
	once, err := Module(compile(t))
	if err != nil {
		t.Fatal(err)
	}
	twice, err := Module(once)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(once, twice) {
		t.Error("stripping what is stripped changes it")
	}
}

func TestModuleRefuses(t *testing.T) {
	for name, b := range map[string]string{
		"nothing":           "",
		"other file":        "\x7fELF\x01\x01\x01\x00",
		"section too long":  "\x00asm\x01\x00\x00\x00\x01\x7f\x00",
		"data cut off":      "\x00asm\x01\x00\x00\x00\x0b\x03\x01\x00\x41",
		"data of a table":   "\x00asm\x01\x00\x00\x00\x0b\x06\x01\x02\x41\x00\x0b\x00",
		"data out of range": "\x00asm\x01\x00\x00\x00\x0b\x0b\x01\x00\x41\x80\x80\x80\x80\x01\x0b\x01A",
	} {
		if _, err := Module([]byte(b)); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func FuzzModule(f *testing.F) {
	f.Add([]byte("\x00asm\x01\x00\x00\x00\x0b\x07\x01\x00\x41\x08\x0b\x01A"))
	f.Add(append([]byte("\x00asm\x01\x00\x00\x00\x0b\x0e\x01\x00\x41\x08\x0b\x08"), magic...))
	f.Fuzz(func(t *testing.T, b []byte) {
		small, err := Module(b)
		if err != nil {
			return
		}
		if _, err := Module(small); err != nil {
			t.Errorf("what it wrote it does not read: %v", err)
		}
	})
}
