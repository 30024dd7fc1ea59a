// Package preset is the inputs that several calculators share: the surface under the tyres and the bike, each a
// word that sets other inputs.
package preset

import (
	"strconv"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/calculators/physics/tyre"
)

var surfaceLabels = map[string]string{
	"dry-asphalt": "dry asphalt", "wet-asphalt": "wet asphalt", "dry-concrete": "dry concrete",
	"cobble-dry": "dry cobbles", "cobble-wet": "wet cobbles", "snow": "packed snow", "ice": "ice",
	"gravel": "loose gravel", "deep-sand": "deep sand", "loose-snow": "loose snow",
}

// SurfaceLabel is a surface's name in plain English.
func SurfaceLabel(id string) string { return surfaceLabels[id] }

// Surface is an input whose choices are the surfaces; fallback may be empty for "not given".
func Surface(name, label, help, fallback string) kit.Input {
	in := kit.Input{Name: name, Label: label, Help: help, Default: fallback}
	for _, s := range tyre.Surfaces() {
		in.Choices = append(in.Choices, kit.Choice{Value: s.ID, Label: surfaceLabels[s.ID]})
	}
	return in
}

// GripOf lets the choice of a surface set an input to the best grip of that surface.
func GripOf(surface, grip string) []kit.Preset {
	var list []kit.Preset
	for _, s := range tyre.Surfaces() {
		_, peak := s.Peak()
		list = append(list, kit.Preset{Input: surface, Choice: s.ID,
			Sets: []kit.Setting{{Input: grip, Value: strconv.FormatFloat(peak, 'f', 4, 64)}}})
	}
	return list
}
