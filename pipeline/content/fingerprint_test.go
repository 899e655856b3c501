package content_test

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"trenchcut/pipeline/content"
)

func TestFingerprint(t *testing.T) {
	dir := t.TempDir()
	n := 0
	print := func(data []byte) string {
		t.Helper()
		n++
		path := filepath.Join(dir, string(rune('a'+n)))
		if err := os.WriteFile(path, data, 0o666); err != nil {
			t.Fatal(err)
		}
		p, err := content.Fingerprint(path)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	r := rand.NewChaCha8([32]byte{1})
	large := make([]byte, 5<<20)
	if _, err := r.Read(large); err != nil {
		t.Fatal(err)
	}
	small := large[:1<<20]

	if print(large) != print(bytes.Clone(large)) || print(small) != print(bytes.Clone(small)) {
		t.Error("the same content has two fingerprints")
	}
	changed := func(data []byte, at int) []byte {
		c := bytes.Clone(data)
		c[at] ^= 1
		return c
	}
	for name, other := range map[string][]byte{
		"a small file changed anywhere":  changed(small, 777_777),
		"a large file's first byte":      changed(large, 0),
		"a large file's last byte":       changed(large, len(large)-1),
		"a large file cut short by one":  large[:len(large)-1],
		"a large file longer by nothing": append(bytes.Clone(large), 0),
		"nothing at all":                 nil,
	} {
		if p := print(other); p == print(large) || p == print(small) {
			t.Errorf("%s has the fingerprint of the whole", name)
		}
	}
	if p, err := content.Fingerprint(dir); err == nil {
		t.Errorf("a folder has the fingerprint %s", p)
	}
	if p, err := content.Fingerprint(filepath.Join(dir, "none")); err == nil {
		t.Errorf("a file that is not there has the fingerprint %s", p)
	}
}
