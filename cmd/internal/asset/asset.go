// Package asset makes what pages load besides themselves: scripts and styles through esbuild, and pictures, all under
// names that hold a hash of their content.
package asset

import (
	"crypto/sha256"
	"encoding/hex"
	"path"
	"strings"
)

// Set names the files that every page refers to, relative to the site's root.
type Set struct {
	Script     string // "script.<hash>.js"
	Style      string // "style.<hash>.css"
	Module     string // "module.<hash>.wasm"
	ModuleJS   string // "module.<hash>.js": the same bytes, packed, for pages opened from disk and from servers that compress nothing
	Rides      string // "rides.<hash>.wasm": the module of simulated stops
	RidesJS    string // "rides.<hash>.js"
	Measured   string // "measured.<hash>.wasm": the module for logs
	MeasuredJS string // "measured.<hash>.js"
}

// Picture is an image of the site as published.
type Picture struct {
	Path          string // relative to the site's root
	Width, Height int    // pixels; 0 where unknown
}

// File is a file to publish.
type File struct {
	Path string
	Data []byte
}

// hashed puts a hash of the content before the ending of a name: "script.js" becomes "script.1f0c9a2b.js".
func hashed(name string, data []byte) string {
	sum := sha256.Sum256(data)
	ending := path.Ext(name)
	return strings.TrimSuffix(name, ending) + "." + hex.EncodeToString(sum[:5]) + ending
}
