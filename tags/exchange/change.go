package exchange

import (
	"fmt"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Change is what a sheet does to a tag file.
type Change struct {
	File    string   // the tag file
	Data    []byte   // as it then is
	Lines   []string // what is added and what is kept although the sheet differs, a line each
	Added   int      // plays
	Filled  int      // values of plays that were there, and those that were corrected
	Differs int      // values that the sheet gives otherwise; the tag file wins
	// Understood is what was made of the sheet. Faults are the cells and rows that cannot be
	// read, without which the rest is taken, and as warnings what is odd about the others.
	Understood *Understood
	Faults     tags.Faults
	Ledger     Ledger // what sheets have brought into the tag file

	old []byte // as it was; nil where it does not exist yet
}

// Empty reports whether the sheet changes nothing.
func (c *Change) Empty() bool { return c.Added+c.Filled == 0 }

// Counted says how much the sheet changes.
func (c *Change) Counted() string {
	text := fmt.Sprintf("%s added, %s filled", tags.Count(c.Added, "play"), tags.Count(c.Filled, "value"))
	if c.Differs > 0 {
		text += fmt.Sprintf(", %s kept where the sheet differs", tags.Count(c.Differs, "value"))
	}
	return text
}

// Write writes the tag file as it then is, unless nothing changes, and the ledger: both or neither.
// It fails with [files.ErrChanged] where the file is no longer what was read.
func (c *Change) Write() error {
	if c.Empty() {
		return files.WriteTogether(c.Ledger.Files(c.File))
	}
	return files.UpdateTogether(c.File, c.old, c.Data, c.Ledger.Files(c.File)...)
}

func (c *Change) say(format string, args ...any) {
	c.Lines = append(c.Lines, fmt.Sprintf(format, args...))
}

// keep notes that the tag file's value stays, where the sheet gives another.
func (c *Change) keep(p *tags.Play, v value, have string) {
	if strings.TrimSpace(have) == v.text {
		return
	}
	if have == "" {
		have = "empty"
	}
	c.Differs++
	c.say("play %d: keep %s %s; the sheet says %s (%s)", p.Number, v.key, short(have), short(v.text), v.pos)
}
