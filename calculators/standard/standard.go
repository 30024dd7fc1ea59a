// Package standard is the list of all calculators that come with the program.
package standard

import (
	"example.org/gripleaf/calculators/antilock"
	"example.org/gripleaf/calculators/cycle"
	"example.org/gripleaf/calculators/gap"
	"example.org/gripleaf/calculators/heat"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/lean"
	"example.org/gripleaf/calculators/lever"
	"example.org/gripleaf/calculators/measured"
	"example.org/gripleaf/calculators/rider"
	"example.org/gripleaf/calculators/slip"
	"example.org/gripleaf/calculators/squeeze"
	"example.org/gripleaf/calculators/stop"
	"example.org/gripleaf/calculators/transfer"
	"example.org/gripleaf/calculators/wheel"
)

// Set holds the standard calculators in the order in which a course needs them.
var Set = kit.Set{
	&stop.Calculator,
	&gap.Calculator,
	&transfer.Calculator,
	&slip.Calculator,
	&antilock.Calculator,
	&cycle.Calculator,
	&squeeze.Calculator,
	&lean.Calculator,
	&wheel.Calculator,
	&lever.Calculator,
	&heat.Calculator,
	&rider.Calculator,
	&measured.Calculator,
}
