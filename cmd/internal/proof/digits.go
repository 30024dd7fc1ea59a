package proof

import (
	"math"

	"example.org/gripleaf/calculators/quantity"
	"example.org/gripleaf/cmd/internal/fault"
	"example.org/gripleaf/cmd/internal/lesson"
	"example.org/gripleaf/cmd/internal/locale"
)

// Digits finds checked numbers that are written finer than nature repeats them. Where a calculator gives the band that
// holds nine of ten outcomes, the last place that is written should not be smaller than the largest power of ten within
// the band's width: of stops that spread over a metre nobody knows the centimetres.
func Digits(l *lesson.Lesson, words *locale.Locale) fault.List {
	c := &checker{lesson: l, reader: words.Reader(quantity.Metric)}
	for _, n := range l.Numbers {
		r := &n.Result
		if r.Work == nil || r.Output < 0 || n.Relation != lesson.None || n.Written == "" {
			continue
		}
		q, err := quantity.ParseWritten(n.Written, words.Numbers, r.Shown.Kind)
		if err != nil {
			continue
		}
		band := r.Work.Bands[r.Output]
		width := math.Abs(q.Unit.From(band.High) - q.Unit.From(band.Low))
		if width == 0 {
			continue
		}
		if places := placesFor(width); q.Decimals > places {
			c.fault(n.WrittenSpan, "fine-digits", quote(n.Written)+" says more than is known: nine of ten outcomes lie from "+
				c.exact(band.Low, q, places+1)+" to "+c.exact(band.High, q, places+1), "write "+c.exact(r.Value, q, places))
		}
	}
	return c.faults
}

// placesFor is how many decimals a number may have whose outcomes spread over a width, in the same unit.
func placesFor(width float64) int {
	return max(0, int(math.Ceil(-math.Log10(width)-1e-9)))
}
