package query

import (
	"maps"
	"slices"
	"strings"

	"trenchcut/tags"
)

// Offer is a text that may stand where something is being typed.
type Offer struct {
	Text string // all of it, what is typed already too
	Doc  string
	Open bool // more may follow at once
}

// OfferKeys is the keys that may come next in a list of them, with commas between.
func (r *Registry) OfferKeys(typed string) []Offer {
	before := typed[:strings.LastIndex(typed, ",")+1]
	if strings.HasPrefix(typed[len(before):], "-") {
		before += "-"
	}
	var offers []Offer
	for _, f := range r.Facts {
		offers = append(offers, Offer{before + f.Name, f.Doc, true})
	}
	return offers
}

// OfferTerms is what a term may be: named choices and keys, or behind a key the values that
// occur, with how many reps or plays have each.
func (r *Registry) OfferTerms(typed string) []Offer {
	start, ok := tags.ValueStart(typed)
	if !ok {
		return r.offerKeysAndChoices()
	}
	f, ok := r.Find(typed[:max(strings.IndexAny(typed, "!=<>"), 0)])
	if !ok {
		return nil
	}
	noun := "rep"
	if f.OfPlay {
		noun = "play"
	}
	var offers []Offer
	values, counts := r.Occurring(f)
	for _, value := range values {
		// A full name is more to type than its number, and the shell would quote it.
		if !strings.Contains(value, " ") || f.Kind != Person {
			offers = append(offers, Offer{typed[:start] + tags.QuoteValue(value), tags.Count(counts[value], noun), false})
		}
	}
	return offers
}

func (r *Registry) offerKeysAndChoices() []Offer {
	var offers []Offer
	for _, name := range slices.Sorted(maps.Keys(r.vocabulary.Choices)) {
		offers = append(offers, Offer{name, r.vocabulary.Choices[name].String(), true})
	}
	for _, f := range r.Facts {
		text := f.Name + "="
		if f.Kind == YesNo {
			text = f.Name // which is a term by itself
		}
		offers = append(offers, Offer{text, f.Doc, true})
	}
	return offers
}
