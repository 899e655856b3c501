package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/tools/go/packages"
)

// The program compiles for the systems that staffs have, its tests as well. Types are checked
// from source, which takes a tenth of the time that compiling every library for each system
// does: of libraries only what they declare.
func TestOtherSystems(t *testing.T) {
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	for _, system := range []string{"windows", "darwin"} {
		t.Run(system, func(t *testing.T) {
			if testing.Short() && system == "darwin" {
				t.Skip("make full checks it")
			}
			list, err := packages.Load(&packages.Config{
				Mode: packages.NeedName | packages.NeedFiles | packages.NeedCompiledGoFiles | packages.NeedImports |
					packages.NeedDeps | packages.NeedTypes | packages.NeedSyntax | packages.NeedTypesSizes | packages.NeedModule,
				Dir:   root,
				Env:   append(os.Environ(), "GOOS="+system, "CGO_ENABLED=0", "GOFLAGS=-mod=readonly"),
				Tests: true,
				ParseFile: func(fset *token.FileSet, name string, src []byte) (*ast.File, error) {
					f, err := parser.ParseFile(fset, name, src, parser.SkipObjectResolution)
					if f != nil && !strings.HasPrefix(name, root+string(filepath.Separator)) {
						for _, d := range f.Decls {
							if d, ok := d.(*ast.FuncDecl); ok {
								d.Body = nil
							}
						}
					}
					return f, err
				},
			}, "./...")
			if err != nil {
				t.Fatal(err)
			}
			ours := 0
			for _, p := range list {
				if strings.HasSuffix(p.ID, ".test") {
					continue // the main that go test writes, which lies outside
				}
				for _, e := range p.Errors {
					t.Errorf("%s: %v", p.ID, e)
				}
				for _, f := range p.CompiledGoFiles {
					if strings.HasPrefix(f, root) {
						ours++
					}
				}
			}
			if ours < 200 {
				t.Errorf("only %d files were checked", ours)
			}
		})
	}
}
