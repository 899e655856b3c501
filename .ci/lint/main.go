// Lint is this project's linter: go vet's analyzers, staticcheck's, errcheck, errorlint,
// depguard and forbidigo, two rules of revive, and gofumpt, in one program. A machine that has
// none of them builds it in a third of the time that golangci-lint takes.
//
// A line that is right as it is says so above it: //lint:ignore NAME the reason.
package main

import (
	_ "embed"
	"fmt"
	"log"
	"os"
	"slices"
	"strings"

	"github.com/OpenPeeDeeP/depguard/v2"
	"github.com/ashanbrown/forbidigo/v2/pkg/analyzer"
	"github.com/kisielk/errcheck/errcheck"
	"github.com/polyfloyd/go-errorlint/errorlint"
	"golang.org/x/tools/go/analysis"
	"golang.org/x/tools/go/analysis/suite/vet"
	"gopkg.in/yaml.v3"
	"honnef.co/go/tools/analysis/lint"
	"honnef.co/go/tools/lintcmd"
	"honnef.co/go/tools/simple"
	"honnef.co/go/tools/staticcheck"
	"honnef.co/go/tools/stylecheck"
	"honnef.co/go/tools/unused"
)

// Embedded fields may be named, and De Morgan's laws need not be applied.
const checks = "all,-QF1001,-QF1008"

//go:embed imports.yaml
var imports []byte

func main() {
	log.SetFlags(0)
	rules := depguard.LinterSettings{}
	if err := yaml.Unmarshal(imports, &rules); err != nil {
		log.Fatalf("imports.yaml: %v", err)
	}
	oneWay, err := depguard.NewAnalyzer(&rules)
	if err != nil {
		log.Fatalf("imports.yaml: %v", err)
	}
	// What is printed to a terminal or a buffer, and what is cleaned up after an error.
	// Files that are written report their Close.
	set(errcheck.Analyzer, "exclude", ".ci/lint/unchecked.txt")
	noExit := analyzer.NewAnalyzer()
	set(noExit, "analyze_types", "true")
	for _, name := range []string{"os.Exit", "log.Fatal.*"} {
		set(noExit, "p", fmt.Sprintf("{p: '^%s$', msg: only main of a command ends the process}", name))
	}

	c := lintcmd.NewCommand("lint")
	c.AddAnalyzers(simple.Analyzers...)
	c.AddAnalyzers(staticcheck.Analyzers...)
	c.AddAnalyzers(stylecheck.Analyzers...)
	c.AddAnalyzers(unused.Analyzer)
	add := func(a *analysis.Analyzer, but ...string) {
		c.AddAnalyzers(&lint.Analyzer{Analyzer: named(a, but...), Doc: &lint.RawDocumentation{Title: a.Doc}})
	}
	for _, a := range append(vet.Suite, oneWay, errcheck.Analyzer, errorlint.NewAnalyzer(), reviveRules, formatted) {
		add(a)
	}
	// TestMain ends its process with the tests' exit code, and so does the main that go test
	// writes: a file of the build cache, whose name ends in -d.
	add(noExit, "/main.go", "_test.go", "-d")
	c.ParseFlags(append([]string{"-checks", checks}, os.Args[1:]...))
	c.Run()
}

func set(a *analysis.Analyzer, flag, value string) {
	if err := a.Flags.Set(flag, value); err != nil {
		log.Fatalf("%s: set %s: %v", a.Name, flag, err)
	}
}

// named makes a report under its own name, because lintcmd drops reports of a category that it
// does not know. Reports on files whose names end in one of but are left out.
func named(a *analysis.Analyzer, but ...string) *analysis.Analyzer {
	run := a.Run
	a.Run = func(pass *analysis.Pass) (any, error) {
		inner := *pass
		inner.Report = func(d analysis.Diagnostic) {
			file := pass.Fset.Position(d.Pos).Filename
			if !slices.ContainsFunc(but, func(s string) bool { return strings.HasSuffix(file, s) }) {
				d.Category = a.Name
				pass.Report(d)
			}
		}
		return run(&inner)
	}
	return a
}
