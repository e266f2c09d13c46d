// Command words lists the texts of the Go sources that people read, which are
// the first arguments of core/say's functions, as JSON in the order in which they
// stand, with file and line. It fails where one cannot be told from the source.
//
//	go run ./web/words FOLDER...
package main

import (
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

const say = "plateau/core/say"

// functions of core/say whose first argument is a text, and whether it may be one
// that was marked elsewhere.
var functions = map[string]bool{"Text": true, "With": true, "Error": false, "Keep": true, "Later": false, "LaterError": false}

type text struct {
	Text string `json:"text"`
	File string `json:"file"`
	Line int    `json:"line"`
}

func main() {
	texts, faults := []text{}, []string(nil)
	for _, folder := range os.Args[1:] {
		err := filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			source, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			found, wrong, err := list(path, source)
			texts, faults = append(texts, found...), append(faults, wrong...)
			return err
		})
		if err != nil {
			faults = append(faults, err.Error())
		}
	}
	if len(faults) > 0 {
		fmt.Fprintln(os.Stderr, strings.Join(faults, "\n"))
		os.Exit(1)
	}
	out := json.NewEncoder(os.Stdout)
	out.SetEscapeHTML(false)
	if err := out.Encode(texts); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// list finds the texts of one file, and the calls whose text it cannot tell.
func list(path string, source []byte) (texts []text, faults []string, err error) {
	files := token.NewFileSet()
	file, err := parser.ParseFile(files, path, source, parser.SkipObjectResolution)
	if err != nil {
		return nil, nil, err
	}
	name := imported(file)
	if name == "" {
		return nil, nil, nil
	}
	ast.Inspect(file, func(node ast.Node) bool {
		call, ok := node.(*ast.CallExpr)
		if !ok || len(call.Args) == 0 {
			return true
		}
		callee, ok := call.Fun.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		from, ok := callee.X.(*ast.Ident)
		marked, known := functions[callee.Sel.Name]
		if !ok || from.Name != name || !known {
			return true
		}
		at := files.Position(call.Pos())
		if english, ok := literal(call.Args[0]); ok {
			texts = append(texts, text{english, filepath.ToSlash(path), at.Line})
		} else if !marked || !isMarked(call.Args[0]) {
			faults = append(faults, fmt.Sprintf("%s: the text of say.%s has to be a literal", at, callee.Sel.Name))
		}
		return true
	})
	return texts, faults, nil
}

// imported is the name of core/say in a file, empty where it is not there.
func imported(file *ast.File) string {
	for _, spec := range file.Imports {
		if path, _ := strconv.Unquote(spec.Path.Value); path != say {
			continue
		}
		if spec.Name != nil {
			return spec.Name.Name
		}
		return "say"
	}
	return ""
}

func literal(e ast.Expr) (string, bool) {
	switch e := e.(type) {
	case *ast.BasicLit:
		if e.Kind != token.STRING {
			return "", false
		}
		s, err := strconv.Unquote(e.Value)
		return s, err == nil
	case *ast.ParenExpr:
		return literal(e.X)
	case *ast.BinaryExpr:
		before, ok := literal(e.X)
		after, too := literal(e.Y)
		return before + after, ok && too && e.Op == token.ADD
	}
	return "", false
}

// isMarked tells whether a text may be one that say.Later marks elsewhere.
func isMarked(e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.Ident, *ast.SelectorExpr, *ast.IndexExpr, *ast.CallExpr:
		return true
	case *ast.ParenExpr:
		return isMarked(e.X)
	}
	return false
}
