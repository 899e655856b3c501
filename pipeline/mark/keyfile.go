package mark

import (
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// ReadKeys is [DefaultKeys] with those of a staff's own files, in their order, laid over them.
// What is wrong in the files is [tags.Faults]: a key that is no key, and two things on one key,
// named where they stand.
func ReadKeys(paths []string) ([]Key, error) {
	keys := slices.Clone(DefaultKeys)
	said := map[string]tags.Pos{} // where a file says the key, by name
	var faults tags.Faults
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			return nil, fmt.Errorf("read the keys: %w", err)
		}
		faults = append(faults, parseKeys(path, data, keys, said)...)
	}
	faults = append(faults, doubled(keys, said)...)
	faults.Sort()
	return keys, faults.Err()
}

// parseKeys reads one file over keys.
func parseKeys(path string, data []byte, keys []Key, said map[string]tags.Pos) tags.Faults {
	d := &tags.Decoder{File: path}
	known := tags.Keys{}
	for i := range keys {
		k := &keys[i]
		if k.Key == digits { // which are the same for everybody
			continue
		}
		known[k.Name] = func(n *yaml.Node) {
			text := d.Text(n, k.Name)
			key, err := parseKey(text)
			if err != nil {
				d.Faults.Add(d.Pos(n), "the key of %s: %v", k.Name, err)
				return
			}
			k.Key, said[k.Name] = key, d.Pos(n)
		}
	}
	d.Document(data, "the file of keys", known)
	return d.Faults
}

// parseKey reads a key as people call it: a character, with Shift before a letter or as its
// capital, or the name of a key that has none.
func parseKey(text string) (string, error) {
	plain := strings.ToLower(strings.NewReplacer(" ", "", "+", "", "-", "", "_", "").Replace(text))
	for key, name := range namedKeys {
		if plain == strings.ToLower(key) && key != " " || plain == strings.ToLower(strings.ReplaceAll(name, " ", "")) {
			return key, nil
		}
	}
	if letter, ok := strings.CutPrefix(plain, "shift"); ok && len([]rune(letter)) == 1 {
		text = strings.ToUpper(letter)
	}
	switch runes := []rune(text); {
	case len(runes) != 1 || runes[0] <= ' ':
		return "", fmt.Errorf("%q is no key: want a character such as j, Shift J, or one of %s", text, strings.Join(NamedKeys(), ", "))
	case runes[0] >= '0' && runes[0] <= '9':
		return "", fmt.Errorf("digits begin a rusher's number")
	}
	return text, nil
}

// doubled is a fault for each key that stands for two things in one pass, at the place that
// makes it so.
func doubled(keys []Key, said map[string]tags.Pos) tags.Faults {
	var faults tags.Faults
	for i, k := range keys {
		for _, other := range keys[:i] {
			if k.Key != other.Key || k.Pass != "" && other.Pass != "" && k.Pass != other.Pass {
				continue
			}
			at, name, also := said[k.Name], k.Name, other.Name
			if at == (tags.Pos{}) {
				at, name, also = said[other.Name], other.Name, k.Name
			}
			where := ", as without a file"
			if pos := said[also]; pos != (tags.Pos{}) {
				where = fmt.Sprintf(" at %s:%d:%d", pos.File, pos.Line, pos.Column)
			}
			faults.Add(at, "%s is the key of %s and of %s%s; give one of them another", k.Shown(), name, also, where)
		}
	}
	return faults
}

// NamedKeys is the keys that have a name and no character, as people call them.
func NamedKeys() []string { return slices.Sorted(maps.Values(namedKeys)) }

// keyNames is what a file of keys may name, in the order in which keys are listed.
func keyNames() []Key {
	return slices.DeleteFunc(slices.Clone(DefaultKeys), func(k Key) bool { return k.Key == digits })
}
