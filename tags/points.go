package tags

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// Points is a staff's table of production points: what a rep earns for each of its words,
// by key and word, in hundredths of a point, so that sums are exact. A key that is yes or
// no stands under "yes".
type Points map[string]map[string]int

// PricedKeys is the keys that a table of points may have, and the list that the words
// under each come from; empty where the key is yes or no.
func PricedKeys() map[string]string {
	keys := map[string]string{}
	for _, f := range priced {
		keys[f.Name] = f.WordList()
	}
	return keys
}

// priced is the fields that a table of points may price.
var priced = slices.DeleteFunc(slices.Clone(RepFields), func(f *Field[Rep]) bool { return !f.Priced })

// Production is the rep's production points: the sum of what the staff's table gives for
// its words. It is unknown where the vocabulary has no table, or where none of the keys
// in the table is tagged.
func (r *Rep) Production() (points float64, known bool) {
	table, sum := r.Play.Game.vocabulary.Points, 0
	if len(table) == 0 {
		return 0, false
	}
	earns := func(words map[string]int, word string) {
		if word != "" {
			known = true
			sum += words[word]
		}
	}
	for _, f := range priced {
		words, in := table[f.Name]
		if !in {
			continue
		}
		if list, ok := f.At(r).(*[]string); ok {
			for _, word := range *list {
				earns(words, word)
			}
		} else {
			earns(words, f.Text(r))
		}
	}
	return float64(sum) / 100, known
}

// price is one entry of a table of points as a file writes it.
type price struct {
	Pos       Pos
	Key, Word string
	Points    int
}

// priceForm is a number of points, of at most two decimals.
var priceForm = regexp.MustCompile(`^([+-]?)(\d{1,3})(?:\.(\d{1,2}))?$`)

// prices reads "outcome: {sack: 3, hit: 1.5}" and "loaf: -1".
func (d *Decoder) prices(n *yaml.Node) []price {
	var prices []price
	add := func(n, value *yaml.Node, key, word string) {
		text, ok := d.scalar(value, key)
		m := priceForm.FindStringSubmatch(text)
		switch {
		case !ok:
		case m == nil:
			d.Faults.Add(d.Pos(value), "%q is no number of points: want one such as 3, 1.5 or -1", text)
		default:
			whole, _ := strconv.Atoi(m[2])
			part, _ := strconv.Atoi((m[3] + "00")[:2])
			points := 100*whole + part
			if m[1] == "-" {
				points = -points
			}
			prices = append(prices, price{d.Pos(n), key, word, points})
		}
	}
	keys := PricedKeys()
	d.Each(n, "points", func(key, value *yaml.Node) {
		switch list, ok := keys[key.Value]; {
		case !ok:
			d.Faults.Add(d.Pos(key), "unknown key %q in points", key.Value)
			d.Faults.hint(DidYouMean(key.Value, slices.Sorted(maps.Keys(keys))))
		case list == "":
			add(key, value, key.Value, "yes")
		default:
			d.Each(value, "points for "+key.Value, func(word, points *yaml.Node) {
				add(word, points, key.Value, word.Value)
			})
		}
	})
	return prices
}

// price makes Points of the entries that hold, once every word has its name.
func (v *Vocabulary) price() Faults {
	var fs Faults
	v.Points = Points{}
	keys := PricedKeys()
	for _, p := range v.prices {
		word := p.Word
		if key := keys[p.Key]; key != "" {
			list := v.List(key)
			w, ok := list.Find(word)
			if !ok {
				fs.Add(p.Pos, "unknown %s %q in points", key, word)
				fs.hint(DidYouMean(word, list.Names()))
				continue
			}
			word = w.Name
		}
		if v.Points[p.Key] == nil {
			v.Points[p.Key] = map[string]int{}
		}
		if _, twice := v.Points[p.Key][word]; twice {
			fs.Add(p.Pos, "%s %s has points twice", p.Key, word)
			fs.hint("where a staff made two words one, it wants a table of points of its own")
			continue
		}
		v.Points[p.Key][word] = p.Points
	}
	return fs
}

// pricesText is a table as text, by which two files are compared.
func pricesText(prices []price) string {
	texts := make([]string, len(prices))
	for i, p := range prices {
		texts[i] = fmt.Sprintf("%s %s %g", p.Key, p.Word, float64(p.Points)/100)
	}
	slices.Sort(texts)
	return strings.Join(texts, ", ")
}
