package still

import (
	"fmt"
	"image/color"
	"regexp"
	"strconv"
	"strings"

	"example.org/gripleaf/theme"
)

// Background is what a picture stands on.
type Background string

// The backgrounds, by the names that a stage's address has too. On the transparent one, and on the green one that an
// editing program takes away, words and lines are light with a dark rim, since nobody knows what will be behind them.
const (
	Light       Background = "light"
	Dark        Background = "dark"
	Green       Background = "green"
	Transparent Background = "transparent"
)

// replaced reports whether something else will be behind the picture.
func (g Background) replaced() bool { return g == Green || g == Transparent }

// screen is the green one; nothing on it has a colour that would be taken away with it.
var screen = color.RGBA{0x00, 0xb1, 0x40, 0xff}

// A Palette gives marks their colours, and has them from the theme's style sheets, as pages do: the tokens by name, for
// a light and for a dark background, and the token of each role.
type Palette struct {
	light, dark map[string]color.RGBA
	roles       map[string]string
}

// token is a custom property of CSS whose value is a colour in hexadecimal.
var token = regexp.MustCompile(`--([a-z-]+):\s*#([0-9a-fA-F]{3,8})\b`)

// rule is a rule of CSS that gives roles their token.
var (
	rule = regexp.MustCompile(`([^{}]+)\{[^{}]*--role:\s*var\(--([a-z-]+)\)`)
	role = regexp.MustCompile(`\.r-([a-z-]+)`)
)

// NewPalette reads the theme's tokens and roles and lays a site's own colours over them. What a site writes in other
// ways than in hexadecimal is left to browsers.
func NewPalette(own map[string]string) (*Palette, error) {
	css, err := theme.Files.ReadFile("style/tokens.css")
	if err != nil {
		return nil, err
	}
	figures, err := theme.Files.ReadFile("style/figure.css")
	if err != nil {
		return nil, err
	}
	light, dark, found := strings.Cut(string(css), "prefers-color-scheme: dark")
	if !found {
		return nil, fmt.Errorf("the theme's tokens.css has no dark colours")
	}
	p := &Palette{light: tokens(light), dark: tokens(dark), roles: make(map[string]string)}
	for _, r := range rule.FindAllStringSubmatch(string(figures), -1) {
		for _, name := range role.FindAllStringSubmatch(r[1], -1) {
			p.roles[name[1]] = r[2]
		}
	}
	for name, value := range own {
		if c, ok := hex(strings.TrimPrefix(value, "#")); ok && strings.HasPrefix(value, "#") {
			p.light[name], p.dark[name] = c, c
		}
	}
	for _, name := range []string{"panel", "ink", "quiet", "hair", "edge"} {
		if p.light[name].A == 0 || p.dark[name].A == 0 {
			return nil, fmt.Errorf("the theme's tokens.css has no colour --%s", name)
		}
	}
	return p, nil
}

func tokens(css string) map[string]color.RGBA {
	m := make(map[string]color.RGBA)
	for _, match := range token.FindAllStringSubmatch(css, -1) {
		if c, ok := hex(match[2]); ok {
			m[match[1]] = c
		}
	}
	return m
}

// hex reads an opaque colour of CSS: RGB or RRGGBB.
func hex(digits string) (color.RGBA, bool) {
	if len(digits) == 3 {
		digits = string([]byte{digits[0], digits[0], digits[1], digits[1], digits[2], digits[2]})
	}
	n, err := strconv.ParseUint(digits, 16, 32)
	if err != nil || len(digits) != 6 {
		return color.RGBA{}, false
	}
	return color.RGBA{uint8(n >> 16), uint8(n >> 8), uint8(n), 255}, true
}

// faded is a colour with a share of its strength, premultiplied as color.RGBA has it.
func faded(c color.RGBA, share float64) color.RGBA {
	f := func(v uint8) uint8 { return uint8(float64(v)*share + 0.5) }
	return color.RGBA{f(c.R), f(c.G), f(c.B), f(c.A)}
}

// ink is a palette on one background.
type ink struct {
	tokens     map[string]color.RGBA
	roles      map[string]string
	background Background
}

func (p *Palette) on(g Background) ink {
	if g == Light {
		return ink{p.light, p.roles, g}
	}
	return ink{p.dark, p.roles, g}
}

// paper is what the picture stands on.
func (k ink) paper() color.RGBA {
	switch k.background {
	case Green:
		return screen
	case Transparent:
		return color.RGBA{}
	}
	return k.tokens["panel"]
}

func (k ink) words() color.RGBA { return k.tokens["ink"] }

// quiet is for words of less weight.
func (k ink) quiet() color.RGBA {
	if k.background.replaced() {
		return k.words()
	}
	return k.tokens["quiet"]
}

// rim stands between a mark and what is below it.
func (k ink) rim() color.RGBA {
	if k.background == Transparent {
		return faded(k.tokens["panel"], 0.72)
	}
	return k.tokens["panel"]
}

// wash is how much of a role's colour an area has.
func (k ink) wash() float64 {
	switch k.background {
	case Light:
		return 0.16
	case Dark:
		return 0.24
	}
	return 0.45
}

// role is the colour of a mark's role; a role without one of its own is drawn as words are.
func (k ink) role(name string) color.RGBA {
	switch name {
	case "grid":
		if k.background.replaced() {
			return k.tokens["quiet"]
		}
		return k.tokens["hair"]
	case "axis":
		return k.tokens["edge"]
	case "tick", "name", "kept":
		return k.quiet()
	}
	if of, ok := bodies[name]; ok {
		name = of
	} else if of, ok := k.roles[name]; ok {
		name = of
	}
	if c, ok := k.tokens[name]; ok && !(k.background == Green && greenish(c)) {
		return c
	}
	return k.words()
}

// greenish reports whether a colour would be taken away with a green screen.
func greenish(c color.RGBA) bool { return float64(c.G) > 1.1*float64(max(c.R, c.B)) }

// bodies are the roles of things rather than of data, with their token: their areas are not washed out.
var bodies = map[string]string{
	"asphalt": "asphalt-edge", "marking": "marking", "tyre": "asphalt-edge", "rim": "edge", "frame": "edge", "engine": "asphalt",
	"body": "front", "screen": "hair", "lamp": "reaction", "rider": "quiet", "sleeve": "edge", "helmet": "ink",
	"front-spoke": "front", "rear-spoke": "rear", "skid": "locked", "dust": "hair",
}

// span ends the role of a span in a strip, which is as strong as a line.
const span = "-span"

// area is the colour of an area's role.
func (k ink) area(role string) color.RGBA {
	if _, ok := bodies[role]; ok || strings.HasSuffix(role, span) {
		return k.role(role)
	}
	c := faded(k.role(role), k.wash())
	if k.background == Green { // what shines through is dark, not the screen
		return over(c, k.tokens["panel"])
	}
	return c
}

// over is how a colour looks on an opaque one.
func over(c, paper color.RGBA) color.RGBA {
	p := faded(paper, 1-float64(c.A)/255)
	return color.RGBA{c.R + p.R, c.G + p.G, c.B + p.B, 255}
}

// strokes are the dashes of a line of a width: by them roles that meet in a figure are told apart without colours.
func strokes(role string, dashed bool, width float64) []float64 {
	switch {
	case dashed:
		return []float64{3 * width, 2.5 * width}
	case role == "rear":
		return []float64{5 * width, 2 * width}
	case role == "locked":
		return []float64{width, 2.2 * width}
	}
	return nil
}
