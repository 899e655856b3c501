package share

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/render"
)

// ours reports whether this program made a film or a picture for this very folder: whether a
// manifest in the same folder names it, says that it is for the folder whose, and has the
// hash of its bytes. A reel that was made for another folder, or for the room, is a leak.
func (c *check) ours(path, whose string) bool {
	beside, err := filepath.Glob(filepath.Join(escaped(filepath.Dir(path)), "*"+render.ManifestSuffix))
	if err != nil {
		return false
	}
	for _, file := range beside {
		if info, err := os.Lstat(file); err != nil || !info.Mode().IsRegular() || info.Size() > mostManifest {
			continue
		}
		m, err := render.ReadManifest(file)
		if err != nil {
			continue
		}
		hash, named := m.Hash(filepath.Base(path))
		switch {
		case !named:
		case m.Handout == "":
			c.leak(path, "a reel that was not made to be handed out")
		case m.Handout != whose:
			c.leak(path, fmt.Sprintf("a reel that was made for the folder %s", m.Handout))
		default:
			got, err := content.Hash(c.ctx, path)
			return err == nil && got == hash
		}
	}
	return false
}

// mostManifest bounds a manifest, in bytes.
const mostManifest = 64 << 20

// escaped is a folder's name for [filepath.Glob].
func escaped(folder string) string {
	return strings.NewReplacer(`\`, `\\`, "*", `\*`, "?", `\?`, "[", `\[`).Replace(folder)
}

// plainFile opens a file that is a plain one, without waiting for whoever writes a pipe.
func plainFile(path string) (*os.File, fs.FileInfo, error) {
	f, err := openPlain(path)
	if err != nil {
		return nil, nil, err
	}
	info, err := f.Stat()
	if err == nil && !info.Mode().IsRegular() {
		err = errors.New("it is no plain file")
	}
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	return f, info, nil
}
