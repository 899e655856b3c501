package share

import (
	"cmp"
	"io/fs"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"trenchcut/pipeline/page"
	"trenchcut/tags"
	"trenchcut/tags/files"
	"trenchcut/templates"
)

// secret is what only one player's folder may tell.
type secret struct {
	owner string // his id; empty is nobody who is given a folder
	what  string // as it is reported: "the name of #55 Ike Okafor"
	who   bool   // it is who he is, which his own folder may not tell where it is not called by his id
	as    string // the number, or the play and the number of a rep, that it is told by: of others, too, who go by that

	phrases  []string         // words in this order, anywhere; as [folded] has them
	joined   []string         // letters in this order, whatever stands between them
	plays    []string         // names of plays, whose reps are named by the number behind
	number   string           // the number behind the name of a play
	patterns []*regexp.Regexp // of the text as it is written
	folders  []string         // names of folders and files, without their endings
}

// The least that is looked for: shorter texts stand in others by chance.
const (
	leastPhrase  = 8 // letters of a note or a point, of two words at least
	leastFilm    = 5 // letters of the name of a film
	leastSurname = 4 // letters of a surname or an id that is looked for by itself
	leastJoined  = 8 // letters of a name that is looked for across whatever parts it
	leastBinary  = 6 // letters of anything that is looked for in what is no text
	longPhrase   = 10
	partOfPhrase = 8 // words by which a longer text is known even when it is cut short
)

// book is all secrets of a season.
type book struct {
	list []secret
	// common is words that are no secret by themselves: the program's own, the staff's
	// vocabulary, the names of teams.
	common map[string]bool
	told   []string          // lines that reels and pages print of the vocabulary, folded
	his    map[string]string // by id: what his own notes and points say, folded
	as     map[string]bool   // by id and [secret.as]: what he goes by himself
}

// secretsOf is what the games know of our players that is theirs alone, and of film that is
// the coordinator's.
func secretsOf(season *tags.Season) *book {
	b := &book{common: map[string]bool{}, his: map[string]string{}, as: map[string]bool{}}
	b.learn(season)
	games := slices.Concat(season.Games, season.Second)
	theirs := map[string]bool{} // numbers that opponents wear
	names := map[string][]string{}
	numbers := map[string]map[string]bool{}
	shown := map[string]string{}
	films := map[string]bool{}
	for _, g := range games {
		for id, p := range g.People {
			if g.Theirs(p) {
				theirs[p.Jersey] = true
				continue
			}
			shown[id] = p.Shown()
			if p.Name != "" && !slices.Contains(names[id], p.Name) {
				names[id] = append(names[id], p.Name)
			}
			if numbers[id] == nil {
				numbers[id] = map[string]bool{}
			}
			numbers[id][p.Jersey] = p.Jersey != ""
		}
		for _, f := range g.Files() {
			for _, part := range files.Parts(f.File) {
				films[filepath.Base(part)] = true
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(shown)) {
		for _, name := range names[id] {
			b.addName(id, name, shown[id])
		}
		b.addID(id, shown[id])
		for _, n := range slices.Sorted(maps.Keys(numbers[id])) {
			if numbers[id][n] && !theirs[n] {
				b.addNumber(id, n, shown[id])
			}
		}
	}
	for film := range films {
		if words := fold(film).words; len([]rune(words)) >= leastFilm {
			b.list = append(b.list, secret{what: "the name of the film " + film, phrases: []string{words}})
		}
	}
	for _, g := range games {
		for _, play := range g.Plays {
			for _, r := range play.Reps {
				b.addRep(r)
			}
		}
	}
	slices.SortStableFunc(b.list, func(x, y secret) int { return cmp.Compare(x.what, y.what) })
	return b
}

// learn takes in what is no secret.
func (b *book) learn(season *tags.Season) {
	var told, own strings.Builder               // what is printed, and what else has the program's words
	files, _ := fs.Glob(templates.FS, "*.yaml") // it fails only for a bad pattern
	for _, f := range files {
		data, _ := fs.ReadFile(templates.FS, f) // which was just listed
		own.Write(data)
	}
	told.WriteString(page.Boilerplate())
	for _, list := range season.Vocabulary.Lists {
		for _, w := range list.Words {
			told.WriteString("\n" + strings.Join(slices.Concat([]string{w.Name, w.Label, w.What, w.Fix}, w.Also, w.Drills), "\n"))
		}
	}
	for _, rd := range season.Vocabulary.Reads {
		told.WriteString("\n" + rd.Name + "\n" + rd.Why)
	}
	for _, g := range season.Games {
		told.WriteString("\n" + g.Us + "\n" + g.Opponent)
		for _, play := range g.Plays {
			for _, r := range play.Reps {
				b.his[r.Rusher.ID] += fold(r.Note).words + fold(r.Point).words
			}
		}
	}
	for line := range strings.Lines(told.String()) {
		if words := fold(line).words; len(strings.Fields(words)) > 2 {
			b.told = append(b.told, words)
		}
	}
	slices.SortFunc(b.told, func(x, y string) int { return len(y) - len(x) })
	words := fold(told.String() + own.String() + plainWords)
	for _, text := range []string{words.words, words.split} {
		for w := range strings.FieldsSeq(text) {
			b.common[w] = true
		}
	}
}

// plain reports whether all of words are too common or too short to mean anybody.
func (b *book) plain(words []string) bool {
	return !slices.ContainsFunc(words, func(w string) bool { return !b.common[w] && len([]rune(w)) >= leastSurname })
}

// addName looks for the whole name in any order, the surname with an initial, and the
// surname by itself unless it is a plain word.
func (b *book) addName(id, name, shown string) {
	words := strings.Fields(fold(name).words)
	if len(words) == 0 {
		return
	}
	first, last := words[0], words[len(words)-1]
	s := secret{owner: id, what: "the name of " + shown, who: true}
	phrase := func(words ...string) { s.phrases = append(s.phrases, " "+strings.Join(words, " ")+" ") }
	if len(words) > 1 {
		phrase(words...)
		phrase(append([]string{last}, words[:len(words)-1]...)...)
		phrase(first, last)
		phrase(last, first)
		for _, j := range []string{strings.Join(words, ""), first + last, last + first} {
			phrase(j)
			if len([]rune(j)) >= leastJoined {
				s.joined = append(s.joined, j)
			}
		}
		initial := string([]rune(first)[:1])
		if !b.plain(words[len(words)-1:]) || !strings.Contains("aistd", initial) { // as in: a page, player's page
			phrase(initial, last)
			phrase(last, initial)
		}
	}
	if !b.plain(words[len(words)-1:]) {
		phrase(last)
	}
	b.list = append(b.list, s)
}

// addID looks for an id anywhere, or, where it is a plain word, only where it stands as an
// id: as the value of a key that names people, or as the name of a folder or file.
func (b *book) addID(id, shown string) {
	words := fold(id).words
	s := secret{owner: id, what: "the id of " + shown, who: true, folders: []string{words}}
	if b.plain(strings.Fields(words)) {
		s.patterns = append(s.patterns, regexp.MustCompile(`(?i)(?:^|[^\pL\pN])(?:(?:rusher|blocker|passer|player|who)["']?\s*[:=]+|(?:id|by|name)["']?\s*:)\s*["'\[]*`+
			regexp.QuoteMeta(id)+`(?:["',\]\s;&<)]|$)`))
	} else {
		s.phrases = []string{words}
	}
	b.list = append(b.list, s)
}

// goesBy says by what a player goes: in his own folder it tells of him alone.
func (b *book) goesBy(id, as string) { b.as[id+" "+as] = true }

// addNumber looks for a number that no opponent wears, where it is written as one.
func (b *book) addNumber(id, number, shown string) {
	n := regexp.QuoteMeta(number)
	b.goesBy(id, number)
	b.list = append(b.list, secret{
		owner: id, what: "the number of " + shown, as: number,
		patterns: []*regexp.Regexp{regexp.MustCompile(`(?i)(?:(?:^|[^&\pL\pN])[#№]|(?:^|[^\pL\pN])(?:no\.|nr\.|number|jersey)\s?)` + n + `(?:[^\pL\pN]|$)`)},
	})
}

// addRep looks for the rep's name, its grades, note and point.
func (b *book) addRep(r *tags.Rep) {
	id, name := r.Rusher.ID, r.Name()
	number := cmp.Or(r.Rusher.Jersey, id) // as reels name him where names are by number, too
	as := r.Play.Name() + "-" + number
	b.goesBy(id, as)
	b.list = append(b.list, secret{
		owner: id, what: "the rep " + name, as: as,
		plays: []string{fold(r.Play.Name()).words}, number: strings.TrimSpace(fold(number).words),
	})
	if number != id && !r.Numbered() { // named by his id, which may be a plain word: wk1-p014-marlow+post
		b.list = append(b.list, secret{owner: id, what: "the rep " + name, patterns: []*regexp.Regexp{
			regexp.MustCompile(`(?i)` + regexp.QuoteMeta(r.Play.Name()) + `-(?:[^\s+"'<>&]+\+)*` + regexp.QuoteMeta(id) + `(?:[^\pL\pN-]|$)`),
		}})
	}
	for what, text := range map[string]string{"the note of " + name: r.Note, "the point of " + name: r.Point} {
		words := strings.Fields(fold(text).words)
		if len(words) < 2 || len([]rune(strings.Join(words, ""))) < leastPhrase {
			continue
		}
		s := secret{owner: id, what: what, phrases: []string{" " + strings.Join(words, " ") + " "}}
		if len(words) > longPhrase {
			for _, part := range [][]string{words[:partOfPhrase], words[len(words)-partOfPhrase:]} {
				s.phrases = append(s.phrases, " "+strings.Join(part, " ")+" ")
			}
		}
		b.list = append(b.list, s)
	}
}

// public returns s without what the folder's own player was told as well, unless it tells who
// somebody is.
func (b *book) public(s secret, id string) secret {
	if s.who {
		return s
	}
	s.phrases = slices.DeleteFunc(slices.Clone(s.phrases), func(p string) bool {
		return id != "" && strings.Contains(b.his[id], p)
	})
	return s
}

// of is the secrets that a folder of o may not tell.
func (b *book) of(o owner) []secret {
	mine := strings.Fields(fold(o.name).words)
	var list []secret
	for _, s := range b.list {
		if s.owner != "" && s.owner == o.id && (o.named || !s.who) || s.as != "" && b.as[o.id+" "+s.as] {
			continue
		}
		s = b.public(s, o.id)
		if s.who && o.named && len(mine) > 0 { // brothers: the surname is his too
			s.phrases = slices.DeleteFunc(slices.Clone(s.phrases), func(p string) bool {
				words := strings.Fields(p)
				return len(words) == 1 && slices.Contains(mine, words[0])
			})
		}
		list = append(list, s)
	}
	return list
}

// untold is a text without the lines that reels and pages print of the vocabulary: that one
// holds the words of a point does not tell the point.
func (b *book) untold(f folded) folded {
	for _, line := range b.told {
		f.words = strings.ReplaceAll(f.words, line, " | ")
		f.split = strings.ReplaceAll(f.split, line, " | ")
	}
	return f
}

// in reports whether a text tells s. Of what is no text, only what is long enough not to be
// there by chance counts.
func (s secret) in(text string, f folded, binary bool) bool {
	for _, p := range s.phrases {
		if binary && len(p)-2 < leastBinary {
			continue
		}
		if strings.Contains(f.words, p) || strings.Contains(f.split, p) {
			return true
		}
	}
	for _, j := range s.joined {
		if strings.Contains(f.joined, j) {
			return true
		}
	}
	for _, play := range s.plays {
		if numbered(f.words, play, s.number) {
			return true
		}
	}
	if binary {
		return false
	}
	for _, p := range s.patterns {
		if p.MatchString(text) {
			return true
		}
	}
	return false
}

// numbered reports whether a number stands among those behind the name of a play: a
// chapter names all its reps, wk1-p014-91+99.
func numbered(words, play, number string) bool {
	for {
		i := strings.Index(words, play)
		if i < 0 {
			return false
		}
		words = words[i+len(play)-1:]
		for n, w := range strings.Fields(words[:min(len(words), 200)]) {
			if w == number {
				return true
			}
			if n > 8 || strings.Trim(w, "0123456789") != "" {
				break
			}
		}
	}
}
