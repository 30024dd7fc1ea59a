package publish

import (
	"context"
	"crypto/sha256"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
)

// benchmarkSite returns a site of n lessons of 8 KB, each in a folder of its own.
func benchmarkSite(n int) (paths []string, text []byte, sum [sha256.Size]byte) {
	for i := range n {
		paths = append(paths, fmt.Sprintf("lessons/%05d/index.html", i))
	}
	text = []byte(strings.Repeat("Braking. ", 8<<10/9))
	return paths, text, sha256.Sum256(text)
}

func publishBench(b *testing.B, dir string, fill func(e *Edition) error) {
	b.Helper()
	e, err := Open(dir, Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer e.Close()
	if err := fill(e); err != nil {
		b.Fatal(err)
	}
	if _, err := e.Commit(context.Background()); err != nil {
		b.Fatal(err)
	}
}

func BenchmarkPublish(b *testing.B) {
	for _, n := range []int{100, 10_000} {
		paths, text, sum := benchmarkSite(n)
		keep := func(e *Edition, paths []string) {
			for _, p := range paths {
				if !e.Keep(p, sum) {
					b.Fatalf("%s was not kept", p)
				}
			}
		}
		dir := filepath.Join(b.TempDir(), "built")
		publishBench(b, dir, func(e *Edition) error {
			for _, p := range paths {
				if _, err := e.Add(p, text); err != nil {
					return err
				}
			}
			return nil
		})
		b.Run(fmt.Sprintf("%d/NoChange", n), func(b *testing.B) {
			for b.Loop() {
				publishBench(b, dir, func(e *Edition) error { keep(e, paths); return nil })
			}
		})
		i := 0
		b.Run(fmt.Sprintf("%d/OneChange", n), func(b *testing.B) {
			for b.Loop() {
				publishBench(b, dir, func(e *Edition) error {
					i++
					keep(e, paths[1:])
					_, err := e.Add(paths[0], []byte(fmt.Sprint(i)))
					return err
				})
			}
		})
	}
	b.Run("10000/New", func(b *testing.B) {
		paths, text, _ := benchmarkSite(10_000)
		for b.Loop() {
			publishBench(b, filepath.Join(b.TempDir(), "built"), func(e *Edition) error {
				for _, p := range paths {
					if _, err := e.Add(p, text); err != nil {
						return err
					}
				}
				return nil
			})
		}
	})
}
