package plan

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Names says how much of who a player is a reel tells; empty is all.
type Names string

// The ways to name a player.
const (
	FullNames Names = "full"   // jersey and name
	ByNumber  Names = "number" // what his jersey shows
	NoNames   Names = "none"   // where he plays
)

var nameWays = []Names{FullNames, ByNumber, NoNames}

// full reports whether players are named by their names.
func (n Names) full() bool { return n == "" || n == FullNames }

// Handout says that a reel is made to be handed out. The zero value is a reel for the room.
type Handout struct {
	Folder string // the name of the folder that it lies in
	Player string // the key of the player whose folder it is; empty where it is no player's
}

// Naming is the one rule for who is named on a reel, and how. All that draws or writes who
// a player is asks it: labels, the tabs of rings, the rush clock, slates, chapters, and the
// names of reps in the plan. The page, the contact sheet and the manifest repeat what the
// plan says.
type Naming struct {
	How Names
	// For is the key ([tags.Person.Key]) of the player whom it is for, of whose teammates none is
	// named. Empty is the room, for which everybody is named. A model is always for the player whose
	// rep it stands beside.
	For string
	// Home is a game of his, which tells his teammates from men of other teams.
	Home *tags.Game
}

// What stands in place of a player who is not named.
const (
	Teammate = "A teammate"
	Stranger = "A player of another team" // of a game that was only scouted
)

// Nobody is a rusher of whom nothing may be told, and what [Naming.Who] says of any such man.
const Nobody = "rusher"

// Hidden reports whether who stands in place of a player's name.
func Hidden(who string) bool { return who == Teammate || who == Stranger }

// naming is the rule for the whole of a reel.
func (r Recipe) naming(season *tags.Season) Naming {
	n := Naming{How: r.Names, For: r.Handout.Player}
	for _, g := range season.Games {
		for _, p := range g.People {
			if p.Key() == n.For && g.Ours(p) && (n.Home == nil || n.Home.Scouted()) {
				n.Home = g
			}
		}
	}
	return n
}

// stranger reports whether those who are hidden in g are of another team than the player for whom
// the reel is.
func (n Naming) stranger(g *tags.Game) bool {
	return n.Home != nil && n.Home.Us != g.Us && (g.Scouted() || n.Home.Scouted())
}

// hides reports whether p, of the game g, is not named at all.
func (n Naming) hides(g *tags.Game, p *tags.Person) bool {
	return n.For != "" && p.Key() != n.For && !g.Theirs(p)
}

// Who is p, of the game g, as far as he may be named.
func (n Naming) Who(g *tags.Game, p *tags.Person) string {
	switch {
	case n.hides(g, p) && n.stranger(g):
		return Stranger
	case n.hides(g, p):
		return Teammate
	case n.How.full():
		return p.Shown()
	case n.How == ByNumber && p.Jersey != "":
		return "#" + p.Jersey
	case p.Position != "":
		return p.Position
	default:
		return Nobody
	}
}

// Tab is p as the tab of his ring and the rush clock name him: by his number, which his
// jersey shows too.
func (n Naming) Tab(g *tags.Game, p *tags.Person) string {
	switch {
	case n.hides(g, p) && n.stranger(g):
		return "other team"
	case n.hides(g, p):
		return "teammate"
	case p.Jersey != "" && n.How != NoNames:
		return p.Jersey
	default:
		return n.Who(g, p)
	}
}

// Rep is the name of a rep: [tags.Rep.Name] where the number or id in it may be told, else
// [Unnamed]. No two reps of a play have one name.
func (n Naming) Rep(r *tags.Rep) string {
	if n.number(r) == "" || !n.How.full() && !r.Numbered() {
		return Unnamed(r)
	}
	return r.Name()
}

// Unnamed names a rep without telling whose it is.
func Unnamed(r *tags.Rep) string {
	return fmt.Sprintf("%s rep %d", r.Play.Name(), slices.Index(r.Play.Reps, r)+1)
}

// number is the number or the id by which reps name the rusher; empty where it may not be told.
func (n Naming) number(r *tags.Rep) string {
	switch p := r.Rusher; {
	case n.How == NoNames, n.hides(r.Play.Game, p):
		return ""
	case !r.Numbered() && n.How.full():
		return p.ID
	default:
		return p.Jersey
	}
}

// Folder is the name of a player's folder, which tells no more of who he is than n does: his
// id, or the number that he alone wears, or a mark. The mark is made of his id, so that it
// stays his whoever joins or leaves.
func (n Names) Folder(season *tags.Season, id string) string {
	sum := sha256.Sum256([]byte(id))
	mark := "player-" + hex.EncodeToString(sum[:3])
	if n.full() {
		if files.Reserved(id) { // Windows has no such folder
			return mark
		}
		return id
	}
	if n == NoNames {
		return mark
	}
	wears, ours := "", false
	for _, g := range season.Games {
		if p := g.People[id]; p != nil && p.Jersey != "" {
			wears, ours = p.Jersey, g.Ours(p) // the last game's
		}
	}
	if wears == "" {
		return mark
	}
	for _, g := range season.Games {
		for other, p := range g.People {
			if other != id && p.Jersey == wears && g.Ours(p) == ours {
				return FileName(wears) + "-" + mark
			}
		}
	}
	return FileName(wears)
}
