package wasm

//go:generate env GOOS=wasip1 GOARCH=wasm go build -buildmode=c-shared -trimpath "-ldflags=-s -w" -o standard.wasm example.org/gripleaf/calculators/module
