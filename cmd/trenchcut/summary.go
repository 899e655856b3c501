package main

import (
	"fmt"
	"time"

	"trenchcut/cmd/internal/terminal"
)

// longWork is how long work goes on before its summary says how long it took.
const longWork = 2 * time.Second

// summary says, to whoever sits at a terminal, how long work took that began then, and what can be done
// next; into a file or a pipe goes nothing of it.
func (s streams) summary(began time.Time, next string) error {
	if !s.IsTerminal {
		return nil
	}
	return terminal.Paragraphs(s.Err, summaryWords(time.Since(began), next))
}

func summaryWords(took time.Duration, next string) string {
	if took < longWork {
		return "Next: " + next
	}
	return fmt.Sprintf("It took %s. Next: %s", terminal.Duration(took), next)
}
