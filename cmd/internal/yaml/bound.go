package yaml

import (
	"fmt"

	"github.com/goccy/go-yaml/token"
)

// Limits that no file written by hand comes near. The time to read a mapping grows with the square of its keys, and the
// memory with how deep lists are nested.
const (
	mostKeys   = 20_000 // in a file
	mostNested = 50     // lists and mappings on the way to a value
)

// bounded reports whether the tokens are within the limits, and adds a fault at the first that is not. Anchors and
// aliases are refused, since with them a few lines can stand for millions.
func (f *file) bounded(tokens token.Tokens) bool {
	keys, depth, run := 0, 0, 0
	for _, t := range tokens {
		switch t.Type {
		case token.AnchorType, token.AliasType, token.TagType, token.MergeKeyType:
			return f.refuse(t, "anchors, aliases and tags are not taken",
				"write the value out; put it between quotes if it begins with &, * or !")
		case token.SequenceStartType, token.MappingStartType:
			depth++
		case token.SequenceEndType, token.MappingEndType:
			depth--
		case token.SequenceEntryType, token.MappingKeyType:
			run++
		case token.MappingValueType:
			keys++
		default:
			run = 0
		}
		switch {
		case depth > mostNested || run > mostNested:
			return f.refuse(t, "lists stand in each other too deeply here", "take some of them out")
		case keys > mostKeys:
			return f.refuse(t, fmt.Sprintf("this file has more than %d keys", mostKeys), "keep what nobody uses elsewhere")
		}
	}
	return true
}

func (f *file) refuse(t *token.Token, text, hint string) bool {
	at := f.place(t.Position.Line, t.Position.Column)
	f.add(f.source.At(at, 1, text, hint), Syntax)
	return false
}
