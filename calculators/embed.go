// Package calculators holds the sources of all calculators, so that a builder that was installed as a single binary
// can compile them to WebAssembly, together with calculators of a site's own.
package calculators

import "embed"

// Sources are the packages below this folder. Tests are among them; who unpacks the sources leaves them out.
//
//go:embed */*.go */*/*.go
var Sources embed.FS
