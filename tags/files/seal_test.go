package files_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"trenchcut/tags/files"
)

// CRC-32C of "123456789" is 0xe3069283, by the catalogue of parametrised CRC algorithms
// (reveng.sourceforge.io/crc-catalogue, CRC-32/ISCSI).
func TestSealIsCRC32C(t *testing.T) {
	want := "123456789\x00\x00\x00\x10freec32c\xe3\x06\x92\x83"
	if got := files.Seal([]byte("123456789")); string(got) != want {
		t.Errorf("sealed %q, want %q", got, want)
	}
}

// No flipped bit, lost end or added byte passes, of a record in memory or in a file.
func TestDamagedSeal(t *testing.T) {
	path := filepath.Join(t.TempDir(), "record")
	sealed := func(record []byte) (inMemory, inFile error) {
		t.Helper()
		if err := os.WriteFile(path, record, 0o666); err != nil {
			t.Fatal(err)
		}
		_, inMemory = files.Unseal(record)
		return inMemory, files.CheckSeal(path)
	}
	for _, data := range []string{"", "a", "a record of some length"} {
		if err := os.WriteFile(path, []byte(data), 0o666); err != nil {
			t.Fatal(err)
		}
		if err := files.SealFile(path); err != nil {
			t.Fatal(err)
		}
		whole, err := os.ReadFile(path)
		if err != nil || !bytes.Equal(whole, files.Seal([]byte(data))) {
			t.Fatalf("the file is %q, sealed in memory it is %q (%v)", whole, files.Seal([]byte(data)), err)
		}
		if got, err := files.ReadSealed(path, 1<<20); err != nil || string(got) != data {
			t.Errorf("read %q (%v), want %q", got, err, data)
		}
		if a, b := sealed(whole); a != nil || b != nil {
			t.Errorf("%q, whole: %v and %v", data, a, b)
		}
		var damaged [][]byte
		for i := range len(whole) * 8 {
			c := bytes.Clone(whole)
			c[i/8] ^= 1 << (i % 8)
			damaged = append(damaged, c)
		}
		for n := range whole {
			damaged = append(damaged, whole[:n])
		}
		damaged = append(damaged, append(bytes.Clone(whole), 0), append([]byte{0}, whole...))
		for _, record := range damaged {
			if a, b := sealed(record); !errors.Is(a, files.ErrSeal) || !errors.Is(b, files.ErrSeal) {
				t.Errorf("%q passes for %q: %v and %v", record, data, a, b)
			}
		}
	}
}

func BenchmarkCheckSeal(b *testing.B) {
	path := filepath.Join(b.TempDir(), "segment")
	if err := os.WriteFile(path, make([]byte, 64<<20), 0o666); err != nil {
		b.Fatal(err)
	}
	if err := files.SealFile(path); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(64 << 20)
	for b.Loop() {
		if err := files.CheckSeal(path); err != nil {
			b.Fatal(err)
		}
	}
}
