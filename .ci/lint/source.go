package main

import (
	"bytes"
	"go/ast"
	"os"

	revive "github.com/mgechev/revive/lint"
	"github.com/mgechev/revive/rule"
	"golang.org/x/tools/go/analysis"
	"mvdan.cc/gofumpt/format"
)

// reviveRules asks for a comment on whatever is exported, and for a context to come first.
var reviveRules = &analysis.Analyzer{
	Name: "revive",
	Doc:  "what is exported has a comment, and a context is the first argument",
	Run: func(pass *analysis.Pass) (any, error) {
		rules := []revive.Rule{&rule.ExportedRule{}, &rule.ContextAsArgumentRule{}}
		config := revive.Config{Confidence: .8, Rules: revive.RulesConfig{}}
		for _, r := range rules {
			if c, ok := r.(revive.ConfigurableRule); ok {
				if err := c.Configure(nil); err != nil {
					return nil, err
				}
			}
			config.Rules[r.Name()] = revive.RuleConfig{}
		}
		files := map[string]*ast.File{}
		var names []string
		for _, f := range pass.Files {
			name := pass.Fset.Position(f.Package).Filename
			files[name], names = f, append(names, name)
		}
		linter := revive.New(os.ReadFile, 0)
		failures, err := linter.Lint([][]string{names}, rules, config)
		if err != nil {
			return nil, err
		}
		for f := range failures {
			if f.Confidence >= config.Confidence && files[f.Filename()] != nil {
				at := pass.Fset.File(files[f.Filename()].Package).Pos(f.Position.Start.Offset)
				pass.Reportf(at, "%s", f.Failure)
			}
		}
		return nil, nil
	},
}

// formatted asks for source as gofumpt writes it.
var formatted = &analysis.Analyzer{
	Name: "gofumpt",
	Doc:  "source is as gofumpt writes it",
	Run: func(pass *analysis.Pass) (any, error) {
		for _, f := range pass.Files {
			if ast.IsGenerated(f) {
				continue
			}
			source, err := os.ReadFile(pass.Fset.Position(f.Package).Filename)
			if err != nil {
				return nil, err
			}
			formatted, err := format.Source(source, format.Options{LangVersion: "go1.26", ModulePath: "trenchcut"})
			if err != nil {
				return nil, err
			}
			if !bytes.Equal(source, formatted) {
				pass.Reportf(f.Package, "is not as gofumpt -w writes it")
			}
		}
		return nil, nil
	},
}
