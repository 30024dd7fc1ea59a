package figure

import (
	"math"
	"strconv"
)

// AppendSVG writes the scene as one <svg> element. It has no ids, no styles and no scripts: every mark has the
// class "r-" and its role, and the theme does the rest. Numbers have one decimal, so that native code and
// WebAssembly write the same bytes.
func (s *Scene) AppendSVG(b []byte) []byte {
	b = append(b, `<svg xmlns="http://www.w3.org/2000/svg" class="figure" role="img" direction="ltr" viewBox="0 0 `...)
	b = number(b, s.Width)
	b = append(b, ' ')
	b = number(b, s.Height)
	b = append(b, `" aria-label="`...)
	b = escaped(b, s.Title)
	b = append(b, ". "...)
	b = escaped(b, s.Alt)
	b = append(b, '"')
	if s.Plot.Width > 0 {
		b = s.Plot.attributes(b)
	}
	b = append(b, ` font-size="`...)
	b = number(b, s.Letters)
	b = append(b, `">`...)
	for i := 0; i < len(s.Marks); {
		n := alike(s.Marks[i:])
		b = svg(b, s.Marks[i:i+n], s.Letters)
		i += n
	}
	return append(b, "</svg>"...)
}

// alike is how many marks, from the first on, one path draws: lines or areas of one role, none of which can be dragged.
// A browser takes as long for each element as for many points.
func alike(marks []Mark) int {
	first := &marks[0]
	if first.Shape != Line && first.Shape != Area || first.Handle != nil {
		return 1
	}
	n := 1
	for n < len(marks) {
		if m := &marks[n]; m.Shape != first.Shape || m.Role != first.Role || m.Dashed != first.Dashed || m.Dotted != first.Dotted || m.Handle != nil {
			break
		}
		n++
	}
	return n
}

// SVG is AppendSVG as a string.
func (s *Scene) SVG() string {
	var room [4 << 10]byte // what most figures need
	return string(s.AppendSVG(room[:0]))
}

func (p *Plot) attributes(b []byte) []byte {
	b = append(b, ` data-runs="`...)
	b = escaped(b, p.Runs)
	b = append(b, `" data-plot="`...)
	for i, v := range [...]float64{p.Left, p.Top, p.Width, p.Height} {
		if i > 0 {
			b = append(b, ' ')
		}
		b = number(b, v)
	}
	b = append(b, `" data-span="`...)
	b = strconv.AppendFloat(b, p.From, 'f', 4, 64)
	b = append(b, ' ')
	b = strconv.AppendFloat(b, p.To, 'f', 4, 64)
	return append(b, '"')
}

// svg writes marks that are alike as one element.
func svg(b []byte, marks []Mark, letters float64) []byte {
	m := &marks[0]
	if len(m.Points) == 0 && len(marks) == 1 {
		return b
	}
	switch m.Shape {
	case Dot:
		b = append(b, `<circle class="r-`...)
		b = escaped(b, m.Role)
		b = attribute(b, "cx", m.Points[0].X)
		b = attribute(b, "cy", m.Points[0].Y)
		b = attribute(b, "r", m.Radius)
		b = append(b, '"')
		b = m.Handle.attributes(b)
		return append(b, "/>"...)
	case Letter:
		return m.letter(b, letters)
	}
	b = append(b, `<path class="`...)
	if m.Shape == Area {
		b = append(b, "area "...)
	} else if m.Dotted {
		b = append(b, "line dashed dotted "...)
	} else if m.Dashed {
		b = append(b, "line dashed "...)
	} else {
		b = append(b, "line "...)
	}
	b = append(b, "r-"...)
	b = escaped(b, m.Role)
	b = append(b, `" d="`...)
	for k := range marks {
		for i, p := range marks[k].Points {
			b = append(b, "ML"[min(i, 1)])
			b = number(b, p.X)
			b = append(b, ' ')
			b = number(b, p.Y)
		}
		if m.Shape == Area && len(marks[k].Points) > 0 {
			b = append(b, 'Z')
		}
	}
	b = append(b, '"')
	b = m.Handle.attributes(b)
	return append(b, "/>"...)
}

// attributes say which input is behind a mark: its name, and the way along which it is dragged.
func (h *Handle) attributes(b []byte) []byte {
	if h == nil {
		return b
	}
	b = append(b, ` data-input="`...)
	b = escaped(b, h.Input)
	b = append(b, `" data-way="`...)
	b = append(b, "xy"[btoi(h.Upright)], ' ')
	b = number(b, h.From)
	b = append(b, ' ')
	b = number(b, h.To)
	for _, v := range [...]float64{h.Low, h.High} {
		b = append(b, ' ')
		b = strconv.AppendFloat(b, v, 'f', 4, 64)
	}
	return append(b, '"')
}

func btoi(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// letter leaves the size to the drawing, whose letters a page may set smaller: what stands apart from its place by
// letters, or is larger than them, says so in em.
func (m *Mark) letter(b []byte, letters float64) []byte {
	b = append(b, `<text class="`...)
	if m.Halo {
		b = append(b, "halo "...)
	}
	b = append(b, "r-"...)
	b = escaped(b, m.Role)
	b = attribute(b, "x", m.Points[0].X-m.Shift.X*m.Size)
	b = attribute(b, "y", m.Points[0].Y-m.Shift.Y*m.Size)
	b = em(b, "dx", m.Shift.X, 0)
	b = em(b, "dy", m.Shift.Y, 0)
	b = em(b, "font-size", m.Size/letters, 1)
	if m.Anchor != Start {
		b = append(b, `" text-anchor="`...)
		b = append(b, [...]string{"start", "middle", "end"}[m.Anchor]...)
	}
	if m.Vertical {
		b = append(b, `" transform="rotate(-90 `...)
		b = number(b, m.Points[0].X)
		b = append(b, ' ')
		b = number(b, m.Points[0].Y)
		b = append(b, ')')
	}
	b = append(b, `">`...)
	b = escaped(b, m.Text)
	return append(b, "</text>"...)
}

// attribute closes the attribute before it and opens one that ends without its quote.
func attribute(b []byte, name string, v float64) []byte {
	b = append(b, `" `...)
	b = append(b, name...)
	b = append(b, `="`...)
	return number(b, v)
}

// em is an attribute in letters, to a hundredth, left out if it has its usual value.
func em(b []byte, name string, v, usual float64) []byte {
	if v == usual {
		return b
	}
	b = append(b, `" `...)
	b = append(b, name...)
	b = append(b, `="`...)
	b = strconv.AppendFloat(b, v, 'f', 2, 64)
	return append(b, "em"...)
}

// number writes at most one decimal, and none where it would be nought. Most of a figure are numbers: those that are
// not just between two tenths are rounded here, which takes a third of the time.
func number(b []byte, v float64) []byte {
	tenths := float64(v * 10)
	whole := math.Floor(tenths)
	if over := tenths - whole; 0 <= whole && whole < 1e6 && over != 0.5 {
		n := int(whole)
		if over > 0.5 {
			n++
		}
		b = strconv.AppendInt(b, int64(n/10), 10)
		if n%10 > 0 {
			b = append(b, '.', '0'+byte(n%10))
		}
		return b
	}
	start := len(b)
	b = strconv.AppendFloat(b, v, 'f', 1, 64)
	if n := len(b); b[n-1] == '0' {
		b = b[:n-2]
	}
	if string(b[start:]) == "-0" {
		b = append(b[:start], '0')
	}
	return b
}

// escaped writes text so that it may stand in an element or in a quoted attribute.
func escaped(b []byte, text string) []byte {
	for i := range len(text) {
		switch c := text[i]; c {
		case '&':
			b = append(b, "&amp;"...)
		case '<':
			b = append(b, "&lt;"...)
		case '>':
			b = append(b, "&gt;"...)
		case '"':
			b = append(b, "&quot;"...)
		default:
			b = append(b, c)
		}
	}
	return b
}
