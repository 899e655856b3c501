package content_test

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"trenchcut/pipeline/content"
	"trenchcut/tags/files"
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

// What is stored as parts has the fingerprint and the hash of the whole, wherever it was cut.
func TestParts(t *testing.T) {
	dir := t.TempDir()
	data := make([]byte, 5<<20)
	if _, err := rand.NewChaCha8([32]byte{2}).Read(data); err != nil {
		t.Fatal(err)
	}
	put := func(name string, data []byte) string {
		t.Helper()
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o666); err != nil {
			t.Fatal(err)
		}
		return path
	}
	whole := put("whole", data)
	print, err := content.Fingerprint(whole)
	if err != nil {
		t.Fatal(err)
	}
	hash, err := content.Hash(t.Context(), whole)
	if err != nil {
		t.Fatal(err)
	}
	for _, cuts := range [][2]int{{1, 2}, {30_000, 4 << 20}, {64 << 10, 5<<20 - 1}} {
		parts := []string{put("1", data[:cuts[0]]), put("2", data[cuts[0]:cuts[1]]), put("3", data[cuts[1]:])}
		if p, err := content.Fingerprint(files.Whole(parts)); err != nil || p != print {
			t.Errorf("cut at %d: the fingerprint is %s, %v, want %s", cuts, p, err, print)
		}
		if h, err := content.Hash(t.Context(), files.Whole(parts)); err != nil || h != hash {
			t.Errorf("cut at %d: the hash is %s, %v, want %s", cuts, h, err, hash)
		}
		if p, err := content.Fingerprint(files.Whole([]string{parts[0], parts[2], parts[1]})); err != nil || p == print {
			t.Errorf("cut at %d: parts in another order are %s, %v", cuts, p, err)
		}
	}
	for _, bad := range []string{put("empty", nil), dir, filepath.Join(dir, "none")} {
		if p, err := content.Fingerprint(files.Whole([]string{whole, bad})); err == nil {
			t.Errorf("with the part %s the fingerprint is %s", bad, p)
		}
	}
}
