package help

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// Manual is the manual page of a program in the language of man(7). Help is plain text, so
// its paragraphs are filled and its indented lines kept.
func Manual(root *cobra.Command) string {
	var m manual
	m.line(`.TH %s 1 "" %s`, quoted(strings.ToUpper(root.Name())), quoted(root.Name()+" "+root.Version))
	m.line(".nh\n.ad l") // no word is parted, no line stretched
	m.line(".SH NAME")
	m.line(`%s \- %s`, escaped(root.Name()), escaped(root.Short))
	m.line(".SH SYNOPSIS")
	m.line(".B %s", escaped(root.Name()))
	m.line(`.I command`)
	m.line("[flags]")
	m.line(".SH DESCRIPTION")
	m.text(root.Long)
	m.line(".SH EXAMPLES")
	m.kept(root.Example)
	m.line(".SH COMMANDS")
	for _, cmd := range root.Commands() {
		if cmd.IsAvailableCommand() {
			m.command(cmd)
		}
	}
	return m.String()
}

// manual is a manual page as it is written.
type manual struct{ strings.Builder }

func (m *manual) line(format string, args ...any) { fmt.Fprintf(m, format+"\n", args...) }

func (m *manual) command(cmd *cobra.Command) {
	m.line(".SS %s", quoted(cmd.UseLine()))
	m.text(cmd.Long)
	m.kept(cmd.Example)
	for _, rare := range []bool{false, true} {
		flagsOf(cmd, rare).VisitAll(m.flag)
	}
	for _, below := range cmd.Commands() {
		if below.IsAvailableCommand() {
			m.command(below)
		}
	}
}

func (m *manual) flag(f *pflag.Flag) {
	if f.Hidden || f.Name == "help" {
		return
	}
	value, usage := pflag.UnquoteUsage(f)
	names := "--" + f.Name
	if f.Shorthand != "" {
		names = "-" + f.Shorthand + ", " + names
	}
	m.line(".TP")
	m.line(`\fB%s\fR \fI%s\fR`, escaped(names), escaped(value))
	m.line("%s", escaped(usage))
}

// text writes paragraphs: the lines that are indented as they stand, the others filled.
func (m *manual) text(text string) {
	kept := false
	for line := range strings.SplitSeq(strings.TrimRight(text, "\n"), "\n") {
		if indented := strings.HasPrefix(line, "  "); indented != kept {
			m.line(map[bool]string{true: ".PP\n.nf", false: ".fi"}[indented])
			kept = indented
		}
		if line == "" {
			m.line(".PP")
			continue
		}
		m.line("%s", escaped(line))
	}
	if kept {
		m.line(".fi")
	}
}

// kept writes lines as they stand, where there are any.
func (m *manual) kept(text string) {
	if text != "" {
		m.line(".PP\n.nf\n%s\n.fi", escaped(text))
	}
}

// escaped is text that man takes for no word of its own.
func escaped(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`, "'", `\(aq`, "`", `\(ga`, "^", `\(ha`, "~", `\(ti`).Replace(text)
	var b strings.Builder
	for i, r := range text {
		if r == '.' && (i == 0 || text[i-1] == '\n') {
			b.WriteString(`\&`)
		}
		if r < utf8.RuneSelf {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, `\[u%04X]`, r)
		}
	}
	return b.String()
}

// quoted is text as one argument of a request.
func quoted(text string) string { return `"` + strings.ReplaceAll(escaped(text), `"`, `\(dq`) + `"` }
