package share_test

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"compress/zlib"
	"context"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/ulikunitz/xz"
	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/unicode/norm"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/share"
	"trenchcut/tags"
)

const game = `trenchcut: 1
game: {id: wk1, us: Cedar Hollow, opponent: Harbor State}
film:
  endzone: {file: harbor-end.mp4}
people:
  marlow: {name: Teo Marlow, team: us, jersey: 91, pos: DE}
  okafor55: {name: Ike Okafor, team: us, jersey: 55, pos: DT}
  obrien: {name: Seán O'Brien, team: us, jersey: 44}
  hale: {name: Jo Smith-Hale, team: us, jersey: 47}
  will: {name: Sam Will, team: us, jersey: 33}
  page: {name: Bo Page, team: us, jersey: 12}
  harbor72: {name: "", team: Harbor State, jersey: 72}
plays:
  - play: 1
    type: dropback
    in: 1s
    out: 4s
    reps:
      - {rusher: marlow, move: [spin], battle: won, outcome: sack, point: Good hands.}
      - {rusher: okafor55, move: [bull], battle: lost, note: Stop peeking inside}
  - play: 2
    type: dropback
    in: 6s
    out: 9s
    reps:
      - {rusher: marlow, move: [spin], battle: lost, note: Stay low}
      - {rusher: okafor55, move: [bull], battle: lost, point: "Both hands, then hips.", grade: {technique: minus}}
      - {rusher: will, move: [bull], battle: lost, note: "He looks at the ball when the guard sets wide and so he comes off the line a beat late."}
`

func season(t *testing.T) *tags.Season {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	g, faults := tags.ParseGame("/season/wk1.game.yaml", []byte(game), v)
	if faults.Grave() > 0 {
		t.Fatal(faults)
	}
	return &tags.Season{Games: []*tags.Game{g}, Vocabulary: v}
}

// plant is a leak in the folder of Teo Marlow.
type plant struct {
	name string
	put  func(w *writer)
	want string // of what is reported; empty is the name of Ike Okafor
}

// writer writes the files of one plant.
type writer struct {
	t    *testing.T
	dir  string // of the player
	tool ffmpeg.Tool
	film func(ext string) string // a film that tells nothing
}

func (w *writer) check(err error) {
	w.t.Helper()
	if err != nil {
		w.t.Fatal(err)
	}
}

func (w *writer) write(name string, data []byte) {
	w.t.Helper()
	path := filepath.Join(w.dir, name)
	w.check(os.MkdirAll(filepath.Dir(path), 0o777))
	w.check(os.WriteFile(path, data, 0o666))
}

// ffmpeg makes a film of the one that tells nothing.
func (w *writer) ffmpeg(from, out string, args ...string) {
	w.t.Helper()
	all := append([]string{"-i", "file:" + w.film(from)}, args...)
	w.check(w.tool.Run(context.Background(), append(all, "file:"+filepath.Join(w.dir, out)), nil, nil))
}

func (w *writer) aside(name, text string) string {
	path := filepath.Join(w.t.TempDir(), name)
	w.check(os.WriteFile(path, []byte(text), 0o666))
	return path
}

const said = "Watch how Ike Okafor does it."

func text(s string) func(*writer) { return func(w *writer) { w.write("notes.txt", []byte(s)) } }

func wide(s string, big, mark bool) []byte {
	var order binary.AppendByteOrder = binary.LittleEndian
	if big {
		order = binary.BigEndian
	}
	var out []byte
	if mark {
		out = order.AppendUint16(out, 0xfeff)
	}
	for _, u := range utf16.Encode([]rune(s)) {
		out = order.AppendUint16(out, u)
	}
	return out
}

func zipped(files ...string) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(files); i += 2 {
		f, _ := z.Create(files[i])
		_, _ = f.Write([]byte(files[i+1]))
	}
	_ = z.Close()
	return b.Bytes()
}

func gzipped(s string) []byte {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, _ = z.Write([]byte(s))
	_ = z.Close()
	return b.Bytes()
}

func xzipped(s string) []byte {
	var b bytes.Buffer
	z, err := xz.NewWriter(&b)
	if err != nil {
		panic(err)
	}
	_, _ = z.Write([]byte(s))
	_ = z.Close()
	return b.Bytes()
}

func deflated(s string) []byte {
	var b bytes.Buffer
	z := zlib.NewWriter(&b)
	_, _ = z.Write([]byte(s))
	_ = z.Close()
	return b.Bytes()
}

func tarred(name, s string) []byte {
	var b bytes.Buffer
	z := tar.NewWriter(&b)
	_ = z.WriteHeader(&tar.Header{Name: name, Size: int64(len(s)), Mode: 0o644})
	_, _ = z.Write([]byte(s))
	_ = z.Close()
	return b.Bytes()
}

// picture is a PNG with a chunk in it.
func picture(kind string, body []byte) []byte {
	var b bytes.Buffer
	_ = png.Encode(&b, image.NewGray(image.Rect(0, 0, 8, 8)))
	if kind == "" {
		return append(b.Bytes(), body...)
	}
	const head = 8 + 4 + 4 + 13 + 4 // signature and IHDR
	all := append([]byte(kind), body...)
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	chunk = binary.BigEndian.AppendUint32(append(chunk, all...), crc32.ChecksumIEEE(all))
	return slices.Insert(b.Bytes(), head, chunk...)
}

// photo is a JPEG with a segment in it.
func photo(marker byte, body []byte) []byte {
	var b bytes.Buffer
	_ = jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 8, 8)), nil)
	if marker == 0 {
		return append(b.Bytes(), body...)
	}
	segment := binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(len(body)+2))
	return slices.Insert(b.Bytes(), 2, append(segment, body...)...)
}

func box(kind string, body []byte) []byte {
	return append(append(binary.BigEndian.AppendUint32(nil, uint32(len(body)+8)), kind...), body...)
}

// boxed is a film with something behind its boxes.
func boxed(data []byte) func(*writer) {
	return func(w *writer) {
		film, err := os.ReadFile(w.film("mp4"))
		w.check(err)
		w.write("clip.mp4", append(film, data...))
	}
}

// document is a PDF of one page that shows a line, its stream packed or not, with a title.
func document(line, title string, pack bool) []byte {
	var b bytes.Buffer
	var at []int
	object := func(s string) {
		at = append(at, b.Len())
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", len(at), s)
	}
	b.WriteString("%PDF-1.4\n")
	object("<< /Type /Catalog /Pages 2 0 R >>")
	object("<< /Type /Pages /Kids [3 0 R] /Count 1 >>")
	object("<< /Type /Page /Parent 2 0 R /MediaBox [0 0 300 100] /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>")
	stream, filter := "BT /F1 12 Tf 20 50 Td ("+line+") Tj ET", ""
	if pack {
		stream, filter = string(deflated(stream)), "/Filter /FlateDecode "
	}
	object(fmt.Sprintf("<< %s/Length %d >>\nstream\n%s\nendstream", filter, len(stream), stream))
	object("<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>")
	object("<< /Title (" + title + ") >>")
	start := b.Len()
	fmt.Fprintf(&b, "xref\n0 %d\n0000000000 65535 f \n", len(at)+1)
	for _, o := range at {
		fmt.Fprintf(&b, "%010d 00000 n \n", o)
	}
	fmt.Fprintf(&b, "trailer\n<< /Size %d /Root 1 0 R /Info 6 0 R >>\nstartxref\n%d\n%%%%EOF\n", len(at)+1, start)
	return b.Bytes()
}

// reel is a film with a manifest, as this program writes it, for a folder.
func reel(handout string) func(*writer) {
	return func(w *writer) {
		data, err := os.ReadFile(w.film("mp4"))
		w.check(err)
		w.write("corrections.mp4", data)
		m := render.Manifest{Format: tags.Format, Title: "Corrections", Plan: "p", Delivery: plan.Delivery{Handout: handout}}
		m.Reel.File, m.Reel.SHA256 = "corrections.mp4", content.HashOf(data)
		text, err := json.Marshal(m)
		w.check(err)
		w.write("corrections.reel.json", text)
	}
}

func metadata(out string, args ...string) func(*writer) {
	return func(w *writer) {
		w.ffmpeg("mp4", out, append([]string{"-map", "0", "-c", "copy"}, args...)...)
	}
}

// chaptered copies a film with a chapter.
func chaptered(out string) func(*writer) {
	return func(w *writer) {
		list := w.aside("chapters.txt", ";FFMETADATA1\n[CHAPTER]\nTIMEBASE=1/1000\nSTART=0\nEND=100\ntitle=wk1-p002-55 endzone\n")
		w.ffmpeg("mp4", out, "-f", "ffmetadata", "-i", "file:"+list, "-map", "0", "-map_chapters", "1", "-c", "copy")
	}
}

// subtitled copies a film with a track of text.
func subtitled(out, codec string) func(*writer) {
	return func(w *writer) {
		list := w.aside("said.srt", "1\n00:00:00,000 --> 00:00:00,200\n"+said+"\n")
		w.ffmpeg("mp4", out, "-f", "srt", "-i", "file:"+list, "-map", "0", "-map", "1", "-c", "copy", "-c:s", codec)
	}
}

func attached(name string, data []byte) func(*writer) {
	return func(w *writer) {
		w.ffmpeg("mp4", "clip.mkv", "-attach", "file:"+w.aside(name, string(data)), "-metadata:s:t", "mimetype=application/octet-stream", "-map", "0", "-c", "copy")
	}
}

func encoded(s string) string { return base64.StdEncoding.EncodeToString([]byte(s)) }

// everyLetter is a text with a mark behind every letter.
func everyLetter(s, mark string) string {
	var b strings.Builder
	for _, r := range s {
		b.WriteString(string(r) + mark)
	}
	return b.String()
}

var plants = []plant{
	// How text is written.
	{"plain text", text(said), ""},
	{"UTF-8 with a mark", text("\ufeff" + said), ""},
	{"UTF-16 LE with a mark", func(w *writer) { w.write("a.txt", wide(said, false, true)) }, ""},
	{"UTF-16 BE with a mark", func(w *writer) { w.write("a.txt", wide(said, true, true)) }, ""},
	{"UTF-16 LE without", func(w *writer) { w.write("a.txt", wide(said, false, false)) }, ""},
	{"UTF-16 BE without", func(w *writer) { w.write("a.txt", wide(said, true, false)) }, ""},
	{"UTF-32 with a mark", func(w *writer) {
		out := []byte("\xff\xfe\x00\x00")
		for _, r := range said {
			out = binary.LittleEndian.AppendUint32(out, uint32(r))
		}
		w.write("a.txt", out)
	}, ""},
	{"Windows-1252", func(w *writer) {
		data, err := charmap.Windows1252.NewEncoder().Bytes([]byte("Seán O’Brien"))
		w.check(err)
		w.write("a.txt", data)
	}, "Seán O'Brien"},
	{"composed letters", text(norm.NFC.String("Seán O'Brien")), "O'Brien"},
	{"decomposed letters", text(norm.NFD.String("Seán O'Brien")), "O'Brien"},
	{"without accents", text("Sean OBrien"), "O'Brien"},
	{"another apostrophe", text("Seán O’Brien"), "O'Brien"},
	{"a letter for an apostrophe", text("Seán Oʼbrien"), "O'Brien"},
	{"an accent for an apostrophe", text("Seán O´Brien"), "O'Brien"},
	{"a hyphen that does not break", text("Jo Smith\u2011Hale"), "Smith-Hale"},
	{"a dash for a hyphen", text("Jo Smith–Hale"), "Smith-Hale"},
	{"a minus for a hyphen", text("Jo Smith−Hale"), "Smith-Hale"},
	{"soft hyphens", text("Ike Oka\u00adfor"), ""},
	{"no width between letters", text(everyLetter("Ike Okafor", "\u200b")), ""},
	{"joiners between letters", text(everyLetter("Okafor", "\u200d")), ""},
	{"word joiners", text(everyLetter("Okafor", "\u2060")), ""},
	{"marks of direction", text("Ike O\u200ekaf\u200for"), ""},
	{"turned about", text("\u202erofakO ekI\u202c"), ""},
	{"accents that join", text(everyLetter("Okafor", "\u034f")), ""},
	{"Cyrillic letters", text("Ikе Оkаfоr"), ""},
	{"wide letters", text("Ｉｋｅ Ｏｋａｆｏｒ"), ""},
	{"mathematical letters", text("𝐈𝐤𝐞 𝐎𝐤𝐚𝐟𝐨𝐫"), ""},
	{"capitals", text("IKE OKAFOR"), ""},
	{"spaces that do not break", text("Ike\u00a0Okafor"), ""},
	{"spaced out", text("I k e   O k a f o r"), ""},

	// How he is named.
	{"last, first", text("Okafor, Ike"), ""},
	{"FirstLast", text("see IkeOkafor"), ""},
	{"first_last", text("see ike_okafor"), ""},
	{"first.last", text("ike.okafor@example.org"), ""},
	{"firstlast", text("see ikeokafor"), ""},
	{"lastfirst", text("see okaforike"), ""},
	{"initial", text("I. Okafor"), ""},
	{"surname", text("as Okafor does"), ""},
	{"genitive", text("Okafor's hands"), ""},
	{"over two lines", text("Ike\nOkafor"), ""},
	{"number", text("Watch #55 here."), "the number of #55 Ike Okafor"},
	{"number in words", text("Watch no. 55 here."), "the number of #55"},
	{"id", text("okafor55"), "the id of #55"},
	{"a plain word as an id", text("rusher=will"), "the id of #33 Sam Will"},
	{"a plain word as an id, in JSON", text(`{"rusher": "will"}`), "the id of #33"},
	{"a plain word as an id, in YAML", text("id: page\n"), "the id of #12"},
	{"a name of plain words", text("Watch Sam Will."), "the name of #33"},
	{"a name of plain words, turned", text("Page, Bo"), "the name of #12"},
	{"rep", text("wk1-p002-55"), "the rep wk1-p002-55"},
	{"one of several reps", text("wk1-p002-91+55 endzone"), "the rep wk1-p002-55"},
	{"note", text("Stop peeking inside!"), "the note of wk1-p001-55"},
	{"point over two lines", text("both hands,\nthen hips"), "the point of wk1-p002-55"},
	{"a long note cut short", text("He looks at the ball when the guard sets…"), "the note of wk1-p002-33"},
	{"grade", text("wk1-p002-55,technique,minus"), "the rep wk1-p002-55"},
	{"film", text("from Harbor-End.mp4"), "the film harbor-end.mp4"},

	// What hides text.
	{"JSON escapes", text(`{"x": "\u0049ke \u004fkafor"}`), ""},
	{"braced escapes", text(`\u{49}ke \u{4f}kafor`), ""},
	{"hex escapes", text(`\x49\x6b\x65 \x4fkafor`), ""},
	{"octal escapes", text(`\111ke \117kafor`), ""},
	{"percent", text("Ike%20Okafor"), ""},
	{"percent throughout", text("%49%6B%65%20%4F%6B%61%66%6F%72"), ""},
	{"entities", text("Ike&nbsp;&#79;kafor"), ""},
	{"hex entities", text("&#x49;ke &#x4F;kafor"), ""},
	{"escaped twice", text("&amp;#x49;ke &amp;#x4F;kafor"), ""},
	{"split by tags", text("I<b>k</b>e O<i>kaf</i>or"), ""},
	{"split by a comment", text("Ike Oka<!-- -->for"), ""},
	{"quoted printable", text("Watch =49=6B=65 =4F=6B=61=66=6F=72 here"), ""},
	{"base64", text(encoded(said)), ""},
	{"base64 of addresses", text("x=" + base64.RawURLEncoding.EncodeToString([]byte(said)) + "&y"), ""},
	{"base64 in lines", text(encoded(strings.Repeat("Watch him. ", 9) + said)[:76] + "\r\n" + encoded(strings.Repeat("Watch him. ", 9) + said)[76:]), ""},
	{"base64 of UTF-16", text(encoded(string(wide(said, false, false)))), ""},
	{"base64 of what is packed", text("data:application/gzip;base64," + encoded(string(gzipped(said)))), ""},
	{"base64 twice", text(encoded(encoded(said))), ""},

	// Names of files.
	{"name of a file", func(w *writer) { w.write("Okafor, Ike.txt", []byte("-")) }, ""},
	{"name of a folder", func(w *writer) { w.write("ike okafor/a.txt", []byte("-")) }, ""},
	{"a folder by a plain id", func(w *writer) { w.write("will/a.txt", []byte("-")) }, "the id of #33"},
	{"a file by a plain id", func(w *writer) { w.write("page.txt", []byte("-")) }, "the id of #12"},
	{"where a link points", func(w *writer) { w.check(os.Symlink("../okafor55/a.mp4", filepath.Join(w.dir, "a.mp4"))) }, "the id of #55"},

	// Film and sound.
	{"MP4 title", metadata("a.mp4", "-metadata", "title=Ike Okafor"), ""},
	{"MP4 comment", metadata("a.mp4", "-metadata", "comment="+said), ""},
	{"MP4 tag of one's own", metadata("a.mp4", "-movflags", "use_metadata_tags", "-metadata", "player=Ike Okafor"), ""},
	{"MP4 name of a track", metadata("a.mp4", "-metadata:s:v", "handler_name=Ike Okafor"), ""},
	{"MP4 chapter", chaptered("a.mp4"), "the rep wk1-p002-55"},
	{"MP4 subtitles", subtitled("a.mp4", "mov_text"), ""},
	{"MOV title", metadata("a.mov", "-metadata", "title=Ike Okafor"), ""},
	{"MP4 udta", boxed(box("udta", box("name", []byte(said)))), ""},
	{"MP4 free", boxed(box("free", []byte(said))), ""},
	{"MP4 uuid with XMP", boxed(box("uuid", []byte("\xbe\x7a\xcf\xcb\x97\xa9\x42\xe8\x9c\x71\x99\x94\x91\xe3\xaf\xac<x:xmpmeta>"+said+"</x:xmpmeta>"))), ""},
	{"MP4 box that nobody knows", boxed(box("zzzz", wide(said, true, false))), ""},
	{"MP4 with text behind it", boxed([]byte(said)), ""},
	{"MP4 with an archive behind it", boxed(zipped("a.txt", said)), ""},
	{"MP4 box of what is packed", boxed(box("free", gzipped(said))), ""},
	{"Matroska title", metadata("a.mkv", "-metadata", "title=Ike Okafor"), ""},
	{"Matroska tag", metadata("a.mkv", "-metadata", "ACTOR=Ike Okafor"), ""},
	{"Matroska name of a track", metadata("a.mkv", "-metadata:s:v", "title=Ike Okafor"), ""},
	{"Matroska chapter", chaptered("a.mkv"), "the rep wk1-p002-55"},
	{"Matroska subtitles", subtitled("a.mkv", "srt"), ""},
	{"Matroska subtitles, styled", subtitled("a.mkv", "ass"), ""},
	{"Matroska attachment", attached("a.txt", []byte(said)), ""},
	{"Matroska name of an attachment", attached("ike okafor.txt", []byte("-")), ""},
	{"Matroska attachment, packed", attached("a.zip", zipped("a.txt", said)), ""},
	{"AVI title", metadata("a.avi", "-metadata", "title=Ike Okafor"), ""},
	{"MPEG-TS service", metadata("a.ts", "-metadata", "service_name=Ike Okafor"), ""},
	{"MP3 title", func(w *writer) {
		w.ffmpeg("wav", "a.mp3", "-metadata", "title=Ike Okafor")
	}, ""},
	{"WAV title", func(w *writer) { w.ffmpeg("wav", "a.wav", "-metadata", "title=Ike Okafor") }, ""},
	{"a film in an archive", func(w *writer) {
		film, err := os.ReadFile(w.film("mp4"))
		w.check(err)
		w.write("a.zip", zipped("a.mp4", string(append(film, box("free", []byte(said))...))))
	}, ""},
	{"another player's reel", reel("okafor55"), "a reel that was made for the folder okafor55"},
	{"a reel for the room", reel(""), "a reel that was not made to be handed out"},

	// Pictures.
	{"PNG tEXt", func(w *writer) { w.write("a.png", picture("tEXt", []byte("Author\x00Ike Okafor"))) }, ""},
	{"PNG zTXt", func(w *writer) {
		w.write("a.png", picture("zTXt", append([]byte("Author\x00\x00"), deflated(said)...)))
	}, ""},
	{"PNG iTXt", func(w *writer) {
		w.write("a.png", picture("iTXt", []byte("Author\x00\x00\x00en\x00\x00"+said)))
	}, ""},
	{"PNG iTXt, packed", func(w *writer) {
		w.write("a.png", picture("iTXt", append([]byte("Author\x00\x01\x00en\x00\x00"), deflated(said)...)))
	}, ""},
	{"PNG eXIf", func(w *writer) { w.write("a.png", picture("eXIf", []byte("II*\x00\x08\x00\x00\x00"+said))) }, ""},
	{"PNG chunk of one's own", func(w *writer) { w.write("a.png", picture("puBl", []byte(said))) }, ""},
	{"PNG with text behind it", func(w *writer) { w.write("a.png", picture("", []byte(said))) }, ""},
	{"PNG with an archive behind it", func(w *writer) { w.write("a.png", picture("", zipped("a.txt", said))) }, ""},
	{"JPEG comment", func(w *writer) { w.write("a.jpg", photo(0xfe, []byte(said))) }, ""},
	{"JPEG EXIF", func(w *writer) { w.write("a.jpg", photo(0xe1, []byte("Exif\x00\x00II*\x00\x08\x00\x00\x00"+said))) }, ""},
	{"JPEG EXIF in UTF-16", func(w *writer) {
		w.write("a.jpg", photo(0xe1, append([]byte("Exif\x00\x00II*\x00\x08\x00\x00\x00\x01"), wide(said, false, false)...)))
	}, ""},
	{"JPEG XMP", func(w *writer) {
		w.write("a.jpg", photo(0xe1, []byte("http://ns.adobe.com/xap/1.0/\x00<rdf:li>Ike&#x20;Okafor</rdf:li>")))
	}, ""},
	{"JPEG with text behind it", func(w *writer) { w.write("a.jpg", photo(0, []byte(said))) }, ""},
	{"GIF comment", func(w *writer) {
		var b bytes.Buffer
		w.check(gif.Encode(&b, image.NewPaletted(image.Rect(0, 0, 4, 4), []color.Color{color.Black, color.White}), nil))
		data := b.Bytes()
		comment := append(append([]byte{0x21, 0xfe, byte(len(said))}, said...), 0)
		w.write("a.gif", append(data[:len(data)-1:len(data)-1], append(comment, 0x3b)...))
	}, ""},
	{"SVG", func(w *writer) {
		w.write("a.svg", []byte(`<svg xmlns="http://www.w3.org/2000/svg"><text><tspan>Ike Oka</tspan><tspan>for</tspan></text></svg>`))
	}, ""},

	// Packages and documents.
	{"zip", func(w *writer) { w.write("a.zip", zipped("a.txt", said)) }, ""},
	{"zip by another name", func(w *writer) { w.write("a.dat", zipped("a.txt", said)) }, ""},
	{"zip in zip in zip", func(w *writer) {
		w.write("a.zip", zipped("b.zip", string(zipped("c.zip", string(zipped("a.txt", said))))))
	}, ""},
	{"name in a zip", func(w *writer) { w.write("a.zip", zipped("Ike Okafor.txt", "-")) }, ""},
	{"comment of a zip", func(w *writer) {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		w.check(z.SetComment(said))
		w.check(z.Close())
		w.write("a.zip", b.Bytes())
	}, ""},
	{"zip behind a prefix", func(w *writer) {
		w.write("a.bin", append([]byte("#!/bin/sh\nexec unzip $0\n"), zipped("a.txt", said)...))
	}, ""},
	{"text before a zip", func(w *writer) { w.write("a.zip", append([]byte(said), zipped("a.txt", "-")...)) }, ""},
	{"gzip", func(w *writer) { w.write("a.gz", gzipped(said)) }, ""},
	{"name in a gzip", func(w *writer) {
		var b bytes.Buffer
		z := gzip.NewWriter(&b)
		z.Name = "Ike Okafor.txt"
		_, _ = z.Write([]byte("-"))
		w.check(z.Close())
		w.write("a.gz", b.Bytes())
	}, ""},
	{"gzip behind a prefix", func(w *writer) { w.write("a.sh", append([]byte("#!/bin/sh\ntail -c +30 $0\n"), gzipped(said)...)) }, ""},
	{"bzip2", func(w *writer) {
		data, err := base64.StdEncoding.DecodeString(bzipped)
		w.check(err)
		w.write("a.bz2", data)
	}, ""},
	{"xz", func(w *writer) { w.write("a.xz", xzipped(said)) }, ""},
	{"tar", func(w *writer) { w.write("a.tar", tarred("a.txt", said)) }, ""},
	{"tar.gz of a zip", func(w *writer) { w.write("a.tgz", gzipped(string(tarred("a.zip", string(zipped("a.txt", said)))))) }, ""},
	{"text document", func(w *writer) {
		w.write("a.docx", zipped("[Content_Types].xml", "<Types/>", "word/document.xml",
			`<w:document><w:p><w:r><w:t>Ike Oka</w:t></w:r><w:r><w:t>for</w:t></w:r></w:p></w:document>`))
	}, ""},
	{"spreadsheet", func(w *writer) {
		f := excelize.NewFile()
		w.check(f.SetCellStr("Sheet1", "A1", said))
		w.check(f.SaveAs(filepath.Join(w.dir, "a.xlsx")))
	}, ""},
	{"who made a spreadsheet", func(w *writer) {
		f := excelize.NewFile()
		w.check(f.SetDocProps(&excelize.DocProperties{Creator: "Ike Okafor"}))
		w.check(f.SaveAs(filepath.Join(w.dir, "a.xlsx")))
	}, ""},
	{"document of an old office program", func(w *writer) {
		w.write("a.doc", append([]byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1\x00\x00\x00"), wide(said, false, false)...))
	}, ""},
	{"PDF", func(w *writer) { w.write("a.pdf", document(said, "Plan", false)) }, ""},
	{"PDF, packed", func(w *writer) { w.write("a.pdf", document(said, "Plan", true)) }, ""},
	{"title of a PDF", func(w *writer) { w.write("a.pdf", document("Nothing", "Ike Okafor", true)) }, ""},
}

// bzipped is said and an end of line, by bzip2 1.0.8; the standard library only reads it.
const bzipped = "QlpoOTFBWSZTWRtwqicAAATXgAAQQAEAIICAL2icgCAAMUyYmQZGFDIaaNPQl5V2iUokdMynwOgDwyCVL4u5IpwoSA24VROA"

// Every plant is found, each made afresh.
func TestPlantedLeaks(t *testing.T) {
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	s := season(t)
	made := t.TempDir()
	films := map[string]string{"mp4": filepath.Join(made, "clip.mp4"), "wav": filepath.Join(made, "clip.wav")}
	for ext, args := range map[string][]string{
		"mp4": {"-f", "lavfi", "-i", "color=c=gray:s=64x36:r=25", "-frames:v", "5", "-c:v", "libx264", "-pix_fmt", "yuv420p"},
		"wav": {"-f", "lavfi", "-i", "anullsrc=r=8000:cl=mono", "-t", "0.2"},
	} {
		if err := tool.Run(t.Context(), append(args, "file:"+films[ext]), nil, nil); err != nil {
			t.Fatal(err)
		}
	}
	list := slices.Concat(plants, attributePlants(t))
	found := 0
	for _, p := range list {
		t.Run(p.name, func(t *testing.T) {
			root := t.TempDir()
			w := &writer{t: t, dir: filepath.Join(root, "marlow"), tool: tool, film: func(ext string) string { return films[ext] }}
			w.check(os.Mkdir(w.dir, 0o777))
			p.put(w)
			report, err := share.Check(t.Context(), s, tool, root)
			if err != nil {
				t.Fatal(err)
			}
			want := p.want
			if want == "" {
				want = "the name of #55 Ike Okafor"
			}
			if !slices.ContainsFunc(report.Leaks, func(l share.Leak) bool { return strings.Contains(l.What, want) }) {
				t.Fatalf("%q was not found: %+v", want, report)
			}
			found++
		})
	}
	t.Logf("%d planted, %d found", len(list), found)
}
