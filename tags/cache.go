package tags

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"hash/crc32"
	"io/fs"
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
// and one that is damaged is as good as none. All entries can be made again, so a folder
// that cannot be written to is no error.
type Cache struct {
	Folder string
}

// cacheKey is what an entry was made from.
type cacheKey [sha256.Size]byte

// shelf is a Cache for the reading of files in the words of one vocabulary.
type shelf struct {
	folder     string
	vocabulary *Vocabulary
	base       []byte // of every key: the parser and the vocabulary
	make       sync.Once
}

func (c Cache) shelf(v *Vocabulary) *shelf {
	s := &shelf{folder: c.Folder, vocabulary: v}
	if s.folder != "" {
		words := v.digest()
		s.base = slices.Concat(parser(), words[:])
	}
	return s
}

// read reads file, which holds data; where it has no fault, only to what unpack takes.
func (s *shelf) read(file string, data []byte) fileRead {
	if s.folder == "" {
		return parseFile(file, data, s.vocabulary)
	}
	path := abs(file)
	key := s.key(filepath.Dir(path), data)
	entry := s.entry(path)
	if body, ok := s.find(entry, key); ok {
		return fileRead{packed: body}
	}
	r := parseFile(file, data, s.vocabulary)
	if len(r.faults) > 0 {
		return r
	}
	body, err := pack(r.game)
	if err != nil {
		return r
	}
	_ = s.put(entry, key, body) // it is made again next time
	return fileRead{packed: string(body)}
}

func (s *shelf) key(folder string, data []byte) cacheKey {
	h := sha256.New()
	for _, part := range [][]byte{s.base, []byte(folder), data} {
		_ = binary.Write(h, binary.LittleEndian, int64(len(part)))
		h.Write(part)
	}
	return cacheKey(h.Sum(nil))
}

// entry is the file that holds the entry of the tag file at path.
func (s *shelf) entry(path string) string {
	sum := sha256.Sum256([]byte(path))
	return filepath.Join(s.folder, hex.EncodeToString(sum[:16]))
}

// An entry is its key, the checksum of its body, and the body.
const entryHead = sha256.Size + 4

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

func (s *shelf) find(entry string, key cacheKey) (body string, ok bool) {
	buffer := buffers.Get().(*bytes.Buffer)
	defer buffers.Put(buffer)
	data, err := readInto(buffer, entry)
	if err != nil || len(data) > maxFile || len(data) < entryHead || !bytes.HasPrefix(data, key[:]) {
		return "", false
	}
	packed := data[entryHead:]
	if binary.LittleEndian.Uint32(data[sha256.Size:]) != crc32.Checksum(packed, castagnoli) {
		return "", false
	}
	return string(packed), true
}

// put writes an entry, in the place of the one before it.
func (s *shelf) put(entry string, key cacheKey, body []byte) error {
	var err error
	s.make.Do(func() { err = os.MkdirAll(s.folder, 0o700) })
	if err != nil {
		return err
	}
	data := binary.LittleEndian.AppendUint32(key[:], crc32.Checksum(body, castagnoli))
	return files.WriteCache(entry, append(data, body...))
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

// code is every file of this package but its tests.
//
//go:embed ???.go ????.go *[^_]????.go
var code embed.FS

// parser tells this parser from any other by its source and by what it is built from. A
// number to be counted up would be forgotten some day, and then faults that a newer parser
// finds would stay hidden behind entries of the older.
var parser = sync.OnceValue(func() []byte { return parserOf(code) })

func parserOf(code fs.ReadDirFS) []byte {
	h := sha256.New()
	files, err := code.ReadDir(".") // in order of name
	for _, f := range files {
		var text []byte
		if text, err = fs.ReadFile(code, f.Name()); err != nil {
			break
		}
		fmt.Fprintf(h, "%q %d\n%s", f.Name(), len(text), text)
	}
	if err != nil {
		panic(err) // what is embedded can be read
	}
	fmt.Fprintln(h, runtime.Version())
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, m := range info.Deps {
			if m.Path == "gopkg.in/yaml.v3" {
				fmt.Fprintf(h, "%+v %+v\n", *m, m.Replace)
			}
		}
	}
	return h.Sum(nil)
}
