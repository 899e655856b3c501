package tags

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"sync"

	"trenchcut/tags/files"
)

// Cache keeps what tag files said, so that a season is parsed once and not for every
// question. It holds one entry a tag file, and only of files without fault or warning,
// because whoever reads the file again wants those again. The zero Cache keeps nothing.
//
// An entry counts only for the very bytes of the file, its folder (where the names of its
// film start), the vocabulary and this parser. Neither its name nor any time is trusted,
// and a damaged entry counts as absent. All entries can be made again, so a folder that
// cannot be written to is no error.
type Cache struct {
	Folder string
}

// cacheKey is what an entry was made from.
type cacheKey [sha256.Size]byte

// cacheReader reads files through a Cache in the words of one vocabulary.
type cacheReader struct {
	folder     string
	vocabulary *Vocabulary
	base       []byte // of every key: the parser and the vocabulary
	make       sync.Once
}

func (c Cache) reader(v *Vocabulary) *cacheReader {
	s := &cacheReader{folder: c.Folder, vocabulary: v}
	if s.folder != "" {
		words := v.digest()
		s.base = slices.Concat(parser(), words[:])
	}
	return s
}

// read reads the tag file whose content is data, from its entry where that is valid. A game without
// faults comes packed, for unpack.
func (c *cacheReader) read(file string, data []byte) fileRead {
	if c.folder == "" {
		return parseFile(file, data, c.vocabulary)
	}
	path := abs(file)
	key := c.key(filepath.Dir(path), data)
	entry := c.entry(path)
	if body, ok := c.find(entry, key); ok {
		return fileRead{packed: body}
	}
	r := parseFile(file, data, c.vocabulary)
	if len(r.faults) > 0 {
		return r
	}
	body, err := pack(r.game)
	if err != nil {
		return r
	}
	_ = c.put(entry, key, body) // it is made again next time
	return fileRead{packed: body}
}

func (c *cacheReader) key(folder string, data []byte) cacheKey {
	h := sha256.New()
	for _, part := range [][]byte{c.base, []byte(folder), data} {
		_ = binary.Write(h, binary.LittleEndian, int64(len(part)))
		h.Write(part)
	}
	return cacheKey(h.Sum(nil))
}

// entry is the file that holds the entry of the tag file at path.
func (c *cacheReader) entry(path string) string {
	sum := sha256.Sum256([]byte(path))
	return filepath.Join(c.folder, hex.EncodeToString(sum[:16]))
}

// find returns the body of an entry, which is the key and the body, sealed.
func (c *cacheReader) find(entry string, key cacheKey) (body []byte, ok bool) {
	buffer := buffers.Get().(*bytes.Buffer)
	defer buffers.Put(buffer)
	record, err := readInto(buffer, entry)
	if err != nil || len(record) > maxFile {
		return nil, false
	}
	data, err := files.Unseal(record)
	if err != nil || !bytes.HasPrefix(data, key[:]) {
		return nil, false
	}
	return bytes.Clone(data[len(key):]), true
}

// put writes an entry, in the place of the one before it. The folder is for the user alone,
// because tag files tell of players.
func (c *cacheReader) put(entry string, key cacheKey, body []byte) error {
	var err error
	c.make.Do(func() { err = os.MkdirAll(c.folder, 0o700) })
	if err != nil {
		return err
	}
	return files.WriteSealed(entry, append(key[:], body...))
}

// digest tells vocabularies apart by everything they hold.
func (v *Vocabulary) digest() [sha256.Size]byte {
	h := sha256.New()
	flat := *v
	flat.Lists = nil // pointers, which print as addresses
	fmt.Fprintf(h, "%#v", flat)
	for _, key := range slices.Sorted(maps.Keys(v.Lists)) {
		fmt.Fprintf(h, "%q%#v", key, *v.Lists[key])
	}
	return [sha256.Size]byte(h.Sum(nil))
}

// parserVersion counts up when the parser reads a file otherwise, or finds other faults in
// it: those would stay hidden behind the entries of the older.
const parserVersion = 5

// parser tells this parser from any other: by its version and its fields, and by the
// program's revision where it was built from one.
var parser = sync.OnceValue(func() []byte {
	var said bytes.Buffer
	fmt.Fprintln(&said, parserVersion, runtime.Version())
	sayFields(&said, PlayFields)
	sayFields(&said, RepFields)
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				fmt.Fprintln(&said, s.Value)
			}
		}
	}
	return said.Bytes()
})

func sayFields[T any](w io.Writer, fields []*Field[T]) {
	for _, f := range fields {
		fmt.Fprintf(w, "%q %d %q %d %d %t\n", []string{f.Name, f.Key, f.Under, f.Absent}, f.Kind, f.WordList(), f.Least, f.Most, f.OneLine)
	}
}
