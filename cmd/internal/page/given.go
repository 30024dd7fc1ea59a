package page

import (
	"bytes"
	"math"
	"regexp"
	"strings"

	"golang.org/x/net/html"

	"example.org/gripleaf/calculators/quantity"
)

// conversion is a unit of prose and the one in which an imperial reader thinks instead.
type conversion struct {
	kind     quantity.Kind
	spelt    string // alternatives of a regular expression, the longest first
	imperial string // symbol
}

var conversions = []conversion{
	{quantity.Speed, `km/h|किमी/घंटा|كم/س`, "mph"},
	{quantity.Acceleration, `m/s²|मी/से²|م/ث²`, "ft/s2"},
	{quantity.Length, `mm|cm`, "in"},
	{quantity.Length, `km`, "mi"},
	{quantity.Length, `metres|metre|meters|meter|Metern|Meter|मीटर|متر|m|م`, "ft"},
	{quantity.Mass, `kg`, "lb"},
	{quantity.Pressure, `bar`, "psi"},
	{quantity.Temperature, `°C`, "degF"},
}

// writtenQuantity matches a number with one of the units behind it; the unit ends the word.
var writtenQuantity = func() *regexp.Regexp {
	var units []string
	for _, c := range conversions {
		units = append(units, c.spelt)
	}
	return regexp.MustCompile(`[−-]?\p{Nd}[\p{Nd}.,٫٬\x{a0}\x{202f}]*[ \x{a0}\x{202f}]?(?:` + strings.Join(units, "|") + `)(?:[^\p{L}\p{Nd}²³/·]|$)`)
}()

// closed are the elements whose numbers are the module's affair, or stand for themselves.
var closed = map[string]bool{"gripleaf-explorer": true, "gripleaf-figure": true, "math": true, "code": true, "pre": true, "svg": true, "script": true, "style": true, "textarea": true}

// given gives every quantity that prose states by itself its form for imperial readers, as checked numbers have it.
func (f *frame) given(body string) string {
	z := html.NewTokenizer(strings.NewReader(body))
	var out bytes.Buffer
	var within []string // the open elements from the first closed one on
	for {
		kind := z.Next()
		raw := string(z.Raw())
		if kind == html.ErrorToken {
			return out.String()
		}
		name, attributes := z.TagName()
		tag := string(name)
		switch {
		case kind == html.StartTagToken && (len(within) > 0 || closed[tag] || attributes && done(z)):
			if !void[tag] {
				within = append(within, tag)
			}
		case kind == html.EndTagToken && len(within) > 0:
			within = within[:len(within)-1]
		case kind == html.TextToken && len(within) == 0:
			raw = f.both(raw)
		}
		out.WriteString(raw)
	}
}

// void are the elements without an end tag (HTML, 13.1.2).
var void = map[string]bool{"area": true, "base": true, "br": true, "col": true, "embed": true, "hr": true, "img": true, "input": true,
	"link": true, "meta": true, "source": true, "track": true, "wbr": true}

// done reports whether the tag that was just read has its imperial form already.
func done(z *html.Tokenizer) bool {
	for {
		key, _, more := z.TagAttr()
		if string(key) == "data-imperial" {
			return true
		}
		if !more {
			return false
		}
	}
}

// both wraps the quantities of a text, which is HTML.
func (f *frame) both(text string) string {
	return writtenQuantity.ReplaceAllStringFunc(text, func(match string) string {
		for _, c := range conversions {
			unit := regexpFor(c).FindStringIndex(match)
			if unit == nil {
				continue
			}
			metric, rest := match[:unit[1]], match[unit[1]:]
			q, err := quantity.ParseWritten(metric, f.Locale, c.kind)
			if err != nil {
				break
			}
			return `<span data-imperial="` + escape(f.imperial(q, c)) + `">` + metric + "</span>" + rest
		}
		return match
	})
}

var unitPatterns = func() map[string]*regexp.Regexp {
	patterns := make(map[string]*regexp.Regexp)
	for _, c := range conversions {
		patterns[c.spelt] = regexp.MustCompile(`(?:^|[\p{Nd} \x{a0}\x{202f}])(?:` + c.spelt + `)`)
	}
	return patterns
}()

func regexpFor(c conversion) *regexp.Regexp { return unitPatterns[c.spelt] }

// imperial prints a quantity in the other unit to about the precision in which it was written.
func (f *frame) imperial(q quantity.Quantity, c conversion) string {
	u := quantity.Must(c.kind, c.imperial)
	decimals := max(0, q.Decimals+int(math.Round(math.Log10(u.Scale/q.Unit.Scale))))
	return quantity.Join(f.Locale.Format(u.From(q.Value), decimals), f.Say(u.Shown))
}
