package share

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"context"
	"strings"
	"testing"
)

// Whatever a file holds, reading it ends, unpacks no more than it may, and leaves something
// read or named as unread. Text that stands in it as it is, is found.
func FuzzRead(f *testing.F) {
	var zipped, packed bytes.Buffer
	z := zip.NewWriter(&zipped)
	w, err := z.Create("notes/a.txt")
	if err != nil {
		f.Fatal(err)
	}
	_, _ = w.Write([]byte("a grade of his"))
	_ = z.Close()
	g := gzip.NewWriter(&packed)
	_, _ = g.Write(zipped.Bytes())
	_ = g.Close()
	for _, seed := range []string{
		"plain text", "\xff\xfep\x00l\x00", "aGlzIGdyYWRlIGlzIG1pbnVzIHRvZGF5", "%PDF-1.4\n1 0 obj\n<< /Length 3 >>\nstream\nabc\nendstream\nendobj\ntrailer\n<< /Root 1 0 R >>",
		"\x00\x00\x00\x14ftypisom\x00\x00\x00\x00isom\x00\x00\x00\x08moov\x00\x00\x00\x09udta!", "\x1a\x45\xdf\xa3\x84abcd\x18\x53\x80\x67\x88\x19\x41\xa4\x69\x83\x61\xa7\x80",
		"\x89PNG\r\n\x1a\n\x00\x00\x00\x05tEXthello\x00\x00\x00\x00", "\xff\xd8\xff\xfe\x00\x06note", "GIF89a note", "\x00\x00\x01\xba note",
		zipped.String(), packed.String(),
	} {
		f.Add([]byte(seed))
	}
	const mark = "the name of another"
	f.Fuzz(func(t *testing.T, data []byte) {
		read := func(data []byte) (found string, unread int) {
			var text strings.Builder
			const may = 1 << 20
			r := reader{
				ctx: context.Background(), left: may,
				found:  func(string) func(string, bool) { return func(s string, _ bool) { text.WriteString(s + "\n") } },
				unread: func(string, string) { unread++ },
			}
			r.bytes("file", data, 0)
			return text.String(), unread
		}
		found, unread := read(data)
		if len(data) > 0 && found == "" && unread == 0 {
			t.Errorf("%q: nothing of it is read, and nothing is said", data)
		}
		if found, unread = read(append([]byte(mark+"\n"), data...)); !strings.Contains(found, mark) && unread == 0 {
			t.Errorf("%q: what stands before it is not found", data)
		}
	})
}
