package query

import (
	"fmt"
	"strings"
)

// Words is "; 3 more could not be judged (no set tagged)", to follow what was found; empty
// where everything could be judged.
func (u Unjudged) Words() string {
	if u.Unknown == 0 {
		return ""
	}
	const most = 3
	why := ""
	if len(u.Missing) > 0 {
		why = fmt.Sprintf(" (no %s tagged)", orList(u.Missing[:min(most, len(u.Missing))]))
	}
	return fmt.Sprintf("; %d more could not be judged%s", u.Unknown, why)
}

// orList is "a, b or c".
func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
