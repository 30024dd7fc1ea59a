package wasm

//go:generate env GOOS=wasip1 GOARCH=wasm go build -buildmode=c-shared -trimpath "-ldflags=-s -w" -gcflags=all=-l -gcflags=example.org/gripleaf/calculators/physics/...= -gcflags=math= -o standard.wasm example.org/gripleaf/calculators/module
//go:generate env GOOS=wasip1 GOARCH=wasm go build -buildmode=c-shared -trimpath "-ldflags=-s -w" -gcflags=all=-l -gcflags=example.org/gripleaf/calculators/physics/...= -gcflags=math= -o rides.wasm example.org/gripleaf/calculators/module/rides
//go:generate env GOOS=wasip1 GOARCH=wasm go build -buildmode=c-shared -trimpath "-ldflags=-s -w" -gcflags=all=-l -gcflags=math= -o measured.wasm example.org/gripleaf/calculators/module/measured
