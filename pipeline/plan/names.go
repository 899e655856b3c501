package plan

import (
	"trenchcut/tags"
)

// Names says how much of who a player is a reel tells; empty is all.
type Names string

// The ways to name a player.
const (
	FullNames Names = "full"   // jersey and name
	ByNumber  Names = "number" // what his jersey shows
	NoNames   Names = "none"   // where he plays
)

// ParseNames reads the name of a way to name players.
func ParseNames(s string) (Names, error) { return oneOf("names", s, FullNames, ByNumber, NoNames) }

// Of is p by his name, as far as it is told.
func (n Names) Of(p *tags.Person) string {
	switch {
	case n == ByNumber && p.Jersey != "":
		return "#" + p.Jersey
	case n == ByNumber, n == NoNames:
		if p.Position != "" {
			return p.Position
		}
		return "rusher"
	default:
		return p.Shown()
	}
}
