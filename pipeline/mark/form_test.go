package mark_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/mark"
	"trenchcut/tags"
	"trenchcut/tags/stats"
)

const formGame = `trenchcut: 1
game: {id: wk9-form, us: Cedar Hollow, opponent: Pine Bluff}
film:
  endzone: {file: film/ez.mp4}
people:
  marlow: {name: Teo Marlow, team: us, jersey: 91}
  wren:   {name: Cassius Wren, team: us, jersey: 99}
  oke:    {team: us, jersey: 9}
  pb72: {team: Pine Bluff, jersey: 72}
plays:
  - play: 1
    type: dropback
    down: 3
    extra: {guess: snap}
    angles:
      endzone: {in: 0:00:01.000, out: 0:00:09.000, snap: 0:00:04.000}
    reps:
      - 91 wide-9 left bull short lost no-factor # a line
      - rusher: wren
        align: 1
        side: right
        blocker: {who: pb72}
        battle: won
  - play: 2
    type: dropback
    extra: {guess: snap, shell: two-high}
    angles:
      endzone: {in: 0:00:11.000, out: 0:00:19.000, snap: 0:00:14.000}
  - play: 3
    type: run
    angles:
      endzone: {in: 0:00:21.000, out: 0:00:29.000, snap: 0:00:24.000}
`

func TestForm(t *testing.T) {
	at := mark.At{Angle: "endzone", Frame: 426} // 6 frames behind the snap of play 2, at 30 a second
	reps := mark.Desk{Pass: mark.RepsPass, Play: 2}
	for name, c := range map[string]struct {
		desk mark.Desk
		keys string // Enter is ⏎, Escape ⎋
		want string // in the file
		said string
		open mark.Field
	}{
		"a guess confirmed by one key":           {mark.Desk{Pass: mark.PlaysPass, Play: 1}, "⏎", "    down: 3\n    angles:", "snap of play 1 confirmed", ""},
		"and the next, whose other column stays": {mark.Desk{Pass: mark.PlaysPass, Play: 1}, "⏎⏎", "extra: {shell: two-high}", "snap of play 2 confirmed", ""},
		"a snap that is marked is no guess":      {mark.Desk{Pass: mark.PlaysPass, Play: 2}, "s", "extra: {shell: two-high}\n    angles:\n      endzone: {in: 0:00:11.000, out: 0:00:19.000, snap: 0:00:14.200}", "snap (endzone) 0:00:14.200, play 2", ""},
		"a rep, lined up as before": {reps, "91G⏎gv⏎ln", `      - rusher: marlow
        align: wide-9
        side: left
        blocker: {set: vertical}
        move: [ghost]
        marks: {getoff: +0.20s}
        battle: lost
        outcome: no-factor
`, "outcome no-factor, marlow in play 2", ""},
		"a word typed whole":                 {reps, "91⏎long-armv", "", "set vertical, marlow in play 2", "help"},
		"by first letters of its parts":      {reps, "91⏎srv", "", "set vertical, marlow in play 2", "help"},
		"two moves":                          {reps, "91⏎di>spiv", "", "set vertical, marlow in play 2", "help"},
		"another path":                       {reps, "91⏎di/i", "", "move dip/inside, marlow in play 2", "blocker.set"},
		"no such word":                       {reps, "91⏎xx", "", "nothing here begins with \"x\"", "move"},
		"a number that begins others":        {reps, "9⏎", "", "add oke in play 2", "align"},
		"what was carried on is replaced":    {reps, "99A5", "", "align 5, wren in play 2", "move"},
		"who blocks on the other side":       {reps, "99Dl", "", "side left, wren in play 2", "blocker.who"},
		"who was carried on, taken back":     {reps, "99Dl⎋u⏎", "", "", "move"},
		"the line-up":                        {reps, "l", "", "line-up of play 1", ""},
		"the same as the last time":          {mark.Desk{Pass: mark.PlaysPass, Play: 2}, "⎋;do=", "    down: 3\n    extra: {guess: snap, shell", "down 3, play 2", ""},
		"a run has a block":                  {mark.Desk{Pass: mark.RepsPass, Play: 3}, "91⏎", "", "", "blocker.block"},
		"its outcome on the line":            {mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "marlow"}, ";osa", "- 91 wide-9 left bull short lost sack # a line\n", "outcome sack, marlow in play 1", ""},
		"his own out, from the snap":         {mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}, ">", "        blocker: {who: pb72}\n        out: +10.20s\n", "own out +10.200s, wren in play 1", ""},
		"his own in behind the play's out":   {mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}, "<", "", "out is not after in", ""},
		"his own out cleared":                {mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}, ">x>", "        blocker: {who: pb72}\n        battle", "clear own out of wren in play 1", ""},
		"his own in, of nobody":              {mark.Desk{Pass: mark.RepsPass, Play: 2, Rep: "wren"}, "<", "", "choose a rep first: his own in is of one rusher", ""},
		"a drawing wants a mark":             {mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}, "z", "", "a drawing belongs to a mark: go to one, or mark this frame first", ""},
		"an arrow by keys":                   {mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}, "bz→↓↓", "        draw: [{at: beat, angle: endzone, arrow: [0.45, 0.5, 0.56, 0.52]}]\n", "drawing: arrow at beat (endzone), wren in play 1", "draw"},
		"its other end":                      {mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}, "bzo↑l⏎", "line: [0.45, 0.49, 0.55, 0.5]", "", ""},
		"two drawings, the last removed":     {mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}, "bzcnx", "        draw: [{at: beat, angle: endzone, circle: [0.55, 0.5]}]\n", "", ""},
		"drawings cleared":                   {mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}, "bz⎋xz", "        marks: {beat: +10.20s}\n        battle: won\n  - play: 2", "clear drawing of wren in play 1", ""},
		"a mark without a rep":               {reps, "g", "", "choose a rep first: get-off is of one rusher", ""},
		"cleared":                            {mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}, "xx", "no-factor # a line\n  - play: 2", "remove wren in play 1", ""},
		"taken back":                         {mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}, "xxu", formGame, "undone: remove wren in play 1", ""},
		"a clock by digits":                  {mark.Desk{Pass: mark.PlaysPass, Play: 2}, "⎋;cl113⏎", `clock: "1:13"`, "", ""},
		"a clock with its colon":             {mark.Desk{Pass: mark.PlaysPass, Play: 2}, "⎋;cl11:32⏎", `clock: "11:32"`, "", ""},
		"half a clock is refused, and stays": {mark.Desk{Pass: mark.PlaysPass, Play: 2}, "⎋;cl11:3⏎", "  - play: 2\n    type: dropback\n    extra:", `clock "11:3": want minutes and two digits of seconds, such as 11:32 or 1132`, "clock"},
		"a mark before the snap is refused":  {mark.Desk{Pass: mark.RepsPass, Play: 3, Rep: ""}, "91⎋c", "", "mark contact comes before snap", ""},
	} {
		t.Run(name, func(t *testing.T) {
			d, _ := opened(t, formGame, map[string]tags.Rate{"endzone": {Num: 30, Den: 1}})
			desk := c.desk
			for _, key := range c.keys {
				desk = d.Act(desk, mark.Act{Do: "key", Key: strings.NewReplacer("⏎", "Enter", "⎋", "Escape", "→", "ArrowRight", "↑", "ArrowUp", "↓", "ArrowDown").Replace(string(key)), At: at})
			}
			if text := written(t, d); !strings.Contains(text, c.want) {
				t.Errorf("the file does not hold\n%s\nbut\n%s", c.want, text)
			}
			if c.said != "" && desk.Said != c.said || desk.Open != c.open {
				t.Errorf("said %q, open is %q; want %q, %q", desk.Said, desk.Open, c.said, c.open)
			}
		})
	}
}

// What the box for texts holds reads back to the same, and is written only where it was changed.
func TestTexts(t *testing.T) {
	const note, tells = `note: "Stay low.\n  Finish."`, `tells: ["hands low, leaning", wide, "he said \"go\""]`
	text := strings.Replace(formGame, "        battle: won\n", "        "+tells+"\n        battle: won\n        "+note+"\n", 1)
	for name, c := range map[string]struct {
		field mark.Field
		text  string              // of the box at first
		typed func(string) string // what it holds when it is left
		want  string              // in the file
		said  string
	}{
		"a note left as it is":   {"note", "Stay low.\n  Finish.", func(s string) string { return s }, note, ""},
		"a note with a line":     {"note", "Stay low.\n  Finish.", func(s string) string { return s + "\nBend." }, `note: "Stay low.\n  Finish.\nBend."`, "note Stay low. Finish. Bend., wren in play 1"},
		"a list left as it is":   {"tells", `"hands low, leaning", wide, "he said ""go"""`, func(s string) string { return s }, tells, ""},
		"a list with one more":   {"tells", `"hands low, leaning", wide, "he said ""go"""`, func(s string) string { return s + ", heavy " }, `tells: ["hands low, leaning", wide, he said "go", heavy]`, ""},
		"a list with a line":     {"tells", `"hands low, leaning", wide, "he said ""go"""`, func(string) string { return "wide\nheavy" }, `tells: [wide, heavy]`, ""},
		"quotes nobody closed":   {"tells", `"hands low, leaning", wide, "he said ""go"""`, func(string) string { return `wide, 6" split` }, `tells: [wide, 6" split]`, ""},
		"a list that is cleared": {"tells", `"hands low, leaning", wide, "he said ""go"""`, func(string) string { return " " }, "        blocker: {who: pb72}\n        battle: won", "clear tells of wren in play 1"},
	} {
		t.Run(name, func(t *testing.T) {
			d, _ := opened(t, text, map[string]tags.Rate{"endzone": {Num: 30, Den: 1}})
			desk := d.Act(mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}, mark.Act{Do: "open", Field: c.field})
			box := d.View(desk).Text
			if box != c.text {
				t.Errorf("the box holds %q at first, want %q", box, c.text)
			}
			desk = d.Act(desk, mark.Act{Do: "text", Text: c.typed(box)})
			if desk.Wrong || desk.Open != "" || c.said != "" && desk.Said != c.said {
				t.Errorf("said %q, open is %q", desk.Said, desk.Open)
			}
			if now := written(t, d); !strings.Contains(now, c.want) {
				t.Errorf("the file does not hold\n%s\nbut\n%s", c.want, now)
			}
			if changed := d.Look().Undo != ""; changed != (c.typed(box) != box) {
				t.Errorf("something to undo: %v", changed)
			}
		})
	}
}

// A mark is cleared where it stands, and where there is none nothing is said to be cleared.
func TestClear(t *testing.T) {
	own := strings.Replace(formGame, `    extra: {guess: snap}
    angles:
      endzone: {in: 0:00:01.000, out: 0:00:09.000, snap: 0:00:04.000}
    reps:
`, `    in: 1s
    out: 9s
    marks: {snap: 4s, finish: +3s}
    reps:
`, 1)
	own = strings.Replace(own, "        battle: won\n", "        marks: {release: +2s}\n        battle: won\n", 1)
	follows := strings.Replace(own, "  endzone: {file: film/ez.mp4}\n", "  endzone: {file: film/ez.mp4}\n  sideline: {file: film/sl.mp4, offset: +1s}\n", 1)
	bare := strings.NewReplacer(", finish: +3s", "", "        marks: {release: +2s}\n", "").Replace
	plays, wren, nobody := mark.Desk{Pass: mark.PlaysPass, Play: 1}, mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}, mark.Desk{Pass: mark.RepsPass, Play: 1}
	for name, c := range map[string]struct {
		text, angle string
		desk        mark.Desk
		keys        string
		gone, said  string
	}{
		"a snap on the play itself":  {bare(own), "endzone", plays, "xs", "    marks: {snap: 4s}\n", "clear snap of play 1"},
		"of an angle that follows":   {bare(follows), "sideline", plays, "xs", "    marks: {snap: 4s}\n", "clear snap of play 1"},
		"a finish of the play":       {own, "endzone", wren, "xf", ", finish: +3s", "clear finish of play 1"},
		"a finish, of nobody":        {own, "endzone", nobody, "xf", ", finish: +3s", "clear finish of play 1"},
		"a release of the rep":       {own, "endzone", wren, "xr", "        marks: {release: +2s}\n", "clear release of wren in play 1"},
		"a beat that is not there":   {own, "endzone", wren, "xb", "", "nothing to clear: beat of wren in play 1 is not tagged"},
		"a snap that is not there":   {own, "endzone", mark.Desk{Pass: mark.PlaysPass, Play: 2}, "xsxs", ", snap: 0:00:14.000", "nothing to clear: snap (endzone) of play 2 is not tagged"},
		"a drawing that is no more":  {own, "endzone", wren, "xz", "", "nothing to clear: drawing of wren in play 1 is not tagged"},
		"an in of the play itself":   {own, "endzone", plays, "xi", "    in: 1s\n", "clear in of play 1"},
		"an out, which it wants":     {own, "endzone", wren, "xo", "", "play 1 on angle \"endzone\" has no out"},
		"the same again":             {own, "endzone", plays, "⎋;do3", "", "down 3, play 1, as it was"},
		"a mark of nobody, nowhere":  {own, "endzone", nobody, "xb", "", "choose a rep first: type his number"},
		"a field that is not tagged": {own, "endzone", plays, "⎋;f-", "", "nothing to clear: front of play 1 is not tagged"},
	} {
		t.Run(name, func(t *testing.T) {
			d, _ := opened(t, c.text, map[string]tags.Rate{"endzone": {Num: 30, Den: 1}, "sideline": {Num: 30, Den: 1}})
			desk := c.desk
			for _, key := range c.keys {
				desk = d.Act(desk, mark.Act{Do: "key", Key: strings.NewReplacer("⎋", "Escape").Replace(string(key)), At: mark.At{Angle: c.angle, Frame: 100}})
			}
			if now, want := written(t, d), strings.Replace(c.text, c.gone, "", 1); now != want {
				t.Errorf("the file is\n%s\nwant\n%s", now, want)
			}
			if desk.Said != c.said {
				t.Errorf("said %q, want %q", desk.Said, c.said)
			}
			if undo := d.Look().Undo; (undo != "") != (c.gone != "") {
				t.Errorf("undo is %q", undo)
			}
		})
	}
}

// A button does what its key does.
func TestButtons(t *testing.T) {
	at := mark.At{Angle: "endzone", Frame: 150}
	for _, k := range mark.DefaultKeys {
		if len([]rune(k.Key)) > 1 && k.Name == "rusher" || strings.HasPrefix(k.Do, "film ") {
			continue // of ten keys, or the page's own
		}
		after := func(act mark.Act) (desk mark.Desk, text string) {
			d, _ := opened(t, formGame, map[string]tags.Rate{"endzone": {Num: 30, Den: 1}})
			desk = mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}
			if k.Pass != "" {
				desk.Pass = k.Pass
			}
			act.At = at
			desk = d.Act(desk, act)
			return desk, written(t, d)
		}
		pressed, byKey := after(mark.Act{Do: "key", Key: k.Key})
		clicked, byButton := after(mark.Act{Do: k.Do})
		if clicked != pressed || byButton != byKey {
			t.Errorf("%s: the button leads to %+v, the key to %+v, with files\n%s\n%s", k.Name, clicked, pressed, byButton, byKey)
		}
	}
}

// The counts so far are those of the same reps in the numbers of the season.
func TestCounts(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "..", "templates", "demo", "wk1-harbor"+tags.Suffix))
	if err != nil {
		t.Fatal(err)
	}
	d, _ := opened(t, string(data), map[string]tags.Rate{"endzone": {Num: 30, Den: 1}, "sideline": {Num: 30, Den: 1}})
	v := vocabulary(t)
	var all, his []*tags.Rep
	for _, p := range d.Look().Game.Plays {
		for _, r := range p.Reps {
			if all = append(all, r); r.Rusher.ID == "marlow" {
				his = append(his, r)
			}
		}
	}
	counts := d.View(mark.Desk{Pass: mark.RepsPass, Play: 3, Rep: "marlow"}).Counts
	want := []string{
		"16 plays, 31 reps", "All: " + stats.Dropbacks.Summarise(all, v).Sentence(), "#91 Teo Marlow: " + stats.Dropbacks.Summarise(his, v).Sentence(),
	}
	if !slices.Equal(counts, want) || !strings.Contains(want[1], "7 of 24") {
		t.Errorf("the page counts %q; want %q", counts, want)
	}
}

// written is the file of d.
func written(t *testing.T, d *mark.Document) string {
	t.Helper()
	data, err := os.ReadFile(d.Look().Game.Pos.File)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// Two people tag one game in files of their own, and what both say is read as two opinions.
func TestSecondOpinion(t *testing.T) {
	folder := t.TempDir()
	v := vocabulary(t)
	var paths []string
	for name, text := range map[string]string{"wk9": formGame, "wk9-kim": strings.Replace(formGame, "id: wk9-form,", "id: wk9-form, by: Kim,", 1)} {
		path := filepath.Join(folder, name+tags.Suffix)
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		d, err := mark.Open(path, v, mark.Options{})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(d.Close)
		battle := map[string]string{"wk9": "lost", "wk9-kim": "stalemate"}[name]
		if _, err := d.Do(mark.Edit{Verb: mark.Set, Play: 1, Rep: "wren", Field: "battle", Was: "won", Value: battle}); err != nil {
			t.Fatal(err)
		}
		paths = append(paths, path)
	}
	season, faults, err := tags.Cache{}.Load(paths, v)
	if err != nil || faults.Err() != nil || len(season.Games) != 1 || len(season.Second) != 1 {
		t.Fatalf("%v, %v, %+v", err, faults, season)
	}
	if a, b := season.Games[0].Plays[0].Reps[1].Battle, season.Second[0].Plays[0].Reps[1].Battle; a != "lost" || b != "stalemate" {
		t.Errorf("the battle is %s to one and %s to the other", a, b)
	}
}

// A spot is proposed, which the file has once it is taken, or put right.
func TestProposedSpot(t *testing.T) {
	text := strings.Replace(formGame, "        side: right\n", "        side: right\n        spot: {endzone: [0.53, 0.4]}\n", 1)
	text = strings.Replace(text, "      - 91 wide-9 left bull short lost no-factor # a line\n", "      - {rusher: marlow, align: wide-9, side: left, battle: lost, spot: {endzone: [0.1, 0.4]}}\n      - {rusher: oke, align: 5, side: right, battle: lost}\n", 1)
	at := mark.At{Angle: "endzone", Frame: 120}
	oke := mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "oke"}
	for name, c := range map[string]struct {
		desk     mark.Desk
		keys     []string
		asked    bool
		said, in string
	}{
		"shown, and not in the file": {oke, []string{"p"}, true, "", ""},
		"taken by the key again":     {oke, []string{"p", "p"}, false, "", "oke, align: 5, side: right, battle: lost, spot: {endzone: [0.713, 0.4]}"},
		"taken by Enter":             {oke, []string{"p", "Enter"}, false, "", "[0.713, 0.4]"},
		"taken and moved":            {oke, []string{"p", "ArrowDown"}, false, "", "[0.713, 0.41]"},
		"left":                       {oke, []string{"p", "Escape"}, false, "", ""},
		"left for another":           {oke, []string{"p", "]"}, false, "", ""},
		"marked already":             {mark.Desk{Pass: mark.RepsPass, Play: 1, Rep: "wren"}, []string{"p"}, false, "his spot is marked: arrows after the key of the spot move it", ""},
		"of nobody":                  {mark.Desk{Pass: mark.RepsPass, Play: 2}, []string{"p"}, false, "choose a rep first: the spot is its rusher's", ""},
	} {
		t.Run(name, func(t *testing.T) {
			d, _ := opened(t, text, map[string]tags.Rate{"endzone": {Num: 30, Den: 1}})
			desk := c.desk
			for _, key := range c.keys {
				desk = d.Act(desk, mark.Act{Do: "key", Key: key, At: at})
			}
			if v := d.View(desk); (desk.Ask == mark.AskSpot) != c.asked || c.asked && (!v.Angles[0].Proposed || len(v.Angles[0].Spot) != 2 || v.Asked == "") {
				t.Errorf("it asks %q, said %q, and shows %v", desk.Ask, desk.Said, v.Angles[0].Spot)
			}
			switch now := written(t, d); {
			case c.in != "" && !strings.Contains(now, c.in):
				t.Errorf("the file has no %q:\n%s", c.in, now)
			case c.in == "" && now != text:
				t.Errorf("the file is another:\n%s", now)
			}
			if desk.Wrong && c.said == "" || c.said != "" && desk.Said != c.said {
				t.Errorf("said %q, want %q", desk.Said, c.said)
			}
		})
	}
}
