package demo

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"trenchcut/tags/files"
)

// A stamp stands beside a film that is complete. It holds two digests: of everything the
// film was drawn from, and of the film itself. Only where both agree is a film known to
// be the right one.

func stampFile(film string) string {
	return filepath.Join(filepath.Dir(film), "."+filepath.Base(film)+".stamp")
}

// drawn is how films are drawn. Raise it when the same tags give other pictures or another
// sound than before.
const drawn = 1

// source is the digest of what f is drawn from.
func (f *film) source() string {
	h := sha256.New()
	h.Write(f.tags)
	fmt.Fprintln(h, drawn, f.angle, f.width, f.height, f.frames, f.args("sound", "film"))
	return hex.EncodeToString(h.Sum(nil))
}

func fileSum(name string) (string, error) {
	file, err := os.Open(name)
	if err != nil {
		return "", err
	}
	defer file.Close()
	h := sha256.New()
	if _, err := io.Copy(h, file); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// stamped reports whether the film is there, whole, and drawn from what f is now. What cannot
// be read is made again.
func (f *film) stamped() bool {
	stamp, err := os.ReadFile(stampFile(f.file))
	if err != nil {
		return false
	}
	sum, err := fileSum(f.file)
	return err == nil && strings.TrimSpace(string(stamp)) == f.source()+" "+sum
}

// stamp marks the film as complete.
func (f *film) stamp() error {
	sum, err := fileSum(f.file)
	if err != nil {
		return fmt.Errorf("stamp %s: %w", f.about(), err)
	}
	return files.WriteCache(stampFile(f.file), []byte(f.source()+" "+sum+"\n"))
}
