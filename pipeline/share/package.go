package share

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/bzip2"
	"compress/gzip"
	"errors"
	"fmt"
	"io"

	"github.com/ulikunitz/xz"
)

// packed reads a package, and reports whether data is one.
func (r *reader) packed(name, kind string, data []byte, depth int) bool {
	switch kind {
	case "zip":
		r.zip(name, data, depth)
	case "gzip", "bzip2", "xz":
		if err := r.stream(name, kind, data, depth); err != nil {
			r.unread(name, "it cannot be unpacked: "+plainError(err))
		}
	case "tar":
		r.tar(name, data, depth)
	default:
		return false
	}
	return true
}

// behind reads packages that begin within data: what is put behind a picture, a film or a
// program is not seen when that is opened.
func (r *reader) behind(name, kind string, data []byte, depth int) {
	if bytes.Contains(data, []byte("PK\x05\x06")) && !bytes.HasPrefix(data, []byte("PK")) {
		r.zip(name, data, depth)
	}
	for _, m := range []struct{ kind, magic string }{{"gzip", "\x1f\x8b\x08"}, {"bzip2", "BZh91AY&SY"}, {"xz", "\xfd7zXZ\x00"}} {
		for at := 1; kind != m.kind; {
			i := bytes.Index(data[min(at, len(data)):], []byte(m.magic))
			if i < 0 {
				break
			}
			at += i
			_ = r.stream(name, m.kind, data[at:], depth) // the letters may be there by chance
			at++
		}
	}
}

// stream reads one packed file.
func (r *reader) stream(name, kind string, data []byte, depth int) error {
	var from io.Reader
	var err error
	switch kind {
	case "gzip":
		var z *gzip.Reader
		if z, err = gzip.NewReader(bytes.NewReader(data)); err == nil {
			r.found(name)(z.Name+"\n"+z.Comment, false)
			r.bytes(name, z.Extra, depth+1)
			from = z
		}
	case "bzip2":
		from = bzip2.NewReader(bytes.NewReader(data))
	default:
		from, err = xz.ReaderConfig{DictCap: 1 << 26}.NewReader(bytes.NewReader(data))
	}
	if err != nil {
		return err
	}
	out, err := r.unpack(name, from)
	if len(out) > 0 && (err == nil || looksLikeText(out)) {
		r.bytes(name, out, depth+1)
	}
	return err
}

var errTooMuch = errors.New("it is too much")

// unpack reads what a package holds, as much as may be unpacked.
func (r *reader) unpack(name string, from io.Reader) ([]byte, error) {
	if r.left < 0 {
		return nil, errTooMuch
	}
	out, err := io.ReadAll(io.LimitReader(from, min(mostRead, r.left)+1))
	if int64(len(out)) > mostRead {
		r.left = 0
	}
	if !r.take(name, int64(len(out))) {
		return nil, errTooMuch
	}
	return out, err
}

// zip reads each file in a ZIP archive, which may begin behind something else. Documents of
// office programs are such archives of XML.
func (r *reader) zip(name string, data []byte, depth int) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		r.strings(name, data)
		r.unread(name, "it cannot be unpacked: "+plainError(err))
		return
	}
	r.bytes(name, []byte(z.Comment), depth+1)
	first := int64(len(data))
	for i, f := range z.File {
		if i == mostPacked {
			r.unread(name, fmt.Sprintf("it holds more than %d files", mostPacked))
			break
		}
		part := within(name, f.Name)
		r.bytes(part, []byte(f.Name), depth+1)
		r.bytes(part, []byte(f.Comment), depth+1)
		r.bytes(part, f.Extra, depth+1)
		if at, err := f.DataOffset(); err == nil {
			first = min(first, at)
		}
		if f.Flags&1 != 0 {
			r.unread(part, "it is locked with a password")
			continue
		}
		from, err := f.Open()
		if err == nil {
			var out []byte
			out, err = r.unpack(part, from)
			_ = from.Close() // it was read only
			r.bytes(part, out, depth+1)
		}
		switch {
		case errors.Is(err, errTooMuch):
			return // which is said
		case err != nil:
			r.unread(part, "it cannot be unpacked: "+plainError(err))
		}
	}
	if bytes.HasPrefix(data, []byte("PK")) {
		return
	}
	r.strings(name, data[:first])
}

// tar reads each file in a tar archive.
func (r *reader) tar(name string, data []byte, depth int) {
	from := tar.NewReader(bytes.NewReader(data))
	for n := 0; ; n++ {
		h, err := from.Next()
		switch {
		case errors.Is(err, io.EOF):
			return
		case err != nil:
			r.strings(name, data)
			r.unread(name, "it cannot be unpacked: "+plainError(err))
			return
		case n == mostPacked:
			r.unread(name, fmt.Sprintf("it holds more than %d files", mostPacked))
			return
		}
		part := within(name, h.Name)
		r.found(part)(fmt.Sprint(h.Name, "\n", h.Linkname, "\n", h.Uname, "\n", h.Gname, "\n", h.PAXRecords), false)
		out, err := r.unpack(part, from)
		if errors.Is(err, errTooMuch) {
			return
		}
		r.bytes(part, out, depth+1)
	}
}
