package formula

import (
	"maps"
	"slices"
	"unicode/utf8"
)

// The vocabulary. Command names are those of TeX and LaTeX, characters those of Unicode's report on mathematics (UTR
// 25).

func letter(text string) atom    { return atom{text: text} }
func thing(text string) atom     { return atom{text: text, alphabet: fixed} }
func operation(text string) atom { return atom{kind: sign, class: binary, text: text} }
func relates(text string) atom   { return atom{kind: sign, class: relation, text: text} }
func opens(text string) atom     { return atom{kind: sign, class: opening, text: text} }
func closes(text string) atom    { return atom{kind: sign, class: closing, text: text} }
func stands(text string) atom    { return atom{kind: sign, text: text} }
func divides(text string) atom   { return atom{kind: sign, class: punctuation, text: text} }
func over(text string) atom      { return atom{kind: sign, class: large, movable: true, text: text} }
func integral(text string) atom  { return atom{kind: sign, class: large, text: text} }
func function(text string) atom  { return atom{kind: name, class: large, text: text} }
func limit(text string) atom     { return atom{kind: name, class: large, movable: true, text: text} }

// symbols are the commands that stand for one atom.
var symbols = map[string]atom{
	// Greek letters
	`\alpha`: letter("α"), `\beta`: letter("β"), `\gamma`: letter("γ"), `\delta`: letter("δ"), `\epsilon`: letter("ϵ"),
	`\varepsilon`: letter("ε"), `\zeta`: letter("ζ"), `\eta`: letter("η"), `\theta`: letter("θ"),
	`\vartheta`: letter("ϑ"), `\iota`: letter("ι"), `\kappa`: letter("κ"), `\varkappa`: letter("ϰ"),
	`\lambda`: letter("λ"), `\mu`: letter("μ"), `\nu`: letter("ν"), `\xi`: letter("ξ"), `\omicron`: letter("ο"),
	`\pi`: letter("π"), `\varpi`: letter("ϖ"), `\rho`: letter("ρ"), `\varrho`: letter("ϱ"), `\sigma`: letter("σ"),
	`\varsigma`: letter("ς"), `\tau`: letter("τ"), `\upsilon`: letter("υ"), `\phi`: letter("ϕ"),
	`\varphi`: letter("φ"), `\chi`: letter("χ"), `\psi`: letter("ψ"), `\omega`: letter("ω"), `\Gamma`: thing("Γ"),
	`\Delta`: thing("Δ"), `\Theta`: thing("Θ"), `\Lambda`: thing("Λ"), `\Xi`: thing("Ξ"), `\Pi`: thing("Π"),
	`\Sigma`: thing("Σ"), `\Upsilon`: thing("Υ"), `\Phi`: thing("Φ"), `\Psi`: thing("Ψ"), `\Omega`: thing("Ω"),

	// other things that stand by themselves
	`\infty`: thing("∞"), `\partial`: letter("∂"), `\nabla`: thing("∇"), `\ell`: letter("ℓ"), `\hbar`: letter("ℏ"),
	`\imath`: letter("ı"), `\jmath`: letter("ȷ"), `\emptyset`: thing("∅"), `\varnothing`: thing("∅"),
	`\angle`: thing("∠"), `\triangle`: thing("△"), `\degree`: thing("°"), `\prime`: stands("′"), `\%`: thing("%"),
	`\$`: thing("$"), `\#`: thing("#"), `\&`: thing("&"), `\_`: thing("_"), `\forall`: stands("∀"),
	`\exists`: stands("∃"), `\neg`: operation("¬"), `\top`: stands("⊤"), `\dots`: stands("…"), `\ldots`: stands("…"),
	`\cdots`: stands("⋯"), `\vdots`: stands("⋮"), `\ddots`: stands("⋱"),

	// operations
	`\cdot`: operation("⋅"), `\times`: operation("×"), `\div`: operation("÷"), `\pm`: operation("±"),
	`\mp`: operation("∓"), `\ast`: operation("∗"), `\circ`: operation("∘"), `\bullet`: operation("∙"),
	`\cap`: operation("∩"), `\cup`: operation("∪"), `\setminus`: operation("∖"), `\wedge`: operation("∧"),
	`\land`: operation("∧"), `\vee`: operation("∨"), `\lor`: operation("∨"), `\oplus`: operation("⊕"),
	`\otimes`: operation("⊗"),

	// relations
	`\le`: relates("≤"), `\leq`: relates("≤"), `\leqslant`: relates("⩽"), `\ge`: relates("≥"), `\geq`: relates("≥"),
	`\geqslant`: relates("⩾"), `\lt`: relates("<"), `\gt`: relates(">"), `\ll`: relates("≪"), `\gg`: relates("≫"),
	`\ne`: relates("≠"), `\neq`: relates("≠"), `\approx`: relates("≈"), `\sim`: relates("∼"), `\simeq`: relates("≃"),
	`\cong`: relates("≅"), `\equiv`: relates("≡"), `\propto`: relates("∝"), `\mid`: relates("∣"),
	`\parallel`: relates("∥"), `\perp`: relates("⊥"), `\in`: relates("∈"), `\notin`: relates("∉"), `\ni`: relates("∋"),
	`\subset`: relates("⊂"), `\subseteq`: relates("⊆"), `\supset`: relates("⊃"), `\supseteq`: relates("⊇"),
	`\to`: relates("→"), `\rightarrow`: relates("→"), `\longrightarrow`: relates("⟶"), `\gets`: relates("←"),
	`\leftarrow`: relates("←"), `\leftrightarrow`: relates("↔"), `\mapsto`: relates("↦"), `\uparrow`: relates("↑"),
	`\downarrow`: relates("↓"), `\Rightarrow`: relates("⇒"), `\implies`: relates("⟹"), `\Leftarrow`: relates("⇐"),
	`\impliedby`: relates("⟸"), `\Leftrightarrow`: relates("⇔"), `\iff`: relates("⟺"), `\therefore`: relates("∴"),
	`\because`: relates("∵"), `\colon`: divides(":"),

	// delimiters
	`\{`: opens("{"), `\}`: closes("}"), `\lbrace`: opens("{"), `\rbrace`: closes("}"), `\lbrack`: opens("["),
	`\rbrack`: closes("]"), `\langle`: opens("⟨"), `\rangle`: closes("⟩"), `\lfloor`: opens("⌊"),
	`\rfloor`: closes("⌋"), `\lceil`: opens("⌈"), `\rceil`: closes("⌉"), `\lvert`: opens("|"), `\rvert`: closes("|"),
	`\vert`: stands("|"), `\lVert`: opens("‖"), `\rVert`: closes("‖"), `\Vert`: stands("‖"), `\|`: stands("‖"),
	`\backslash`: stands(`\`),

	// large operators and functions
	`\sum`: over("∑"), `\prod`: over("∏"), `\coprod`: over("∐"), `\bigcup`: over("⋃"), `\bigcap`: over("⋂"),
	`\int`: integral("∫"), `\iint`: integral("∬"), `\iiint`: integral("∭"), `\oint`: integral("∮"),
	`\lim`: limit("lim"), `\limsup`: limit("lim sup"), `\liminf`: limit("lim inf"), `\max`: limit("max"),
	`\min`: limit("min"), `\sup`: limit("sup"), `\inf`: limit("inf"), `\det`: limit("det"), `\gcd`: limit("gcd"),
	`\Pr`: limit("Pr"), `\sin`: function("sin"), `\cos`: function("cos"), `\tan`: function("tan"),
	`\cot`: function("cot"), `\sec`: function("sec"), `\csc`: function("csc"), `\arcsin`: function("arcsin"),
	`\arccos`: function("arccos"), `\arctan`: function("arctan"), `\sinh`: function("sinh"), `\cosh`: function("cosh"),
	`\tanh`: function("tanh"), `\coth`: function("coth"), `\ln`: function("ln"), `\log`: function("log"),
	`\lg`: function("lg"), `\exp`: function("exp"), `\arg`: function("arg"), `\deg`: function("deg"),
	`\dim`: function("dim"), `\ker`: function("ker"),
}

// characters are the atoms that are typed as themselves: those of ASCII, as TeX reads them, and every symbol that is
// one character.
var characters = typed(map[string]atom{
	"+": operation("+"), "-": operation("−"), "*": operation("∗"), "=": relates("="), "<": relates("<"),
	">": relates(">"), ":": relates(":"), "/": stands("/"), "|": stands("|"), "!": stands("!"), "?": stands("?"),
	".": stands("."), "@": stands("@"), ",": divides(","), ";": divides(";"), "(": opens("("), ")": closes(")"),
	"[": opens("["), "]": closes("]"), "−": operation("−"), "·": operation("⋅"), "µ": letter("μ"),
})

// typed adds the symbols that may be typed as themselves. Of two commands for one character the first in the alphabet
// counts.
func typed(known map[string]atom) map[string]atom {
	for _, command := range slices.Sorted(maps.Keys(symbols)) {
		a := symbols[command]
		if _, taken := known[a.text]; !taken && len(a.text) > 1 && utf8.RuneCountInString(a.text) == 1 {
			known[a.text] = a
		}
	}
	return known
}

// spaces are the commands that leave room, in em (18 mu are 1 em).
var spaces = map[string]string{
	`\,`: "0.1667em", `\thinspace`: "0.1667em", `\:`: "0.2222em", `\>`: "0.2222em", `\;`: "0.2778em",
	`\!`: "-0.1667em", `\ `: "0.25em", "~": "0.25em", `\quad`: "1em", `\qquad`: "2em",
}

// accents are the commands that put a mark on what follows.
var accents = map[string]accent{
	`\bar`:                {mark: "¯"},
	`\vec`:                {mark: "→"},
	`\hat`:                {mark: "^"},
	`\tilde`:              {mark: "~"},
	`\dot`:                {mark: "˙"},
	`\ddot`:               {mark: "¨"},
	`\check`:              {mark: "ˇ"},
	`\overline`:           {mark: "¯", wide: true},
	`\underline`:          {mark: "_", wide: true, below: true},
	`\widehat`:            {mark: "^", wide: true},
	`\widetilde`:          {mark: "~", wide: true},
	`\overrightarrow`:     {mark: "→", wide: true},
	`\overleftarrow`:      {mark: "←", wide: true},
	`\overleftrightarrow`: {mark: "↔", wide: true},
	`\overbrace`:          {mark: "⏞", wide: true},
	`\underbrace`:         {mark: "⏟", wide: true, below: true},
}

// alphabets are the commands that choose how letters are drawn.
var alphabets = map[string]alphabet{
	`\mathrm`: upright, `\mathbf`: bold, `\mathit`: slanted, `\mathbb`: doubled, `\mathnormal`: italic,
}

// delimiters are the tokens that may follow \left, \middle, \right and \big.
var delimiters = map[string]string{
	".": "", "(": "(", ")": ")", "[": "[", "]": "]", "<": "⟨", ">": "⟩", "|": "|", "/": "/",
	`\{`: "{", `\}`: "}", `\lbrace`: "{", `\rbrace`: "}", `\lbrack`: "[", `\rbrack`: "]",
	`\|`: "‖", `\vert`: "|", `\lvert`: "|", `\rvert`: "|", `\Vert`: "‖", `\lVert`: "‖", `\rVert`: "‖",
	`\langle`: "⟨", `\rangle`: "⟩", `\lfloor`: "⌊", `\rfloor`: "⌋", `\lceil`: "⌈", `\rceil`: "⌉",
	`\backslash`: `\`, `\uparrow`: "↑", `\downarrow`: "↓",
}

// sizes are the heights of the delimiters whose size the author chooses, in em. An l, r or m behind the name says which
// side it stands on.
var sizes = map[string]string{`\big`: "1.2em", `\Big`: "1.8em", `\bigg`: "2.4em", `\Bigg`: "3em"}

// An environment is what \begin and \end name.
type environment struct {
	name        string
	left, right string // its delimiters
	columns     string // repeated over its columns: r, l, c
	display     bool   // its cells are set in display style
}

var environments = map[string]environment{
	"aligned":  {name: "aligned", columns: "rl", display: true},
	"split":    {name: "split", columns: "rl", display: true},
	"gathered": {name: "gathered", columns: "c", display: true},
	"array":    {name: "array", columns: "c"},
	"cases":    {name: "cases", left: "{", columns: "l"},
	"matrix":   {name: "matrix", columns: "c"},
	"pmatrix":  {name: "pmatrix", left: "(", right: ")", columns: "c"},
	"bmatrix":  {name: "bmatrix", left: "[", right: "]", columns: "c"},
	"Bmatrix":  {name: "Bmatrix", left: "{", right: "}", columns: "c"},
	"vmatrix":  {name: "vmatrix", left: "|", right: "|", columns: "c"},
	"Vmatrix":  {name: "Vmatrix", left: "‖", right: "‖", columns: "c"},
}

// structures are the commands that the parser knows by name.
var structures = []string{
	`\frac`, `\dfrac`, `\tfrac`, `\binom`, `\sqrt`, `\text`, `\textrm`, `\mbox`, `\operatorname`, `\left`, `\right`, `\middle`,
	`\begin`, `\end`, `\limits`, `\nolimits`, `\overset`, `\underset`, `\stackrel`, `\displaystyle`, `\textstyle`,
	`\phantom`, `\hphantom`, `\vphantom`,
}

// commandNames lists every command, for the nearest one to a name that is not there.
var commandNames = slices.Concat(structures, slices.Collect(maps.Keys(symbols)), slices.Collect(maps.Keys(spaces)),
	slices.Collect(maps.Keys(accents)), slices.Collect(maps.Keys(alphabets)), slices.Collect(maps.Keys(sizes)))
