package share_test

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/page"
	"trenchcut/pipeline/share"
	"trenchcut/tags"
)

// look looks through the folder of marlow with files in it.
func look(t *testing.T, files map[string]string) share.Report {
	t.Helper()
	root := t.TempDir()
	for name, data := range files {
		path := filepath.Join(root, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(data), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return lookAt(t, root)
}

func lookAt(t *testing.T, root string) share.Report {
	t.Helper()
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	report, err := share.Check(t.Context(), season(t), tool, root)
	if err != nil {
		t.Fatal(err)
	}
	return report
}

// Words that are names as well mean nobody by themselves, and what a player was told
// himself is no secret from him.
func TestNoFalseAlarm(t *testing.T) {
	for name, text := range map[string]string{
		"his own":             "Teo Marlow, #91, marlow: wk1-p001-91, wk1-p002-91 endzone. Good hands. Stay low.",
		"plain words":         "This page will be on one page. Will he? The page, will you, id=\"page\" class=\"will\". A page.",
		"plain word as title": "<h1>Page 12</h1><section id=\"page\">Will</section>",
		"opponents":           "#72 of Harbor State, the harbor72",
		"colours":             "a{color:#555;background:#44f} b{color:#12f3} &#55; &#12;",
		"numbers":             "55 of 91, 12:44, 3rd & 12, p. 33, 47 %",
		"other words":         "Hale and hearty, Brian, smith, hands",
		"the program's page":  page.Boilerplate(),
		"code":                "const a = [1,2,3].map((x) => x.toString(16)); // QWxhZGRpbjpvcGVuIHNlc2FtZQ",
		"one common letter":   "Hands first. Both hands.",
	} {
		if r := look(t, map[string]string{"marlow/notes.txt": text}); len(r.Leaks)+len(r.Unread) > 0 {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

// A number that the folder's player wears himself, and a rep that is named by it, tell nothing of
// a teammate who wears it too; in a third player's folder they do.
func TestOneNumberTwice(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	g, faults := tags.ParseGame("/season/wk1.game.yaml", []byte(`trenchcut: 1
game: {id: wk1, us: Cedar Hollow}
people:
  marlow: {name: Teo Marlow, team: us, jersey: 91}
  post: {name: Mo Post, team: us, jersey: 91}
  oke: {name: Ike Okafor, team: us, jersey: 55}
plays:
  - {play: 1, reps: [{rusher: marlow, battle: lost}, {rusher: post, battle: won}]}
  - {play: 2, reps: [{rusher: post, battle: won}]}
`), v)
	if faults.Grave() > 0 {
		t.Fatal(faults)
	}
	season := &tags.Season{Games: []*tags.Game{g}, Vocabulary: v}
	const shared = "Your number is #91: wk1-p001-91 endzone."
	for _, c := range []struct {
		folder, text string
		want         []string
	}{
		{"marlow", shared, nil},
		{"post", shared, nil},
		{"oke", shared, []string{"the number of #91 Mo Post", "the number of #91 Teo Marlow", "the rep wk1-p001-marlow", "the rep wk1-p001-post"}},
		{"marlow", "wk1-p002-91", []string{"the rep wk1-p002-91"}},
		{"marlow", "wk1-p001-post endzone", []string{"the rep wk1-p001-post"}},
		{"oke", "wk1-p001-marlow+post", []string{"the id of #91 Teo Marlow", "the name of #91 Teo Marlow", "the rep wk1-p001-marlow", "the rep wk1-p001-post"}},
	} {
		root := t.TempDir()
		if err := os.Mkdir(filepath.Join(root, c.folder), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(root, c.folder, "notes.txt"), []byte(c.text), 0o666); err != nil {
			t.Fatal(err)
		}
		tool, err := ffmpeg.Find()
		if err != nil {
			t.Fatal(err)
		}
		r, err := share.Check(t.Context(), season, tool, root)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, l := range r.Leaks {
			got = append(got, l.What)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%q in the folder of %s holds %q, want %q", c.text, c.folder, got, c.want)
		}
	}
}

// Files that tell nothing raise no alarm, of whatever kind they are; what their pictures
// show is named as not looked through.
func TestCleanFiles(t *testing.T) {
	const nothing = "Watch how the man beside him does it."
	r := look(t, map[string]string{
		"marlow/a.txt": nothing, "marlow/b.txt": string(wide(nothing, false, true)), "marlow/c.zip": string(zipped("a.txt", nothing)),
		"marlow/d.gz": string(gzipped(nothing)), "marlow/e.xz": string(xzipped(nothing)), "marlow/f.tar": string(tarred("a.txt", nothing)),
		"marlow/g.txt": encoded(nothing),
	})
	if len(r.Leaks)+len(r.Unread) > 0 || r.Files != 7 {
		t.Errorf("%+v", r)
	}
	r = look(t, map[string]string{
		"marlow/a.png": string(picture("tEXt", []byte("Author\x00Nobody"))), "marlow/b.jpg": string(photo(0xfe, []byte(nothing))),
		"marlow/c.pdf": string(document(nothing, "Plan", true)),
	})
	var unread []string
	for _, u := range r.Unread {
		unread = append(unread, filepath.Base(u.File)+": "+u.Why)
	}
	want := []string{"a.png: what the picture shows", "b.jpg: what the picture shows", "c.pdf: what the pictures of the PDF show"}
	if len(r.Leaks) > 0 || !slices.Equal(unread, want) {
		t.Errorf("%v, %q, want %q", r.Leaks, unread, want)
	}
}

// A reel and a picture that the manifest names, for this folder and byte for byte, need no
// looking through; with a byte changed they do.
func TestOurs(t *testing.T) {
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	root := t.TempDir()
	dir := filepath.Join(root, "marlow")
	if err := os.Mkdir(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	clip := filepath.Join(root, "clip.mp4")
	if err := tool.Run(t.Context(), []string{"-f", "lavfi", "-i", "color=c=gray:s=64x36:r=25", "-frames:v", "5", "file:" + clip}, nil, nil); err != nil {
		t.Fatal(err)
	}
	reel("marlow")(&writer{t: t, dir: dir, film: func(string) string { return clip }})
	if err := os.Remove(clip); err != nil {
		t.Fatal(err)
	}
	if r := lookAt(t, root); len(r.Leaks)+len(r.Unread) > 0 || r.Files != 2 {
		t.Errorf("%+v", r)
	}
	path := filepath.Join(dir, "corrections.mp4")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, append(data, box("free", []byte("x"))...), 0o666); err != nil {
		t.Fatal(err)
	}
	if r := lookAt(t, root); len(r.Leaks) > 0 || len(r.Unread) != 1 {
		t.Errorf("with something behind it: %+v", r)
	}
}
