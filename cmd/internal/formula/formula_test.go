package formula

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"
	"testing"
)

// body returns what stands between the tags that every formula has.
func body(t *testing.T, tex string, display bool) string {
	t.Helper()
	m, err := Convert(tex, display)
	if err != nil {
		t.Fatalf("Convert(%q): %v", tex, err)
	}
	_, m, _ = strings.Cut(m, "<semantics>")
	m, _, _ = strings.Cut(m, "<annotation")
	return m
}

func TestMathML(t *testing.T) {
	tests := []struct{ tex, want string }{
		// numbers: a comma or point between digits is decimal; a list has spaces or many
		{`3`, `<mn>3</mn>`},
		{`3.5`, `<mn>3.5</mn>`},
		{`3,5`, `<mn>3,5</mn>`},
		{`3{,}5`, `<mn>3,5</mn>`},
		{`1,000,000`, `<mn>1,000,000</mn>`},
		{`1, 2`, `<mrow><mn>1</mn><mo>,</mo><mn>2</mn></mrow>`},
		{`1,2,3`, `<mrow><mn>1</mn><mo>,</mo><mn>2</mn><mo>,</mo><mn>3</mn></mrow>`},
		{`٣`, `<mn>٣</mn>`},

		// letters
		{`x`, `<mi>x</mi>`},
		{`\mu`, `<mi>μ</mi>`},
		{`µ`, `<mi>μ</mi>`},
		{`\Delta v`, `<mrow><mi mathvariant="normal">Δ</mi><mi>v</mi></mrow>`},
		{`Δ`, `<mi mathvariant="normal">Δ</mi>`},
		{`\mathrm{m}`, `<mi mathvariant="normal">m</mi>`},
		{`\mathrm{km/h}`, `<mrow><mi>km</mi><mo lspace="0" rspace="0">/</mo><mi mathvariant="normal">h</mi></mrow>`},
		{`\mathbf{F}`, `<mi>𝐅</mi>`},
		{`\mathit{eh}`, `<mi>𝑒ℎ</mi>`},
		{`\mathbb{R}`, `<mi>ℝ</mi>`},
		{`v̂`, `<mi>v̂</mi>`},

		// scripts
		{`v^2`, `<msup><mi>v</mi><mn>2</mn></msup>`},
		{`x^12`, `<mrow><msup><mi>x</mi><mn>1</mn></msup><mn>2</mn></mrow>`},
		{`v_0^2`, `<msubsup><mi>v</mi><mn>0</mn><mn>2</mn></msubsup>`},
		{`v^2_0`, `<msubsup><mi>v</mi><mn>0</mn><mn>2</mn></msubsup>`},
		{`f'`, `<msup><mi>f</mi><mo>′</mo></msup>`},
		{`f''_0`, `<msubsup><mi>f</mi><mn>0</mn><mo>″</mo></msubsup>`},
		{`f'^2`, `<msup><mi>f</mi><mrow><mo>′</mo><mn>2</mn></mrow></msup>`},
		{`20^\circ`, `<mrow><mn>20</mn><mi>°</mi></mrow>`},
		{`20\degree`, `<mrow><mn>20</mn><mi>°</mi></mrow>`},
		{`f^\circ`, `<msup><mi>f</mi><mo form="prefix">∘</mo></msup>`},
		{`{}_1x`, `<mrow><msub><mrow></mrow><mn>1</mn></msub><mi>x</mi></mrow>`},

		// signs: a minus without a left side is a sign, with one it subtracts
		{`-x`, `<mrow><mo form="prefix">−</mo><mi>x</mi></mrow>`},
		{`a-b`, `<mrow><mi>a</mi><mo>−</mo><mi>b</mi></mrow>`},
		{`a=-b`, `<mrow><mi>a</mi><mo>=</mo><mo form="prefix">−</mo><mi>b</mi></mrow>`},
		{`2\cdot-3`, `<mrow><mn>2</mn><mo>⋅</mo><mo form="prefix">−</mo><mn>3</mn></mrow>`},
		{`a<b`, `<mrow><mi>a</mi><mo>&lt;</mo><mi>b</mi></mrow>`},
		{`a \le b`, `<mrow><mi>a</mi><mo>≤</mo><mi>b</mi></mrow>`},
		{`a≤b`, `<mrow><mi>a</mi><mo>≤</mo><mi>b</mi></mrow>`},
		{`5\,\%`, `<mrow><mn>5</mn><mspace width="0.1667em"></mspace><mi>%</mi></mrow>`},

		// fractions and roots
		{`\frac12`, `<mfrac><mn>1</mn><mn>2</mn></mfrac>`},
		{`\tfrac{a}{b}`, `<mstyle displaystyle="false" scriptlevel="0"><mfrac><mi>a</mi><mi>b</mi></mfrac></mstyle>`},
		{`\dfrac{a}{b}`, `<mstyle displaystyle="true" scriptlevel="0"><mfrac><mi>a</mi><mi>b</mi></mfrac></mstyle>`},
		{`\sqrt2`, `<msqrt><mn>2</mn></msqrt>`},
		{`\sqrt[3]{x}`, `<mroot><mi>x</mi><mn>3</mn></mroot>`},

		// functions: a thin space off a letter, none off a parenthesis
		{`\sin x`, `<mrow><mi>sin</mi><mo>&#x2061;</mo><mspace width="0.1667em"></mspace><mi>x</mi></mrow>`},
		{`\sin(x)`, `<mrow><mi>sin</mi><mo>&#x2061;</mo><mo form="prefix" stretchy="false">(</mo><mi>x</mi><mo form="postfix" stretchy="false">)</mo></mrow>`},
		{`2\ln2`, `<mrow><mn>2</mn><mspace width="0.1667em"></mspace><mi>ln</mi><mo>&#x2061;</mo><mspace width="0.1667em"></mspace><mn>2</mn></mrow>`},
		{`\operatorname{arsinh}`, `<mi>arsinh</mi>`},
		{`\operatorname*{best}_i`, `<munder><mo form="prefix" lspace="0" rspace="0" movablelimits="true">best</mo><mi>i</mi></munder>`},

		// limits
		{`\sum_{i=1}^n i`, `<mrow><munderover><mo movablelimits="true">∑</mo><mrow><mi>i</mi><mo>=</mo><mn>1</mn></mrow><mi>n</mi></munderover><mi>i</mi></mrow>`},
		{`\int_0^t`, `<msubsup><mo>∫</mo><mn>0</mn><mi>t</mi></msubsup>`},
		{`\int\limits_0^t`, `<munderover><mo movablelimits="false">∫</mo><mn>0</mn><mi>t</mi></munderover>`},
		{`\sum\nolimits_i`, `<msub><mo>∑</mo><mi>i</mi></msub>`},

		// text keeps its spaces and its letters
		{`3\text{ größer}`, "<mrow><mn>3</mn><mtext>\u00a0größer</mtext></mrow>"},
		{`\text{5\,\% \& {more}}`, "<mtext>5\u00a0% &amp; more</mtext>"},

		// delimiters
		{`\left(x\right]`, `<mrow><mo form="prefix" stretchy="true">(</mo><mi>x</mi><mo form="postfix" stretchy="true">]</mo></mrow>`},
		{`\left.x\right|_0`, `<msub><mrow><mi>x</mi><mo form="postfix" stretchy="true">|</mo></mrow><mn>0</mn></msub>`},
		{`\{x\}`, `<mrow><mo form="prefix" stretchy="false">{</mo><mi>x</mi><mo form="postfix" stretchy="false">}</mo></mrow>`},
		{`|-x|`, `<mrow><mo form="prefix" stretchy="false">|</mo><mo form="prefix">−</mo><mi>x</mi><mo form="postfix" stretchy="false">|</mo></mrow>`},
		{`\big(`, `<mo form="prefix" stretchy="true" minsize="1.2em" maxsize="1.2em">(</mo>`},

		// accents and braces
		{`\bar v`, `<mover accent="true"><mi>v</mi><mo stretchy="false">¯</mo></mover>`},
		{`\overline{AB}`, `<mover accent="true" class="formula-overline"><mrow><mi>A</mi><mi>B</mi></mrow><mo stretchy="true">¯</mo></mover>`},
		{`\underbrace{x}_{y}`, `<munder><munder accentunder="true"><mi>x</mi><mo stretchy="true">⏟</mo></munder><mi>y</mi></munder>`},
		{`\overset{!}{=}`, `<mover><mo>=</mo><mo lspace="0" rspace="0">!</mo></mover>`},

		// spaces
		{`a\quad b`, `<mrow><mi>a</mi><mspace width="1em"></mspace><mi>b</mi></mrow>`},
		{`a\!b`, `<mrow><mi>a</mi><mspace class="formula-tight"></mspace><mi>b</mi></mrow>`},
		{`a~b\ c`, `<mrow><mi>a</mi><mspace width="0.25em"></mspace><mi>b</mi><mspace width="0.25em"></mspace><mi>c</mi></mrow>`},
		{`\phantom{x}`, `<mphantom><mi>x</mi></mphantom>`},
		{`\vphantom{x}`, `<mpadded width="0"><mphantom><mi>x</mi></mphantom></mpadded>`},

		// tables: a sign that begins the right side of a line acts on its left side
		{`\begin{aligned}x&=1\\&+2\end{aligned}`, `<mtable class="formula-aligned" displaystyle="true">` +
			`<mtr><mtd class="formula-right"><mi>x</mi></mtd><mtd class="formula-left"><mo>=</mo><mn>1</mn></mtd></mtr>` +
			`<mtr><mtd class="formula-right"></mtd><mtd class="formula-left"><mo form="infix">+</mo><mn>2</mn></mtd></mtr></mtable>`},
		{`\begin{vmatrix}a&b\\c&d\\\end{vmatrix}`, `<mrow><mo form="prefix" stretchy="true">|</mo><mtable class="formula-vmatrix">` +
			`<mtr><mtd><mi>a</mi></mtd><mtd><mi>b</mi></mtd></mtr><mtr><mtd><mi>c</mi></mtd><mtd><mi>d</mi></mtd></mtr>` +
			`</mtable><mo form="postfix" stretchy="true">|</mo></mrow>`},
		{`\begin{cases}0&\text{locked}\end{cases}`, `<mrow><mo form="prefix" stretchy="true">{</mo><mtable class="formula-cases">` +
			`<mtr><mtd class="formula-left"><mn>0</mn></mtd><mtd class="formula-left"><mtext>locked</mtext></mtd></mtr></mtable></mrow>`},
		{`\begin{array}{lr}a&b\end{array}`, `<mtable class="formula-array"><mtr><mtd class="formula-left"><mi>a</mi></mtd>` +
			`<mtd class="formula-right"><mi>b</mi></mtd></mtr></mtable>`},
	}
	for _, tt := range tests {
		if got := body(t, tt.tex, true); got != tt.want {
			t.Errorf("Convert(%q)\n got %s\nwant %s", tt.tex, got, tt.want)
		}
	}
}

// lessons are formulas as lessons on braking have them.
var lessons = []string{
	`\frac{v^2}{2\mu g}`,
	`s = v\,t_r + \frac{v^2}{2a}`,
	`N_\mathrm{f} = \frac{m\,(g\,b + a\,h)}{L}`,
	`\tan\varphi = \frac{v^2}{g\,r}`,
	`\mu(\kappa) = c_1\left(1 - e^{-c_2\kappa}\right) - c_3\kappa`,
	`d_m = \frac{V_b^2 - V_e^2}{25.92\,(s_e - s_b)}`,
	`E = \tfrac12 m v^2`,
	`60\,\mathrm{km/h} = 16{,}7\,\mathrm{m/s}`,
	`a = 8\,\mathrm{m/s^2}`,
	`\varphi = 20\degree`,
	`\Delta v = \int_0^t a\,\mathrm{d}t`,
	`a = \lim_{\Delta t \to 0} \frac{\Delta v}{\Delta t}`,
	`\sqrt{\mu^2 - \tan^2\varphi}`,
	`\begin{aligned} s &= 16.7\cdot 1 + \frac{16.7^2}{2\cdot 8} \\ &= 34.1\,\text{m} \end{aligned}`,
	`\kappa = \begin{cases} 0, & \text{rolling} \\ 1, & \text{locked} \end{cases}`,
	`\underbrace{v\,t_r}_{\text{reaction}} + \frac{v^2}{2a}`,
	`|\Delta x| \le \sigma`,
	`\bar v = \frac13\sum_{i=1}^3 v_i`,
	`\begin{pmatrix} 1 & 0 \\ 0 & 1 \end{pmatrix}`,
	`v(t) = \dot x`,
	`\sqrt[5]{x}\,y'`,
}

// In each, the place of every mistake is in «»; the mistakes follow in order.
func TestMistakes(t *testing.T) {
	tests := []struct {
		marked string
		want   []string
	}{
		{`x + «\alhpa»`, []string{`there is no command \alhpa / did you mean \alpha?`}},
		{`«\frac»{1}`, []string{`\frac needs something behind it / write \frac{…}`}},
		{`«\quux» + «\frac»{1}`, []string{`there is no command \quux / use another notation`, `\frac needs something behind it / write \frac{…}`}},
		{`«{»x`, []string{`this { is never closed / put a } where it ends`}},
		{`x«}»`, []string{`this } closes nothing / put a { before it, or write \} for the sign`}},
		{`«\left»(x`, []string{`this \left has no \right / put \right) or \right. where it ends`}},
		{`x«\right»)`, []string{`this \right has no \left / put \left( or \left. before it`}},
		{`«\left»`, []string{`\left needs a delimiter behind it / write one of ( ) [ ] \{ \} | \langle \rangle, or . for none`}},
		{`\begin{«aligend»}x\end{aligend}`, []string{`there is no environment aligend / did you mean "aligned"?`}},
		{`\begin{cases}x\end{«aligned»}`, []string{`\end{aligned} does not end \begin{cases} / write \end{cases}`}},
		{`«\begin»{cases}x`, []string{`this \begin has no \end / put \end{cases} where it ends`}},
		{`x «&» y`, []string{`& is only for cells and rows / put the lines between \begin{aligned} and \end{aligned}`}},
		{`x^2«^»3`, []string{`a second script of the same kind / put what belongs together in braces: {x^2}^3 or x^{2^3}`}},
		{`v«²»`, []string{`² means nothing in a formula / write ^ and the number`}},
		{`5«%»`, []string{`% means nothing in a formula / write \%`}},
		{`\text{5«%»}`, []string{`% cannot stand in text by itself / write \%`}},
		{`\text{«\mu»}`, []string{`\mu cannot stand in text / write text only, and commands outside of \text{…}`}},
		{`«\text» x`, []string{`\text needs braces behind it / write \text{…}`}},
		{`«\color»{red}x`, []string{`there is no command \color / did you mean \colon?`}},
		{`x«\limits»_0`, []string{`\limits follows a large operator / write it behind \sum, \int, \lim and the like`}},
		{`\begin{array}{l«x»}1\end{array}`, []string{`a column of an array is l, c or r / leave out x`}},
		{"x«\x01»", []string{"the control character U+0001 has no place in a formula / delete it"}},
		{"x«\xff»", []string{"the text is not UTF-8 / save the file as UTF-8"}},
		{`« »`, []string{`the formula is empty / write something between the dollar signs, or \$ for a dollar`}},
	}
	for _, tt := range tests {
		tex := strings.NewReplacer("«", "", "»", "").Replace(tt.marked)
		_, list := Convert(tex, false)
		var got []string
		marked, added := tex, 0
		for _, e := range list {
			got = append(got, e.Text+" / "+e.Hint)
			at := e.Offset + added
			marked = marked[:at] + "«" + marked[at:at+e.Length] + "»" + marked[at+e.Length:]
			added += len("«»")
		}
		if strings.Join(got, "\n") != strings.Join(tt.want, "\n") || marked != tt.marked {
			t.Errorf("Convert(%q)\n at %s\nwant %s\n got %q\nwant %q", tex, marked, tt.marked, got, tt.want)
		}
	}
}

func TestBounds(t *testing.T) {
	for name, tex := range map[string]string{
		"long":    strings.Repeat("x", maxLength+1),
		"deep":    strings.Repeat("{", 2000) + strings.Repeat("}", 2000),
		"roots":   strings.Repeat(`\sqrt`, 1500),
		"left":    strings.Repeat(`\left(`, 1300),
		"scripts": strings.Repeat("x^{", 1000),
	} {
		if _, list := Convert(tex, false); len(list) == 0 || len(list) > maxMistakes {
			t.Errorf("%s: %v", name, list)
		}
	}
	for _, tex := range []string{ // what is nested is read once, not once for every level around it
		strings.Repeat("a b^{", 23) + strings.Repeat("}", 23),
		strings.Repeat(`a \sqrt[b`, 23) + strings.Repeat("]x", 23),
		strings.Repeat(`a \frac{b}{`, 15) + strings.Repeat("}", 15),
	} {
		if _, err := Convert(tex, true); err != nil {
			t.Errorf("%s: %v", tex, err)
		}
	}
	if _, err := Convert(strings.Repeat("x", maxLength), false); err != nil {
		t.Errorf("a formula of the greatest length: %v", err)
	}
	if _, list := Convert(strings.Repeat(`\q`, 1000), false); len(list) != maxMistakes {
		t.Errorf("%d mistakes, want %d", len(list), maxMistakes)
	}
}

// The elements of MathML Core: W3C, MathML Core, as listed with its interfaces in W3C's machine-readable extract of
// element definitions (package webref elements 2.9.0, file mathml-core.json). The attributes: the same specification,
// section 2.1.3 and those on each element; from memory.
var (
	coreElements = strings.Fields(`annotation annotation-xml maction math merror mfrac mi mmultiscripts mn mo mover
		mpadded mphantom mprescripts mroot mrow ms mspace msqrt mstyle msub msubsup msup mtable mtd mtext mtr munder
		munderover semantics`)
	coreGlobal = strings.Fields(`class dir displaystyle id mathbackground mathcolor mathsize scriptlevel style`)
	coreOwn    = map[string][]string{
		"math": {"display"}, "annotation": {"encoding"}, "mi": {"mathvariant"},
		"mo": {"form", "fence", "separator", "lspace", "rspace", "stretchy", "symmetric", "maxsize", "minsize",
			"largeop", "movablelimits"},
		"mspace": {"width", "height", "depth"}, "mpadded": {"width", "height", "depth", "lspace", "voffset"},
		"mfrac": {"linethickness"}, "mover": {"accent"}, "munder": {"accentunder"},
		"munderover": {"accent", "accentunder"}, "mtd": {"columnspan", "rowspan"},
	}
	// How many children an element needs: MathML Core, section 3.
	children = map[string]int{"mfrac": 2, "mroot": 2, "msub": 2, "msup": 2, "msubsup": 3, "mover": 2, "munder": 2,
		"munderover": 3, "semantics": 2}
)

// valid reports what in mathml is not well-formed or not MathML Core.
func valid(mathml string) error {
	type level struct {
		name  string
		count int
	}
	var open []level
	d := xml.NewDecoder(strings.NewReader(mathml))
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			if len(open) > 0 {
				open[len(open)-1].count++
			}
			open = append(open, level{name: tok.Name.Local})
			if err := element(tok); err != nil {
				return err
			}
		case xml.EndElement:
			last := open[len(open)-1]
			open = open[:len(open)-1]
			if need := children[last.name]; need > 0 && last.count != need {
				return fmt.Errorf("%s has %d children, needs %d", last.name, last.count, need)
			}
		}
	}
}

func element(e xml.StartElement) error {
	if !contains(coreElements, e.Name.Local) || e.Name.Space != namespace {
		return fmt.Errorf("%v is no element of MathML Core", e.Name)
	}
	for _, a := range e.Attr {
		if a.Name.Local == "xmlns" && e.Name.Local == "math" {
			continue
		}
		if !contains(coreGlobal, a.Name.Local) && !contains(coreOwn[e.Name.Local], a.Name.Local) {
			return fmt.Errorf("%s is no attribute of %s in MathML Core", a.Name.Local, e.Name.Local)
		}
		if a.Name.Local == "mathvariant" && a.Value != "normal" {
			return fmt.Errorf("mathvariant %q is not in MathML Core", a.Value)
		}
	}
	return nil
}

func contains(list []string, s string) bool {
	for _, l := range list {
		if l == s {
			return true
		}
	}
	return false
}

// Every command that the vocabulary knows gives MathML Core, alone and with scripts.
func TestCore(t *testing.T) {
	var formulas []string
	for command := range symbols {
		formulas = append(formulas, command, command+"_1^2 x")
	}
	for command := range accents {
		formulas = append(formulas, command+"{xy}_1^2")
	}
	for command := range alphabets {
		formulas = append(formulas, command+"{aBz09}")
	}
	for command := range spaces {
		formulas = append(formulas, "a"+command+" b")
	}
	for d := range delimiters {
		formulas = append(formulas, `\left`+d+` x\middle`+d+` y\right`+d, `\big`+d, `\Biggl`+d, `\biggr`+d)
	}
	for name := range environments {
		spec := map[bool]string{true: "{lcr}"}[name == "array"]
		formulas = append(formulas, `\begin{`+name+`}`+spec+`a&b\\c&d\end{`+name+`}`)
	}
	for c := range characters {
		formulas = append(formulas, c)
	}
	formulas = append(formulas, lessons...)
	for _, tex := range formulas {
		for _, display := range []bool{false, true} {
			m, err := Convert(tex, display)
			if err != nil {
				t.Errorf("Convert(%q): %v", tex, err)
			} else if err := valid(m); err != nil {
				t.Errorf("Convert(%q): %v in %s", tex, err, m)
			}
		}
	}
}

func TestWhole(t *testing.T) {
	got, err := Convert(` a<b&"c" `[:4], true)
	want := `<math xmlns="http://www.w3.org/1998/Math/MathML" display="block"><semantics><mrow><mi>a</mi><mo>&lt;</mo><mi>b</mi></mrow>` +
		`<annotation encoding="application/x-tex">a&lt;b</annotation></semantics></math>`
	if err != nil || got != want {
		t.Errorf("Convert: %v\n got %s\nwant %s", err, got, want)
	}
	if m, _ := Convert("x", false); strings.Contains(m, "display") {
		t.Errorf("a formula in a line is displayed: %s", m)
	}
}

// FuzzConvert asks of any text: no panic, and either mistakes within the text or MathML Core that carries the TeX
// unchanged.
func FuzzConvert(f *testing.F) {
	for _, l := range lessons {
		f.Add(l)
	}
	for _, s := range []string{`\left(\begin{cases}a&b\\c\end{cases}\middle|\right.`, `{}^'_`, `\sqrt[\frac]{`, `\text{$ä}`, `\big\{\Bigg`, `x\displaystyle\sum\limits`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, tex string) {
		m, mistakes := Convert(tex, true)
		if len(mistakes) == 0 {
			if err := valid(m); err != nil {
				t.Fatalf("%v in %s", err, m)
			}
			return
		}
		for _, e := range mistakes {
			if e.Offset < 0 || e.Length < 0 || e.Offset+e.Length > len(tex) || e.Text == "" {
				t.Fatalf("error outside of the text: %+v", e)
			}
		}
	})
}

func BenchmarkConvert(b *testing.B) {
	const tex = `\begin{aligned} s &= v\,t_r + \frac{v^2}{2a} \\ &= 16.7\cdot 1 + \frac{16.7^2}{2\cdot 8} \\ &= 34.1\,\mathrm{m} \end{aligned}`
	b.SetBytes(int64(len(tex)))
	for b.Loop() {
		if _, err := Convert(tex, true); err != nil {
			b.Fatal(err)
		}
	}
}
