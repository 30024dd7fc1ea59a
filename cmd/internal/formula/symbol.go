package formula

import (
	"maps"
	"slices"
	"unicode/utf8"
)

// The vocabulary. Command names are those of TeX and LaTeX, characters those
// of Unicode's report on mathematics (UTR 25).

func letter(text, spoken string) atom { return atom{text: text, spoken: spoken} }

func capital(text, spoken string) atom {
	return atom{text: text, spoken: "capital " + spoken, alphabet: fixed}
}

func thing(text, spoken string) atom { return atom{text: text, spoken: spoken, alphabet: fixed} }

func operation(text, spoken string) atom {
	return atom{kind: sign, class: binary, text: text, spoken: spoken}
}

func relates(text, spoken string) atom {
	return atom{kind: sign, class: relation, text: text, spoken: spoken}
}

func opens(text, spoken string) atom {
	return atom{kind: sign, class: opening, text: text, spoken: "open " + spoken}
}

func closes(text, spoken string) atom {
	return atom{kind: sign, class: closing, text: text, spoken: "close " + spoken}
}

func stands(text, spoken string) atom { return atom{kind: sign, text: text, spoken: spoken} }

func over(text, spoken string) atom {
	return atom{kind: sign, class: large, movable: true, text: text, spoken: spoken}
}

func integral(text, spoken string) atom {
	return atom{kind: sign, class: large, text: text, spoken: spoken}
}

func function(text, spoken string) atom {
	return atom{kind: name, class: large, text: text, spoken: spoken}
}

func limit(text, spoken string) atom {
	return atom{kind: name, class: large, movable: true, text: text, spoken: spoken}
}

// symbols are the commands that stand for one atom.
var symbols = map[string]atom{
	// Greek letters
	`\alpha`: letter("α", "alpha"), `\beta`: letter("β", "beta"), `\gamma`: letter("γ", "gamma"),
	`\delta`: letter("δ", "delta"), `\epsilon`: letter("ϵ", "epsilon"), `\varepsilon`: letter("ε", "epsilon"),
	`\zeta`: letter("ζ", "zeta"), `\eta`: letter("η", "eta"), `\theta`: letter("θ", "theta"),
	`\vartheta`: letter("ϑ", "theta"), `\iota`: letter("ι", "iota"), `\kappa`: letter("κ", "kappa"),
	`\varkappa`: letter("ϰ", "kappa"), `\lambda`: letter("λ", "lambda"), `\mu`: letter("μ", "mu"),
	`\nu`: letter("ν", "nu"), `\xi`: letter("ξ", "xi"), `\omicron`: letter("ο", "omicron"),
	`\pi`: letter("π", "pi"), `\varpi`: letter("ϖ", "pi"), `\rho`: letter("ρ", "rho"),
	`\varrho`: letter("ϱ", "rho"), `\sigma`: letter("σ", "sigma"), `\varsigma`: letter("ς", "sigma"),
	`\tau`: letter("τ", "tau"), `\upsilon`: letter("υ", "upsilon"), `\phi`: letter("ϕ", "phi"),
	`\varphi`: letter("φ", "phi"), `\chi`: letter("χ", "chi"), `\psi`: letter("ψ", "psi"),
	`\omega`: letter("ω", "omega"),
	`\Gamma`: capital("Γ", "gamma"), `\Delta`: capital("Δ", "delta"), `\Theta`: capital("Θ", "theta"),
	`\Lambda`: capital("Λ", "lambda"), `\Xi`: capital("Ξ", "xi"), `\Pi`: capital("Π", "pi"),
	`\Sigma`: capital("Σ", "sigma"), `\Upsilon`: capital("Υ", "upsilon"), `\Phi`: capital("Φ", "phi"),
	`\Psi`: capital("Ψ", "psi"), `\Omega`: capital("Ω", "omega"),

	// other things that stand by themselves
	`\infty`: thing("∞", "infinity"), `\partial`: letter("∂", "partial"), `\nabla`: thing("∇", "nabla"),
	`\ell`: letter("ℓ", "l"), `\hbar`: letter("ℏ", "h bar"), `\imath`: letter("ı", "i"), `\jmath`: letter("ȷ", "j"),
	`\emptyset`: thing("∅", "the empty set"), `\varnothing`: thing("∅", "the empty set"),
	`\angle`: thing("∠", "angle"), `\triangle`: thing("△", "triangle"), `\degree`: thing("°", "degrees"),
	`\prime`: stands("′", "prime"), `\%`: thing("%", "percent"), `\$`: thing("$", "dollars"),
	`\#`: thing("#", "number"), `\&`: thing("&", "and"), `\_`: thing("_", "underscore"),
	`\forall`: stands("∀", "for all"), `\exists`: stands("∃", "there is"), `\neg`: operation("¬", "not"),
	`\top`: stands("⊤", "top"), `\dots`: stands("…", "and so on"), `\ldots`: stands("…", "and so on"),
	`\cdots`: stands("⋯", "and so on"), `\vdots`: stands("⋮", "and so on"), `\ddots`: stands("⋱", "and so on"),

	// operations
	`\cdot`: operation("⋅", "times"), `\times`: operation("×", "times"), `\div`: operation("÷", "divided by"),
	`\pm`: operation("±", "plus or minus"), `\mp`: operation("∓", "minus or plus"),
	`\ast`: operation("∗", "times"), `\circ`: operation("∘", "of"), `\bullet`: operation("∙", "dot"),
	`\cap`: operation("∩", "intersection"), `\cup`: operation("∪", "union"), `\setminus`: operation("∖", "without"),
	`\wedge`: operation("∧", "and"), `\land`: operation("∧", "and"), `\vee`: operation("∨", "or"),
	`\lor`: operation("∨", "or"), `\oplus`: operation("⊕", "plus"), `\otimes`: operation("⊗", "times"),

	// relations
	`\le`: relates("≤", "is at most"), `\leq`: relates("≤", "is at most"), `\leqslant`: relates("⩽", "is at most"),
	`\ge`: relates("≥", "is at least"), `\geq`: relates("≥", "is at least"), `\geqslant`: relates("⩾", "is at least"),
	`\lt`: relates("<", "is less than"), `\gt`: relates(">", "is greater than"),
	`\ll`: relates("≪", "is much less than"), `\gg`: relates("≫", "is much greater than"),
	`\ne`: relates("≠", "is not equal to"), `\neq`: relates("≠", "is not equal to"),
	`\approx`: relates("≈", "is approximately"), `\sim`: relates("∼", "is similar to"),
	`\simeq`: relates("≃", "is similar to"), `\cong`: relates("≅", "is congruent to"),
	`\equiv`: relates("≡", "is identical to"), `\propto`: relates("∝", "is proportional to"),
	`\mid`: relates("∣", "divides"), `\parallel`: relates("∥", "is parallel to"), `\perp`: relates("⊥", "is perpendicular to"),
	`\in`: relates("∈", "is in"), `\notin`: relates("∉", "is not in"), `\ni`: relates("∋", "contains"),
	`\subset`: relates("⊂", "is a subset of"), `\subseteq`: relates("⊆", "is a subset of"),
	`\supset`: relates("⊃", "is a superset of"), `\supseteq`: relates("⊇", "is a superset of"),
	`\to`: relates("→", "goes to"), `\rightarrow`: relates("→", "goes to"), `\longrightarrow`: relates("⟶", "goes to"),
	`\gets`: relates("←", "comes from"), `\leftarrow`: relates("←", "comes from"),
	`\leftrightarrow`: relates("↔", "goes to and from"), `\mapsto`: relates("↦", "maps to"),
	`\uparrow`: relates("↑", "rises"), `\downarrow`: relates("↓", "falls"),
	`\Rightarrow`: relates("⇒", "implies"), `\implies`: relates("⟹", "implies"),
	`\Leftarrow`: relates("⇐", "follows from"), `\impliedby`: relates("⟸", "follows from"),
	`\Leftrightarrow`: relates("⇔", "if and only if"), `\iff`: relates("⟺", "if and only if"),
	`\therefore`: relates("∴", "therefore"), `\because`: relates("∵", "because"),
	`\colon`: {kind: sign, class: punctuation, text: ":", spoken: ":"},

	// delimiters
	`\{`: opens("{", "brace"), `\}`: closes("}", "brace"), `\lbrace`: opens("{", "brace"), `\rbrace`: closes("}", "brace"),
	`\lbrack`: opens("[", "bracket"), `\rbrack`: closes("]", "bracket"),
	`\langle`: opens("⟨", "angle bracket"), `\rangle`: closes("⟩", "angle bracket"),
	`\lfloor`: opens("⌊", "floor"), `\rfloor`: closes("⌋", "floor"),
	`\lceil`: opens("⌈", "ceiling"), `\rceil`: closes("⌉", "ceiling"),
	`\lvert`: opens("|", "bar"), `\rvert`: closes("|", "bar"), `\vert`: stands("|", "bar"),
	`\lVert`: opens("‖", "double bar"), `\rVert`: closes("‖", "double bar"), `\Vert`: stands("‖", "double bar"),
	`\|`: stands("‖", "double bar"), `\backslash`: stands(`\`, "backslash"),

	// large operators and functions
	`\sum`: over("∑", "the sum"), `\prod`: over("∏", "the product"), `\coprod`: over("∐", "the coproduct"),
	`\bigcup`: over("⋃", "the union"), `\bigcap`: over("⋂", "the intersection"),
	`\int`: integral("∫", "the integral"), `\iint`: integral("∬", "the double integral"),
	`\iiint`: integral("∭", "the triple integral"), `\oint`: integral("∮", "the closed integral"),
	`\lim`: limit("lim", "the limit"), `\limsup`: limit("lim sup", "the upper limit"),
	`\liminf`: limit("lim inf", "the lower limit"), `\max`: limit("max", "the maximum"), `\min`: limit("min", "the minimum"),
	`\sup`: limit("sup", "the supremum"), `\inf`: limit("inf", "the infimum"), `\det`: limit("det", "the determinant"),
	`\gcd`: limit("gcd", "the greatest common divisor"), `\Pr`: limit("Pr", "the probability"),
	`\sin`: function("sin", "sine"), `\cos`: function("cos", "cosine"), `\tan`: function("tan", "tangent"),
	`\cot`: function("cot", "cotangent"), `\sec`: function("sec", "secant"), `\csc`: function("csc", "cosecant"),
	`\arcsin`: function("arcsin", "arc sine"), `\arccos`: function("arccos", "arc cosine"),
	`\arctan`: function("arctan", "arc tangent"), `\sinh`: function("sinh", "hyperbolic sine"),
	`\cosh`: function("cosh", "hyperbolic cosine"), `\tanh`: function("tanh", "hyperbolic tangent"),
	`\coth`: function("coth", "hyperbolic cotangent"), `\ln`: function("ln", "natural logarithm"),
	`\log`: function("log", "logarithm"), `\lg`: function("lg", "common logarithm"),
	`\exp`: function("exp", "exponential"), `\arg`: function("arg", "argument"), `\deg`: function("deg", "degree"),
	`\dim`: function("dim", "dimension"), `\ker`: function("ker", "kernel"),
}

// characters are the atoms that are typed as themselves: those of ASCII, as
// TeX reads them, and every symbol that is one character.
var characters = typed(map[string]atom{
	"+": operation("+", "plus"), "-": operation("−", "minus"), "*": operation("∗", "times"),
	"=": relates("=", "equals"), "<": relates("<", "is less than"), ">": relates(">", "is greater than"),
	":": relates(":", "to"), "/": stands("/", "over"), "|": stands("|", "bar"), "!": stands("!", "factorial"),
	"?": stands("?", "?"), ".": stands(".", "."), "@": stands("@", "at"),
	",": {kind: sign, class: punctuation, text: ",", spoken: ","},
	";": {kind: sign, class: punctuation, text: ";", spoken: ";"},
	"(": opens("(", "parenthesis"), ")": closes(")", "parenthesis"),
	"[": opens("[", "bracket"), "]": closes("]", "bracket"),
	"−": operation("−", "minus"), "·": operation("⋅", "times"), "µ": letter("μ", "mu"),
})

// typed adds the symbols that may be typed as themselves. Of two commands for
// one character the first in the alphabet counts.
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

// accents are the commands that put a mark on what follows; {} in what is
// spoken is where that goes.
var accents = map[string]accent{
	`\bar`:                {mark: "¯", spoken: "{} bar"},
	`\vec`:                {mark: "→", spoken: "vector {}"},
	`\hat`:                {mark: "^", spoken: "{} hat"},
	`\tilde`:              {mark: "~", spoken: "{} tilde"},
	`\dot`:                {mark: "˙", spoken: "{} dot"},
	`\ddot`:               {mark: "¨", spoken: "{} double dot"},
	`\check`:              {mark: "ˇ", spoken: "{} check"},
	`\overline`:           {mark: "¯", wide: true, spoken: "{} with a line above"},
	`\underline`:          {mark: "_", wide: true, below: true, spoken: "{} with a line below"},
	`\widehat`:            {mark: "^", wide: true, spoken: "{} hat"},
	`\widetilde`:          {mark: "~", wide: true, spoken: "{} tilde"},
	`\overrightarrow`:     {mark: "→", wide: true, spoken: "vector {}"},
	`\overleftarrow`:      {mark: "←", wide: true, spoken: "{} with an arrow to the left above"},
	`\overleftrightarrow`: {mark: "↔", wide: true, spoken: "{} with a double arrow above"},
	`\overbrace`:          {mark: "⏞", wide: true, spoken: "{} with a brace above"},
	`\underbrace`:         {mark: "⏟", wide: true, below: true, spoken: "{} with a brace below"},
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

// sizes are the heights of the delimiters whose size the author chooses, in em.
// An l, r or m behind the name says which side it stands on.
var sizes = map[string]string{`\big`: "1.2em", `\Big`: "1.8em", `\bigg`: "2.4em", `\Bigg`: "3em"}

// An environment is what \begin and \end name.
type environment struct {
	name        string
	left, right string // its delimiters
	columns     string // repeated over its columns: r, l, c
	display     bool   // its cells are set in display style
	spoken      string
}

var environments = map[string]environment{
	"aligned":  {name: "aligned", columns: "rl", display: true},
	"split":    {name: "split", columns: "rl", display: true},
	"gathered": {name: "gathered", columns: "c", display: true},
	"array":    {name: "array", columns: "c", spoken: "the array"},
	"cases":    {name: "cases", left: "{", columns: "l", spoken: "the cases"},
	"matrix":   {name: "matrix", columns: "c", spoken: "the matrix"},
	"pmatrix":  {name: "pmatrix", left: "(", right: ")", columns: "c", spoken: "the matrix"},
	"bmatrix":  {name: "bmatrix", left: "[", right: "]", columns: "c", spoken: "the matrix"},
	"Bmatrix":  {name: "Bmatrix", left: "{", right: "}", columns: "c", spoken: "the matrix"},
	"vmatrix":  {name: "vmatrix", left: "|", right: "|", columns: "c", spoken: "the determinant of"},
	"Vmatrix":  {name: "Vmatrix", left: "‖", right: "‖", columns: "c", spoken: "the norm of"},
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
