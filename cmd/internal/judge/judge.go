// Package judge finds the programs by which tests have their results judged
// from outside: browsers, validators, decoders.
package judge

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// Find gives the path of the first of the named programs that is installed.
// Without any, the test is skipped, and fails where CI is set: there the judge
// must be present.
func Find(t testing.TB, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("the judge %v is not installed", names)
	}
	t.Skipf("the judge %v is not installed", names)
	return ""
}

// Browser gives the path of Chromium.
func Browser(t testing.TB) string {
	t.Helper()
	return Find(t, "chromium", "chromium-browser", "google-chrome")
}

// Ask runs a judge and gives what it says on standard output. When it exits
// with a failure, so does the test.
func Ask(t testing.TB, program string, arguments ...string) string {
	t.Helper()
	var out, said bytes.Buffer
	cmd := exec.Command(Find(t, program), arguments...)
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %q: %v\n%s%s", program, arguments, err, out.String(), said.String())
	}
	return out.String()
}

// Tab starts Chromium and gives the context of an empty tab in it, for chromedp.
// It is closed when the test ends, or after a minute.
func Tab(t testing.TB) context.Context {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(Browser(t)), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.UserDataDir(t.TempDir()), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	return ctx
}
