package wasm

import (
	"errors"
	"go/ast"
	"go/parser"
	"go/scanner"
	"go/token"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"

	"example.org/gripleaf/calculators/kit"
	"example.org/gripleaf/cmd/internal/fault"
)

// declared is a Go package of the site's own and where in it the calculator is declared, so that what is wrong with the
// declaration can be shown in it.
type declared struct {
	own        *own
	folder     string // below calculators/, with slashes
	files      *token.FileSet
	variables  map[string]ast.Expr // package variables and their values
	calculator *ast.Ident          // the variable; nil if this package declares none
	starts     *ast.Ident          // the first function init, or a variable whose value is a call; nil without
	exits      []token.Pos         // calls that end the program
}

func newDeclared(o *own, folder string) *declared {
	return &declared{own: o, folder: folder, files: token.NewFileSet(), variables: make(map[string]ast.Expr)}
}

// read reads one file of the package. A file that is broken is read as far as it can be; the compiler tells about it
// once there is a calculator.
func (d *declared) read(name string, text []byte) fault.List {
	f, err := parser.ParseFile(d.files, filepath.FromSlash(name), text, parser.SkipObjectResolution)
	if f == nil {
		return nil
	}
	for _, decl := range f.Decls {
		switch decl := decl.(type) {
		case *ast.FuncDecl:
			if decl.Name.Name == "init" && decl.Recv == nil {
				d.starts = decl.Name
			}
		case *ast.GenDecl:
			d.general(decl)
		}
	}
	ast.Inspect(f, func(n ast.Node) bool {
		if call, ok := n.(*ast.CallExpr); ok && ends(call) {
			d.exits = append(d.exits, call.Pos())
		}
		return true
	})
	return d.unread(name, text, err)
}

// general notes the variables of a declaration.
func (d *declared) general(decl *ast.GenDecl) {
	if decl.Tok != token.VAR {
		return
	}
	for _, spec := range decl.Specs {
		v := spec.(*ast.ValueSpec)
		for i, name := range v.Names {
			if name.Name == "Calculator" {
				d.calculator = name
			}
			if i < len(v.Values) {
				d.variables[name.Name] = v.Values[i]
				if _, isCall := v.Values[i].(*ast.CallExpr); isCall && d.starts == nil {
					d.starts = name
				}
			}
		}
	}
}

// ends reports whether a call ends the program.
func ends(call *ast.CallExpr) bool {
	f, ok := call.Fun.(*ast.SelectorExpr)
	if !ok {
		return false
	}
	of, ok := f.X.(*ast.Ident)
	return ok && (of.Name == "os" && f.Sel.Name == "Exit" || of.Name == "log" && strings.HasPrefix(f.Sel.Name, "Fatal"))
}

// unread is what the parser found wrong.
func (d *declared) unread(name string, text []byte, err error) fault.List {
	var wrong scanner.ErrorList
	if !errors.As(err, &wrong) {
		return nil
	}
	var list fault.List
	for _, one := range wrong {
		f := fault.At(filepath.Join(d.own.shown, name), text, one.Pos.Offset, 1, one.Msg, "")
		f.Code = ownCode
		list.Add(f)
	}
	return list
}

// fault is a fault in a field of the declaration, such as "Inputs.0.Default", or in as much of it as is written there.
func (d *declared) fault(field, text, hint string) fault.Fault {
	var node ast.Node = d.calculator
	next := d.value(ast.Expr(d.calculator))
	kind := reflect.TypeFor[kit.Calculator]()
	for part := range strings.SplitSeq(field, ".") {
		literal, ok := next.(*ast.CompositeLit)
		if !ok || part == "" {
			break
		}
		var value ast.Expr
		if value, kind = element(literal, kind, part); value == nil {
			break
		}
		node, next = value, d.value(value)
	}
	return d.node(node, text, hint)
}

// value is what an expression stands for: a variable of the package is followed to its value.
func (d *declared) value(e ast.Expr) ast.Expr {
	for range 10 { // a circle is the compiler's to tell
		switch one := e.(type) {
		case *ast.Ident:
			v, ok := d.variables[one.Name]
			if !ok {
				return e
			}
			e = v
		case *ast.ParenExpr:
			e = one.X
		case *ast.UnaryExpr:
			e = one.X
		default:
			return e
		}
	}
	return e
}

// element is a field or an element of a literal of a type, and the type of that; nil if it is not written there.
func element(literal *ast.CompositeLit, kind reflect.Type, part string) (ast.Expr, reflect.Type) {
	place, err := strconv.Atoi(part)
	isField := err != nil
	if isField {
		if kind.Kind() != reflect.Struct {
			return nil, kind
		}
		field, ok := kind.FieldByName(part)
		if !ok {
			return nil, kind
		}
		place, kind = field.Index[0], field.Type
	} else if kind.Kind() == reflect.Slice {
		kind = kind.Elem()
	}
	for i, e := range literal.Elts {
		pair, keyed := e.(*ast.KeyValueExpr)
		if !keyed && i == place {
			return e, kind
		}
		if keyed && isField {
			if key, ok := pair.Key.(*ast.Ident); ok && key.Name == part {
				return pair.Value, kind
			}
		}
	}
	return nil, kind
}

// node is a fault at a piece of the source, or where one begins that goes on over several lines.
func (d *declared) node(n ast.Node, text, hint string) fault.Fault {
	from, to := d.files.Position(n.Pos()), d.files.Position(n.End())
	length := 1
	if to.Line == from.Line {
		length = to.Column - from.Column
	}
	return d.own.at(from.Filename, from.Line, from.Column, length, text, hint)
}
