// A reactor that leans on what stripping could break: collection, growing stacks, recovered panics, maps, strings.
package main

import (
	"errors"
	"runtime"
	"sort"
	"strconv"
)

type node struct {
	left, right *node
	name        string
}

func grow(depth int) *node {
	if depth == 0 {
		return nil
	}
	return &node{grow(depth - 1), grow(depth - 1), strconv.Itoa(depth)}
}

func (n *node) count() int32 {
	if n == nil {
		return 0
	}
	return 1 + n.left.count() + n.right.count()
}

// deep uses a frame of some size at each level, so that the stack has to be copied while pointers into it live.
func deep(n int, above *int) int {
	var frame [64]int
	frame[n%64] = *above + 1
	if n == 0 {
		return frame[0]
	}
	return deep(n-1, &frame[n%64])
}

func recovered() (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = errors.New("recovered")
		}
	}()
	var none []int
	return errors.New(strconv.Itoa(none[len(none)]))
}

//go:wasmexport work
func work(n int32) int32 {
	sum := int32(0)
	names := map[string]int{}
	for i := range int(n) {
		tree := grow(10)
		runtime.GC()
		sum += tree.count()
		names["k"+strconv.Itoa(i*7919%101)]++
	}
	start := 0
	sum += int32(deep(20000, &start))
	if err := recovered(); err != nil && err.Error() == "recovered" {
		sum += 1000003
	}
	keys := make([]string, 0, len(names))
	for k := range names {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	for i, k := range keys {
		sum = sum*31 + int32(i+len(k)+names[k])
	}
	return sum
}

func main() {}
