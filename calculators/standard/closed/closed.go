// Package closed is the list of the standard calculators that are closed formulas, without the simulation.
package closed

import (
	"example.org/gripleaf/calculators/gap"
	"example.org/gripleaf/calculators/heat"
	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/lean"
	"example.org/gripleaf/calculators/lever"
	"example.org/gripleaf/calculators/measured"
	"example.org/gripleaf/calculators/slip"
	"example.org/gripleaf/calculators/stop"
	"example.org/gripleaf/calculators/transfer"
	"example.org/gripleaf/calculators/wheel"
)

// Set is in the order of the whole list.
var Set = kit.Set{
	&stop.Calculator,
	&gap.Calculator,
	&transfer.Calculator,
	&slip.Calculator,
	&lean.Calculator,
	&wheel.Calculator,
	&lever.Calculator,
	&heat.Calculator,
	&measured.Calculator,
}
