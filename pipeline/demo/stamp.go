package demo

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"io"
	"os"
	"path/filepath"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// A stamp stands beside a film that is complete. It holds two digests: of everything the
// film was drawn from, and of the film itself. Only where both agree is a film known to
// be the right one.

func stampFile(film string) string {
	return filepath.Join(filepath.Dir(film), "."+filepath.Base(film)+".stamp")
}

// source is the digest of what f is drawn from: the tags, how the film is made, where
// everyone is in every play, and a sample of the pictures and the sound, so that a change
// to how they are drawn shows.
func (f *film) source() (string, error) {
	h := sha256.New()
	h.Write(f.tags)
	fmt.Fprintln(h, f.angle, f.frames, f.strip, f.args("sound", "film"))
	small := *f
	small.width, small.height, small.strip = 192, 108, false
	for _, s := range f.shots {
		for t := 0.0; t < s.finish+1; t += 0.2 {
			for _, m := range s.men {
				at := m.at(t)
				fmt.Fprintf(h, "%s %.3f %.3f,", m.number, at.x, at.y)
			}
			at, height := s.flight(t)
			fmt.Fprintf(h, "%.3f %.3f %.3f\n", at.x, at.y, height)
		}
	}
	p := newPainter(&small)
	p.frame(f.rate.FrameAt(f.shots[0].view.Snap + 2*tags.Second))
	h.Write(p.planes)
	if f.sound {
		if err := f.writeSound(h, 5*sampleRate); err != nil {
			return "", err
		}
	}
	return sum(h), nil
}

func sum(h hash.Hash) string { return hex.EncodeToString(h.Sum(nil)) }

// fileSum is the digest of a file.
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
	return sum(h), nil
}

// stamped reports whether the film is there, whole, and drawn from source. What cannot
// be read is made again.
func (f *film) stamped(source string) bool {
	stamp, err := os.ReadFile(stampFile(f.file))
	if err != nil {
		return false
	}
	sum, err := fileSum(f.file)
	return err == nil && strings.TrimSpace(string(stamp)) == source+" "+sum
}

// stamp marks the film as drawn from source.
func (f *film) stamp(source string) error {
	sum, err := fileSum(f.file)
	if err != nil {
		return fmt.Errorf("stamp %s: %w", f.about(), err)
	}
	return files.WriteCache(stampFile(f.file), []byte(source+" "+sum+"\n"))
}
