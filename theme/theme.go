// Package theme is what the reader sees: templates, styles, scripts and the interface's words in every language.
//
// A site may replace any file by one of the same name in a folder theme/ of its own.
package theme

import "embed"

// Files holds
//
//	templates/*.html   html/template, executed by the builder
//	style/*.css        main.css imports the others
//	script/*.ts        main.ts is the page's script, service.ts the one that keeps a site for offline use
//	messages/TAG.yaml  English text -> the same in the language of the tag
//
//go:embed templates style script messages
var Files embed.FS
