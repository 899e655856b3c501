package tags

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"gopkg.in/yaml.v3"

	"trenchcut/tags/files"
)

// WriteSame puts into a staff's vocabulary file, which may not exist yet, that texts mean the
// same: the most frequent of each stands for all.
func WriteSame(file string, found []Alike) error {
	old, err := os.ReadFile(file)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("read the vocabulary: %w", err)
	}
	data := old
	if old == nil {
		data = fmt.Appendf(nil, "trenchcut: %d\nsame: {}\n", Format)
	}
	for _, a := range found {
		var root yaml.Node
		if err := yaml.Unmarshal(data, &root); err != nil || len(root.Content) == 0 {
			return fmt.Errorf("%s is not YAML: %w", file, err)
		}
		list := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
		for _, t := range a.Texts[1:] {
			list.Content = append(list.Content, Scalar(t.Text))
		}
		mapping := func(key string, value *yaml.Node) *yaml.Node {
			return &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{Scalar(key), value}}
		}
		name := a.Texts[0].Text
		var edits []Edit
		switch at := root.Content[0]; {
		case keyOf(at, "same") < 0:
			edits = append(edits, Insert(Path{}, "same", mapping(a.Key, mapping(name, list))))
		case Child(at, "same", a.Key) == nil:
			edits = append(edits, Insert(Path{"same"}, a.Key, mapping(name, list)))
		case Child(at, "same", a.Key, name) == nil:
			edits = append(edits, Insert(Path{"same", a.Key}, name, list))
		default:
			for _, n := range list.Content {
				edits = append(edits, Append(Path{"same", a.Key, name}, n))
			}
		}
		if data, err = Splice(data, edits...); err != nil {
			return fmt.Errorf("edit %s: %w", file, err)
		}
	}
	if _, faults := parseVocabularyFile(file, data); faults.Err() != nil {
		return fmt.Errorf("%s is left as it is, because it would have faults: %w", file, faults)
	}
	return files.Update(file, old, data)
}

// VocabularyToWrite is the one vocabulary file of a staff that there is, or a new one's name in
// folder where there is none. It fails where there are several.
func (s StaffFiles) VocabularyToWrite(folder string) (string, error) {
	switch len(s.Vocabulary) {
	case 0:
		return filepath.Join(folder, "season"+VocabularySuffix), nil
	case 1:
		return s.Vocabulary[0], nil
	default:
		slices.Sort(s.Vocabulary)
		return "", fmt.Errorf("%d files have the staff's words: name the one to write with --vocabulary, such as %s", len(s.Vocabulary), s.Vocabulary[0])
	}
}
