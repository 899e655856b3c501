package query

import (
	"fmt"
	"strings"

	"trenchcut/tags"
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
		why = fmt.Sprintf(" (no %s tagged)", strings.ReplaceAll(tags.Either(u.Missing[:min(most, len(u.Missing))]), "-", " "))
	}
	return fmt.Sprintf("; %d more could not be judged%s", u.Unknown, why)
}
