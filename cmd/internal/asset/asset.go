// Package asset makes what pages load besides themselves: scripts and styles through esbuild, pictures and fonts, all
// under names that hold a hash of their content.
package asset

// Set names the files that pages refer to, relative to the site's root.
type Set struct {
	Script   string // "script.<hash>.js"
	Style    string // "style.<hash>.css"
	Module   string // "module.<hash>.wasm"
	ModuleJS string // "module.<hash>.js": the same bytes for pages opened from disk
	Pictures map[string]Picture
}

// Picture is an image of the site as published.
type Picture struct {
	Path          string // relative to the site's root
	Width, Height int    // pixels; 0 where unknown
}
