package exchange

import "strings"

// idOf is text as an id: small letters, digits and hyphens, at most forty of them; empty where
// none can be made of it. What stands between words becomes a hyphen, and all else is left out,
// so that an apostrophe parts no name.
func idOf(text string) string {
	id := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case strings.ContainsRune(" -_./,&", r):
			return '-'
		default:
			return -1
		}
	}, text)
	for strings.Contains(id, "--") {
		id = strings.ReplaceAll(id, "--", "-")
	}
	id = strings.Trim(id, "-")
	return strings.Trim(id[:min(len(id), 40)], "-")
}
