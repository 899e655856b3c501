package outline

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags/files"
)

func TestFindFootage(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	for _, name := range []string{
		"ez.mp4", "a.mp4", "b.mp4", "x=y.mp4", "x+y.mp4", "a+b/ez.mp4", "a+b/1.mp4", "clips/9.mp4", "clips/10.mp4",
		"named/wk2-014-ez.mp4", "named/wk2-014-sl.mp4", "named/wk2-015-ez.mp4", "named/.hidden-ez.mp4", "named/notes.txt",
		"folders/endzone/720p-2.mov", "folders/endzone/720p-11.mov", "folders/side/720p-2.MOV",
		"turns/c1.mp4", "turns/c2.mp4", "turns/c10.mp4", "empty/readme.md",
	} {
		if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, nil, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		args []string
		want []Footage
		errs int
	}{
		{[]string{"ez.mp4"}, []Footage{{Angles: []string{"endzone"}, Files: []string{"ez.mp4"}}}, 0},
		{[]string{"sideline,endzone=a.mp4"}, []Footage{{Angles: []string{"sideline", "endzone"}, Files: []string{"a.mp4"}}}, 0},
		{[]string{"wide=a.mp4", "ez.mp4", "wide=b.mp4"}, []Footage{
			{Angles: []string{"wide"}, Files: []string{"a.mp4", "b.mp4"}}, {Angles: []string{"endzone"}, Files: []string{"ez.mp4"}},
		}, 0},
		{[]string{"wide=a.mp4+b.mp4"}, []Footage{{Angles: []string{"wide"}, Files: []string{"a.mp4+b.mp4"}}}, 0},
		{[]string{"wide=x=y.mp4"}, []Footage{{Angles: []string{"wide"}, Files: []string{"x=y.mp4"}}}, 0},
		{[]string{"wide=clips"}, []Footage{{Angles: []string{"wide", "wide"}, Files: []string{"clips/9.mp4", "clips/10.mp4"}, Clips: true, Plays: []int{9, 10}}}, 0},
		{[]string{"named"}, []Footage{{
			Angles: []string{"endzone", "sideline", "endzone"},
			Files:  []string{"named/wk2-014-ez.mp4", "named/wk2-014-sl.mp4", "named/wk2-015-ez.mp4"}, Clips: true, Plays: []int{14, 14, 15},
		}}, 0},
		{[]string{"folders"}, []Footage{{
			Angles: []string{"endzone", "endzone", "sideline"},
			Files:  []string{"folders/endzone/720p-2.mov", "folders/endzone/720p-11.mov", "folders/side/720p-2.MOV"}, Clips: true, Plays: []int{2, 11, 2},
		}}, 0},
		{[]string{"a.mp4", "clips", "empty", "Wide=a.mp4", "a,a=a.mp4", "wide="}, nil, 6},
		{[]string{"wide=a.mp4+b.mp4", "tight=a+b/ez.mp4+1.mp4", "ez.mp4"}, []Footage{
			{Angles: []string{"wide"}, Files: []string{"a.mp4+b.mp4"}},
			{Angles: []string{"tight"}, Files: []string{"a+b/ez.mp4+a+b/1.mp4"}},
			{Angles: []string{"endzone"}, Files: []string{"ez.mp4"}},
		}, 0},
		{[]string{"wide=a.mp4+b.mp4", "wide=ez.mp4"}, []Footage{{Angles: []string{"wide"}, Files: []string{"a.mp4+b.mp4", "ez.mp4"}}}, 1},
		{[]string{"a.mp4+b.mp4", "wide=a.mp4+none.mp4", "wide=x+y.mp4"}, []Footage{
			{Angles: []string{"wide"}, Files: []string{"a.mp4+none.mp4", "x+y.mp4"}},
		}, 1},
		{[]string{"wide=a.mp4", "tight=a.mp4"}, []Footage{
			{Angles: []string{"wide"}, Files: []string{"a.mp4"}}, {Angles: []string{"tight"}, Files: []string{"a.mp4"}},
		}, 1},
	} {
		all, err := FindFootage(c.args)
		errs := 0
		if err != nil {
			errs = len(strings.Split(err.Error(), "\n"))
		}
		if errs != c.errs {
			t.Errorf("%v: faults %v, want %d", c.args, err, c.errs)
		}
		var got []Footage
		for _, r := range all {
			for i, f := range r.Files {
				parts := files.Parts(f)
				for n, part := range parts {
					if rel, err := filepath.Rel(dir, part); err == nil {
						parts[n] = filepath.ToSlash(rel)
					}
				}
				r.Files[i] = strings.Join(parts, "+")
			}
			got = append(got, *r)
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%v: %s", c.args, diff)
		}
	}
}
