package film

import (
	"fmt"
	"path/filepath"

	"trenchcut/pipeline/plan"
)

// Kept is what [Library.Keep] was last given for a film and a kind; false where the cache
// holds none that is whole.
func (l *Library) Kept(src plan.Source, kind string) ([]byte, bool) {
	return l.kept(l.keptFile(src, kind))
}

// Keep writes what was found out about a film to the cache, under the film's fingerprint
// and a kind, which is part of a file's name. A cache that cannot be written to is no
// error: it is found out again.
func (l *Library) Keep(src plan.Source, kind string, data []byte) {
	l.keep(l.keptFile(src, kind), data)
}

func (l *Library) keptFile(src plan.Source, kind string) string {
	return filepath.Join(l.cache, fmt.Sprintf("%s.%s", src.Fingerprint, kind))
}
