package terminal

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
)

// What steers a terminal does not come through, in however many parts it is written.
func TestTerminal(t *testing.T) {
	const text = "a\x1b[31mb\x07\x7f\x9bc\u009bd\u202ee\u2066f\u2028g\tü—𝐚\r\nh\ri\xff\n"
	const want = "a�[31mb���c�d�e�f�g\tü—𝐚\nh�i�\n"
	for size := 1; size <= len(text); size++ {
		var out bytes.Buffer
		w := &guard{to: &out}
		for rest := []byte(text); len(rest) > 0; {
			n := min(size, len(rest))
			if got, err := w.Write(rest[:n]); err != nil || got != n {
				t.Fatal(got, err)
			}
			rest = rest[n:]
		}
		if got := out.String(); got != want || strings.ContainsFunc(got, steers) {
			t.Fatalf("in parts of %d: %q, want %q", size, got, want)
		}
	}
}

func steers(r rune) bool {
	return r != '\n' && r != '\t' && (unicode.IsControl(r) || unicode.In(r, unicode.Bidi_Control, unicode.Zl, unicode.Zp))
}

// Into a file goes what it is.
func TestFilesAreNotGuarded(t *testing.T) {
	f, err := os.Create(filepath.Join(t.TempDir(), "out"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if w := Guard(f); w != f {
		t.Errorf("a file is taken for a terminal: %T", w)
	}
}
