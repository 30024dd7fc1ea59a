package figure

import "strings"

// key is a label with the stroke or the dot that it names. One that finds no place in the plot stands above it.
type key struct {
	role, text     string
	dashed, dotted bool
	dot            bool
	rest           bool // it goes on with the one before it
}

// keySwatch, keyGap and keyRow measure the labels above a plot, in letters.
const (
	keySwatch = 1.3
	keyGap    = 0.9
	keyRow    = 1.4
)

// flow gives each label above the plot its place from the left and its row, and how many rows there are.
func (p *panel) flow(visit func(k key, x float64, row int)) (rows int) {
	left, right := p.Letters*0.3, p.Width-p.Letters*0.3
	x := left
	for i, k := range p.keys {
		wide := keySwatch*p.Letters + p.width(k.text)
		if i == 0 || x+wide > right || k.rest {
			x, rows = left, rows+1
		}
		visit(k, x, rows-1)
		x += wide + keyGap*p.Letters
	}
	return rows
}

// broken is a label in parts that each fit into a row, cut between words.
func (p *panel) broken(k key) []key {
	room := 0.92*p.Width - keySwatch*p.Letters
	parts := []key{k}
	for {
		last := &parts[len(parts)-1]
		cut := len(last.text)
		for cut > 0 && p.width(last.text[:cut]) > room {
			cut = strings.LastIndex(last.text[:cut-1], " ") + 1
		}
		if cut <= 0 || cut == len(last.text) {
			return parts
		}
		rest := *last
		rest.rest, rest.text, last.text = true, last.text[cut:], last.text[:cut-1]
		parts = append(parts, rest)
	}
}

// head is the height of the rows above the plot.
func (p *panel) head() float64 {
	return keyRow * p.Letters * float64(p.flow(func(key, float64, int) {}))
}

// legend draws the labels that stand above the plot, each behind the stroke that it names.
func (p *panel) legend() {
	em := p.Letters
	p.flow(func(k key, x float64, row int) {
		y := p.top - p.head() + em*(keyRow*float64(row+1)-0.75)
		switch {
		case k.dot && !k.rest:
			p.add(Mark{Shape: Dot, Role: k.role, Points: []Point{{x + em*0.5, y - em*0.3}}, Radius: em * 0.36})
		case !k.rest:
			p.add(Mark{Shape: Line, Role: k.role, Points: []Point{{x, y - em*0.3}, {x + em, y - em*0.3}}, Dashed: k.dashed, Dotted: k.dotted})
		}
		p.add(Mark{Shape: Letter, Role: k.role, Text: k.text, Points: []Point{{x + keySwatch*em, y}}, Size: em, Halo: true})
	})
}
