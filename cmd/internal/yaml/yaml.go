// Package yaml reads YAML strictly: an unknown key, a value of the wrong shape or a date that cannot be read is a fault
// at its place in the file. Reading goes on behind it, so that one run shows all faults.
package yaml

import (
	"bytes"
	"maps"
	"slices"
	"strings"
	"time"

	goccy "github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"

	"example.org/gripleaf/cmd/internal/fault"
)

// Code of the faults of this package.
const (
	Syntax  = "yaml-syntax"
	Unknown = "unknown-key"
	Shape   = "wrong-value"
)

// A Value is one node of a YAML document. The zero Value is empty, and reading it gives nothing.
type Value struct {
	file *file
	node ast.Node
}

type file struct {
	source *fault.Source
	from   int // where the YAML begins in the source
	before int // lines of the source
	faults *fault.List
}

// Parse reads source.Text[from:to]. Faults are added to the list; where the YAML cannot be read the Value is empty.
func Parse(source *fault.Source, from, to int, faults *fault.List) Value {
	if from == 0 && bytes.HasPrefix(source.Text, []byte("\ufeff")) {
		from = len("\ufeff")
	}
	f := &file{source: source, from: from, before: bytes.Count(source.Text[:from], []byte("\n")), faults: faults}
	if odd := source.NotText(from, to); len(odd) > 0 {
		faults.Add(odd...)
		return Value{}
	}
	tokens := lexer.Tokenize(string(source.Text[from:to]))
	if !f.bounded(tokens) {
		return Value{}
	}
	doc, err := parser.Parse(tokens, 0)
	if err != nil {
		f.syntax(err)
		return Value{}
	}
	switch {
	case len(doc.Docs) == 0 || doc.Docs[0].Body == nil:
		return Value{file: f}
	case len(doc.Docs) > 1:
		at := f.place(doc.Docs[1].Start.Position.Line, 1)
		f.add(source.At(at, 3, "a second document begins here", "keep one"), Syntax)
	}
	return Value{f, doc.Docs[0].Body}
}

func (f *file) syntax(err error) {
	at, text := f.from, err.Error()
	if e, ok := err.(goccy.Error); ok {
		text = e.GetMessage()
		if t := e.GetToken(); t != nil && t.Position != nil {
			at = f.place(t.Position.Line, t.Position.Column)
		}
	}
	text, _, _ = strings.Cut(text, "\n")
	for _, c := range causes {
		if strings.Contains(text, c.says) {
			f.add(f.source.At(at, 1, c.text, c.hint), Syntax)
			return
		}
	}
	f.add(f.source.At(at, 1, "this YAML cannot be read: "+text,
		"write key: value, with quotes around text that holds a colon or begins with a sign"), Syntax)
}

// causes are what the parser says of the mistakes that people make, and what these are.
var causes = []struct{ says, text, hint string }{
	{"character '\t'", "a tab stands where YAML has spaces", "indent with spaces"},
	{"found a tab character", "a tab stands where YAML has spaces", "indent with spaces"},
	{"end character of double-quoted", `this " is not closed`, `write " where the text ends`},
	{"end character of single-quoted", "this ' is not closed", "write ' where the text ends, and '' for an apostrophe within it"},
	{"flow mapping end token", "this { is not closed", "write } where it ends, and quotes around text that holds a sign"},
	{"sequence end token", "this [ is not closed", "write ] where it ends, and quotes around text that holds a sign"},
	{"mapping value is not allowed", "a text with a colon needs quotes, and keys that belong together begin in the same column",
		`write key: "text: more", or move the keys below each other`},
	{"non-map value is specified", "this line is no key with a value", "write key: value; indent a text that goes on from the line above"},
}

func (f *file) add(one fault.Fault, code string) {
	one.Code = code
	f.faults.Add(one)
}

// place is the offset in the source of a line and a column of the YAML, both from 1, the column in characters.
func (f *file) place(line, column int) int { return f.source.Offset(f.before+max(line, 1), column) }

// Empty reports whether there is nothing.
func (v Value) Empty() bool {
	if v.node == nil {
		return true
	}
	_, null := v.node.(*ast.NullNode)
	return null
}

// Span is where the value begins in the source, and how long it is if it is one word.
func (v Value) Span() (start, end int) {
	if v.file == nil {
		return 0, 0
	}
	if v.node == nil {
		return v.file.from, v.file.from
	}
	if m, ok := v.node.(*ast.MappingNode); ok && len(m.Values) > 0 && !m.IsFlowStyle {
		return Value{v.file, m.Values[0].Key}.Span()
	}
	t := v.node.GetToken()
	start = v.file.place(t.Position.Line, t.Position.Column)
	word := strings.TrimSpace(t.Origin)
	word, _, _ = strings.Cut(word, "\n")
	return start, start + len(word)
}

// Fault says what is wrong with the value.
func (v Value) Fault(code, text, hint string) {
	if v.file == nil {
		return
	}
	start, end := v.Span()
	v.file.add(v.file.source.At(start, end-start, text, hint), code)
}

// Field is one key of a mapping and its value.
type Field struct {
	Name  string
	Key   Value
	Value Value
}

// Fields are the fields of a mapping in their order.
func (v Value) Fields() []Field {
	if v.Empty() {
		return nil
	}
	var pairs []*ast.MappingValueNode
	switch n := v.node.(type) {
	case *ast.MappingNode:
		pairs = n.Values
	case *ast.MappingValueNode:
		pairs = []*ast.MappingValueNode{n}
	default:
		v.Fault(Shape, "here should be keys with values", "write key: value")
		return nil
	}
	fields := make([]Field, len(pairs))
	for i, p := range pairs {
		key := Value{v.file, p.Key}
		fields[i] = Field{p.Key.GetToken().Value, key, Value{v.file, p.Value}}
	}
	return fields
}

// Keyed reports whether the value is keys with values.
func (v Value) Keyed() bool {
	switch v.node.(type) {
	case *ast.MappingNode, *ast.MappingValueNode:
		return true
	}
	return false
}

// Each hands every field of a mapping to the reader of its name. Other names are faults.
func (v Value) Each(readers map[string]func(Value)) {
	for _, f := range v.Fields() {
		read, ok := readers[f.Name]
		if !ok {
			f.Key.Fault(Unknown, "there is no key "+quote(f.Name)+" here", fault.Meant(f.Name, slices.Collect(maps.Keys(readers))))
			continue
		}
		read(f.Value)
	}
}

// List are the items of a sequence.
func (v Value) List() []Value {
	if v.Empty() {
		return nil
	}
	n, ok := v.node.(*ast.SequenceNode)
	if !ok {
		v.Fault(Shape, "here should be a list", "write [one, two]")
		return nil
	}
	items := make([]Value, len(n.Values))
	for i, item := range n.Values {
		items[i] = Value{v.file, item}
	}
	return items
}

// Text is a text, a number or any other single word as it is written.
func (v Value) Text() string {
	switch n := v.node.(type) {
	case nil, *ast.NullNode:
		return ""
	case *ast.StringNode:
		return n.Value
	case *ast.LiteralNode:
		return strings.TrimSpace(n.Value.Value)
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		return n.GetToken().Value
	}
	v.Fault(Shape, "here should be a text", "put it between quotes")
	return ""
}

// Texts are the texts of a list.
func (v Value) Texts() []string {
	var texts []string
	for _, item := range v.List() {
		texts = append(texts, item.Text())
	}
	return texts
}

// Flag is true or false.
func (v Value) Flag() bool {
	n, ok := v.node.(*ast.BoolNode)
	if !ok && !v.Empty() {
		v.Fault(Shape, "here should be true or false", "write true or false")
	}
	return ok && n.Value
}

// Date is a day, written 2026-09-14 (RFC 3339).
func (v Value) Date() time.Time {
	text := v.Text()
	if text == "" {
		return time.Time{}
	}
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		v.Fault(Shape, quote(text)+" is not a date", "write year-month-day, such as 2026-09-14")
	}
	return day
}

func quote(s string) string { return `"` + s + `"` }
