// Package standard is the list of all calculators that come with the program.
package standard

import (
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/slip"
	"example.org/gripleaf/calculators/stop"
)

// Set holds the standard calculators in the order in which a course needs them.
var Set = kit.Set{
	&stop.Calculator,
	&slip.Calculator,
}
