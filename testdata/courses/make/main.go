// Command make writes a course for benchmarks: go run ./testdata/courses/make -n 1000 DIR
package main

import (
	"flag"
	"fmt"
	"os"

	"example.org/gripleaf/testdata/courses"
)

func main() {
	n := flag.Int("n", 1000, "how many lessons")
	seed := flag.Uint64("seed", 1, "seed of the prose")
	flag.Parse()
	if flag.NArg() != 1 {
		fmt.Fprintln(os.Stderr, "usage: make [-n LESSONS] [-seed N] DIR")
		os.Exit(2)
	}
	if err := courses.Make(flag.Arg(0), *n, *seed); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
