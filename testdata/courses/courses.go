// Package courses makes courses of any size for benchmarks: seeded, and like real ones in what costs time. A lesson
// has about 900 words, three checked numbers, a figure, a picture, terms, and links to other lessons. The prose is
// invented and says nothing.
package courses

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/standard"
)

// Make writes a site of n lessons below dir, the same for the same n and seed.
func Make(dir string, n int, seed uint64) error {
	for _, d := range []string{"en", "pictures"} {
		if err := os.MkdirAll(filepath.Join(dir, d), 0o755); err != nil {
			return err
		}
	}
	if err := writePicture(filepath.Join(dir, "pictures", "yard.png")); err != nil {
		return err
	}
	files := map[string]string{"site.yaml": site(n), "sources.yaml": sources, "en/glossary.yaml": glossary}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			return err
		}
	}
	for i := range n {
		m := maker{rand.New(rand.NewPCG(seed, uint64(i))), i, n, &strings.Builder{}}
		text, err := m.lesson()
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, "en", name(i)+".md"), []byte(text), 0o644); err != nil {
			return err
		}
	}
	return nil
}

func name(i int) string { return fmt.Sprintf("lesson-%06d", i+1) }

const sources = `handbook:
  title: A Handbook of Stopping
  by: The Ferndale School
  year: 2024
  note: invented, for measuring speed
`

const glossary = `grip:
  term: grip
  means: Braking force over load.
slip:
  term: slip
  means: How much slower a tyre turns than the road passes.
`

func site(n int) string {
	var b strings.Builder
	b.WriteString("title: A course for measuring\nsummary: Lessons that say nothing.\naddress: https://braking.example/\nlanguages: [en]\npublisher: Ferndale Riding School\nlessons:\n")
	for i := range n {
		b.WriteString("  - " + name(i) + "\n")
	}
	return b.String()
}

// maker writes one lesson.
type maker struct {
	r    *rand.Rand
	i, n int
	b    *strings.Builder
}

var words = strings.Fields(`the a bike road wheel tyre brake lever hand rider stop speed load fork slope corner yard
	gravel rain wet dry cold early late hard soft longer shorter turns rolls holds slips grips leans waits sees feels
	before after while because until then and but so with without under over through along from into`)

func (m *maker) lesson() (string, error) {
	fmt.Fprintf(m.b, "---\ntitle: Lesson %d of many\nquestion: What does lesson %d ask?\nsummary: It asks nothing and measures speed.\ndate: 2026-03-%02d\n---\n\n", m.i+1, m.i+1, m.i%28+1)
	for section := range 6 {
		if section > 0 {
			fmt.Fprintf(m.b, "## Part %d: %s\n\n", section, m.words(4))
		}
		for range 3 {
			m.paragraph()
		}
		if err := m.special(section); err != nil {
			return "", err
		}
	}
	m.b.WriteString("```caution\nThese words are for measuring only. Practise off the road with an instructor.\n```\n")
	return m.b.String(), nil
}

func (m *maker) words(n int) string {
	list := make([]string, n)
	for i := range list {
		list[i] = words[m.r.IntN(len(words))]
	}
	return strings.Join(list, " ")
}

func (m *maker) paragraph() {
	for range 3 {
		fmt.Fprintf(m.b, "The %s, *%s* and **%s**.\n", m.words(9), m.words(2), m.words(3))
	}
	m.b.WriteString("\n")
}

// special is what a section has beside prose.
func (m *maker) special(section int) error {
	switch section {
	case 0, 2, 4:
		return m.number()
	case 1:
		fmt.Fprintf(m.b, "![%s](calc:stop?speed=%dkm/h&grip=0.%d#road)\n\n", m.words(5), 30+10*m.r.IntN(10), 3+m.r.IntN(7))
	case 3:
		m.b.WriteString("![The yard](../pictures/yard.png)\n\n| speed | grip |\n| --- | --- |\n| low | high |\n| high | low |\n\n")
	case 5:
		fmt.Fprintf(m.b, "See [this lesson](%s.md) and [that one](%s.md); [grip](term:grip) and [slip](term:slip) are explained [elsewhere](source:handbook).\n\n", name(m.r.IntN(m.n)), name(m.r.IntN(m.n)))
	}
	return nil
}

func (m *maker) number() error {
	query := fmt.Sprintf("calc:stop?speed=%dkm/h&grip=0.%d%d", 30+m.r.IntN(100), 3+m.r.IntN(6), m.r.IntN(10))
	w, err := standard.Set.Work(query)
	if err != nil {
		return err
	}
	value := strconv.FormatFloat(w.Output("braking-distance"), 'f', 1, 64)
	fmt.Fprintf(m.b, "After %s the brakes take [%s m](%s#braking-distance) of road.\n\n", m.words(6), value, query)
	return nil
}

// writePicture draws the one picture that all lessons show.
func writePicture(path string) error {
	p := image.NewRGBA(image.Rect(0, 0, 320, 180))
	for y := range 180 {
		for x := range 320 {
			p.Set(x, y, color.RGBA{uint8(x / 2), uint8(y), 90, 255})
		}
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	if err := png.Encode(f, p); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
