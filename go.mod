module example.org/gripleaf

go 1.26.0

require (
	github.com/alecthomas/kong v1.17.0
	github.com/andybalholm/brotli v1.2.8
	github.com/chromedp/cdproto v0.159.0
	github.com/chromedp/chromedp v0.23.0
	github.com/evanw/esbuild v0.28.2
	github.com/fsnotify/fsnotify v1.10.1
	github.com/go-text/typesetting v0.3.5
	github.com/goccy/go-yaml v1.19.2
	github.com/google/go-cmp v0.7.0
	github.com/microcosm-cc/bluemonday v1.0.27
	github.com/piglig/go-qr v1.1.0
	github.com/rivo/uniseg v0.4.7
	github.com/rogpeppe/go-internal v1.16.0
	github.com/tetratelabs/wazero v1.12.0
	github.com/yuin/goldmark v1.8.7
	golang.org/x/image v0.47.0
	golang.org/x/net v0.62.0
	golang.org/x/sys v0.49.0
	golang.org/x/term v0.47.0
	golang.org/x/text v0.44.0
	pgregory.net/rapid v1.3.0
)

require golang.org/x/sync v0.25.0

require (
	github.com/aymerick/douceur v0.2.0 // indirect
	github.com/go-json-experiment/json v0.0.0-20260213210345-44df1a37e875 // indirect
	github.com/gorilla/css v1.0.1 // indirect
	github.com/stretchr/testify v1.10.0 // indirect
	golang.org/x/mod v0.43.0
	golang.org/x/tools v0.52.0 // indirect
)
