package main

import (
	"bytes"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
)

// documents returns what every archive holds to read, by its path there. The sources lie in the
// folder sources.
func documents(sources string) (map[string][]byte, error) {
	files := map[string][]byte{}
	licence, err := os.ReadFile(filepath.Join(sources, "LICENSE"))
	if err != nil {
		return nil, err
	}
	files["LICENSE.txt"] = licence // a name that opens by a double click
	for _, name := range []string{"README", "DEVELOPERS"} {
		text, err := os.ReadFile(filepath.Join(sources, name+".md"))
		if err != nil {
			return nil, err
		}
		if files[name+".html"], err = page(text); err != nil {
			return nil, fmt.Errorf("%s.md: %w", name, err)
		}
	}
	for under, pattern := range map[string]string{"pictures": "testdata/*.png", "templates": "templates/*.yaml"} {
		found, err := filepath.Glob(filepath.Join(sources, pattern))
		if err != nil {
			return nil, err
		}
		for _, file := range found {
			data, err := os.ReadFile(file)
			if err != nil {
				return nil, err
			}
			files[under+"/"+filepath.Base(file)] = data
		}
	}
	return files, nil
}

// moved turns links to files of the sources into links to the same files in an archive.
var moved = strings.NewReplacer(
	`src="testdata/`, `src="pictures/`,
	`href="DEVELOPERS.md`, `href="DEVELOPERS.html`,
	`href="README.md`, `href="README.html`,
	`href="LICENSE"`, `href="LICENSE.txt"`,
	`href="templates"`, `href="templates/"`,
)

var firstTitle = regexp.MustCompile(`(?m)^# (.+)$`)

// page converts Markdown to a page of HTML for the folder of an archive.
func page(text []byte) ([]byte, error) {
	markdown := goldmark.New(goldmark.WithExtensions(extension.GFM), goldmark.WithParserOptions(parser.WithAutoHeadingID()))
	var body bytes.Buffer
	if err := markdown.Convert(text, &body); err != nil {
		return nil, err
	}
	title := "trenchcut"
	if m := firstTitle.FindSubmatch(text); m != nil {
		title = string(m[1])
	}
	return fmt.Appendf(nil, pageFrame, html.EscapeString(title), moved.Replace(body.String())), nil
}

const pageFrame = `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src 'self' file:; style-src 'unsafe-inline'">
<title>%s</title>
<style>
:root { color-scheme: light dark }
body { font: 1rem/1.55 system-ui, sans-serif; max-width: 48rem; margin: 2rem auto; padding: 0 1rem }
pre, code { font-family: ui-monospace, Consolas, Menlo, monospace; font-size: .92em }
pre { overflow-x: auto; padding: .8rem 1rem; border: 1px solid #8886; border-radius: .4rem }
table { border-collapse: collapse; display: block; overflow-x: auto }
th, td { text-align: left; vertical-align: top; padding: .3rem .7rem .3rem 0; border-bottom: 1px solid #8884 }
img { max-width: 100%% }
h1, h2, h3 { line-height: 1.2; margin-top: 2rem }
</style>
%s</html>
`
