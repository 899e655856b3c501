package main

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/inconshreveable/mousetrap"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

// welcome says what the current folder holds and what can be done next, to who started the
// program with no words, as by a double click.
func welcome(ctx context.Context, s streams) error {
	folder, err := session.LookInto(".")
	if err != nil {
		return err
	}
	said, next := whatToDo(ctx, folder)
	if err := terminal.Paragraphs(s.Out, said); err != nil {
		return err
	}
	for _, n := range next {
		if _, err := fmt.Fprintf(s.Out, "\n%s:\n  %s %s\n", tags.Capital(n.does), called(), tags.Printable(n.words)); err != nil {
			return err
		}
	}
	if _, err := fmt.Fprintf(s.Out, "\n%s help lists every command.\n", called()); err != nil || !mousetrap.StartedByExplorer() {
		return err
	}
	// The window closes with the program.
	fmt.Fprintln(s.Out, "\nOpen a terminal in this folder and type one of them there. Enter closes this window.")
	_, _ = bufio.NewReader(s.In).ReadString('\n')
	return nil
}

// called is how this program is called from the current folder. Terminals do not look for it there,
// unless told so.
func called() string {
	const name = "trenchcut"
	program, err := os.Executable()
	if err != nil {
		return name
	}
	here, errHere := os.Stat(".")
	its, errIts := os.Stat(filepath.Dir(program))
	if errHere != nil || errIts != nil || !os.SameFile(here, its) {
		return name
	}
	return "." + string(filepath.Separator) + name
}

// advice is something to do next: what for, and the words to type.
type advice struct{ does, words string }

// whatToDo is what there is in a folder, and what can be done with it.
func whatToDo(ctx context.Context, folder session.Folder) (said string, next []advice) {
	if len(folder.Games) == 0 {
		if len(folder.Films) == 0 {
			return "There is no film here and no tag file.", []advice{
				{"make an invented season, to try everything on", "demo demo"},
				{"see what this machine can do", "doctor"},
			}
		}
		film := typed(folder.Films[0])
		return fmt.Sprintf("There is film here (%s), and no tag file.", tags.Count(len(folder.Films), "file")), []advice{
			{"find the plays in it, and write them as a tag file", fmt.Sprintf("outline sideline=%s -o week1%s", film, tags.Suffix)},
			{"lay your play sheet over it as well", fmt.Sprintf("outline sideline=%s --sheet plays.xlsx -o week1%s", film, tags.Suffix)},
		}
	}
	game := typed(folder.Games[0])
	next = []advice{{"tag while you watch, in a page", fmt.Sprintf("mark %s", game)}}
	s, err := session.Load(ctx, session.Request{Games: folder.Games})
	if err != nil || s.Faults.Err() != nil {
		return tags.Count(len(folder.Games), "tag file") + " here, not without fault.",
			append([]advice{{"see every fault, with its line", "check"}}, next...)
	}
	return "Here: " + s.Season.Counted() + ".", append(next,
		advice{"look for faults, in the film too", "check"},
		advice{"list the reps", "find"},
		advice{"cut the reel of the position meeting, with its page", "reel -r meeting --page -o meeting.mp4"},
		advice{"write the week's page of numbers", "stats --table week --page week.html"},
	)
}

// typed is a path as it is typed in a terminal.
func typed(path string) string {
	path = filepath.ToSlash(path)
	if strings.ContainsAny(path, " '()&;$!*?#~`|<>") {
		return `"` + path + `"`
	}
	return path
}
