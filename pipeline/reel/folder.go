package reel

import (
	"crypto/sha256"
	"encoding/hex"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// FolderOf is the name of a person's folder, which tells no more of who he is than names
// do: his id, or the number that he alone wears, or a mark. The mark is made of his id, so
// that it stays the same whoever joins or leaves.
func FolderOf(season *tags.Season, id string, names plan.Names) string {
	if names == "" || names == plan.FullNames {
		return id // as it is: fileName may make one name of two ids
	}
	sum := sha256.Sum256([]byte(id))
	mark := "player-" + hex.EncodeToString(sum[:3])
	if names == plan.NoNames {
		return mark
	}
	wears, his := "", false
	for _, g := range season.Games {
		if p := g.People[id]; p != nil && p.Jersey != "" {
			wears, his = p.Jersey, g.Ours(p) // the last game's
		}
	}
	if wears == "" {
		return mark
	}
	for _, g := range season.Games {
		for other, p := range g.People {
			if other != id && p.Jersey == wears && g.Ours(p) == his {
				return fileName(wears) + "-" + mark
			}
		}
	}
	return fileName(wears)
}
