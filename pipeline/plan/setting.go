package plan

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// Setting is a key of a recipe and its value, as the recipe file would say it: "before" and
// "3s". A value in brackets or braces is a list or a mapping, as in YAML.
type Setting struct{ Key, Value string }

// List is a setting whose value is a list of words.
func List(key string, words []string) Setting {
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = "'" + strings.ReplaceAll(w, "'", "''") + "'"
	}
	return Setting{key, "[" + strings.Join(quoted, ", ") + "]"}
}

// ParseSetting reads key=value.
func ParseSetting(text string) (Setting, error) {
	key, value, ok := strings.Cut(text, "=")
	if !ok || key == "" {
		return Setting{}, fmt.Errorf("%q is not key=value, such as before=5s", text)
	}
	return Setting{strings.TrimSpace(key), strings.TrimSpace(value)}, nil
}

// node is the value as YAML would have it.
func (s Setting) node() (*yaml.Node, error) {
	if !strings.HasPrefix(s.Value, "[") && !strings.HasPrefix(s.Value, "{") {
		return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s.Value}, nil
	}
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(s.Value), &doc); err != nil {
		return nil, fmt.Errorf("%s is not a list or a mapping as YAML has it", s.Value)
	}
	// The text has no place in a file.
	clearPlaces(&doc)
	return doc.Content[0], nil
}

func clearPlaces(n *yaml.Node) {
	n.Line, n.Column = 0, 0
	for _, c := range n.Content {
		clearPlaces(c)
	}
}

// With returns r with settings over it, in order. What a setting selects or how it orders
// holds in every section as well; choose and where hold besides what r says. All settings
// that are wrong are told at once, in a [tags.RequestError].
func (r Recipe) With(settings ...Setting) (Recipe, error) {
	r.Sections = slices.Clone(r.Sections)
	var wrong tags.Faults
	for _, s := range settings {
		if faults := r.set(s); len(faults) > 0 {
			for _, f := range faults {
				wrong.Add(tags.Pos{}, "%s: %s", s.Key, f.Error())
			}
		}
	}
	if len(wrong) > 0 {
		return r, tags.WrongRequest(errors.New(wrong.Error())) // no file has a fault
	}
	return r, nil
}

// set carries out one setting.
func (r *Recipe) set(s Setting) tags.Faults {
	d := &tags.Decoder{}
	value, err := s.node()
	if err != nil {
		d.Faults.Add(tags.Pos{}, "%v", err)
		return d.Faults
	}
	keys := recipeKeys(d, r)
	set, ok := keys[s.Key]
	switch {
	case s.Key == "sections", s.Key == "trenchcut":
		d.Faults.Add(tags.Pos{}, "only a recipe file can say it")
	case !ok:
		d.Faults.Add(tags.Pos{}, "unknown key of a recipe; %s", tags.DidYouMean(s.Key, slices.Sorted(maps.Keys(keys))))
	case s.Key == "choose":
		before := r.Choose
		set(value)
		r.Choose = slices.Concat(before, r.Choose)
	case s.Key == "where":
		before := r.Where
		set(value)
		r.Where = both(before, r.Where)
	default:
		set(value)
		for i := range r.Sections {
			if of, ok := selectionKeys(d, &r.Sections[i].Selection)[s.Key]; ok && r.Sections[i].Slate == "" {
				of(value)
			}
		}
	}
	return d.Faults
}

// SettingKeys is every key that a setting may have, in order.
func SettingKeys() []string {
	return slices.Sorted(maps.Keys(recipeKeys(&tags.Decoder{}, &Recipe{})))
}
