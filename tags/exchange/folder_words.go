package exchange

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// words is our vocabulary with what can be carried over of theirs: words that ours lacks, and
// other names of words that both have. What would change a word or a number of ours is left, and
// said.
func (t *Taking) words(root *os.Root, names []string) (*tags.Vocabulary, error) {
	ours, faults, err := tags.LoadVocabulary(t.folder.Staff)
	if err != nil {
		return nil, err
	}
	if err := faults.Err(); err != nil {
		return nil, faults
	}
	carried := &yaml.Node{Kind: yaml.MappingNode}
	for _, name := range names {
		if strings.HasSuffix(name, tags.ReadsSuffix) {
			t.say("left: %s, because your reads are what your reps are held to", name)
		}
		if !strings.HasSuffix(name, tags.VocabularySuffix) {
			continue
		}
		pos := tags.Pos{File: filepath.Join(t.folder.From, filepath.FromSlash(name))}
		data, err := readIn(root, name, mostWords)
		var doc yaml.Node
		if err == nil {
			err = yaml.Unmarshal(data, &doc)
		}
		if err != nil || len(doc.Content) == 0 || doc.Content[0].Kind != yaml.MappingNode {
			t.Faults.Add(pos, "it is no vocabulary: %v", err)
			continue
		}
		top := doc.Content[0]
		for i := 0; i+1 < len(top.Content); i += 2 {
			switch key := top.Content[i].Value; key {
			case "trenchcut":
			case "words":
				t.carry(name, top.Content[i+1], carried, ours)
			default:
				t.say("%s: %s left, because it would hold for your games too", name, key)
			}
		}
	}
	if len(carried.Content) == 0 {
		return ours, nil
	}
	data, err := yaml.Marshal(&yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{
		tags.Scalar("trenchcut"), tags.Bare(strconv.Itoa(tags.Format)), tags.Scalar("words"), carried,
	}})
	if err != nil {
		return nil, fmt.Errorf("write their words: %w", err)
	}
	return t.withWords(data, ours)
}

// withWords is the vocabulary with theirs laid over ours, or ours where the two cannot stand
// together.
func (t *Taking) withWords(data []byte, ours *tags.Vocabulary) (*tags.Vocabulary, error) {
	dir, err := os.MkdirTemp("", "trenchcut-words-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	name := idOf(filepath.Base(t.folder.Into)) + tags.VocabularySuffix
	theirs := filepath.Join(dir, name)
	if err := os.WriteFile(theirs, data, 0o666); err != nil {
		return nil, err
	}
	staff := t.folder.Staff
	staff.Vocabulary = append(slices.Clone(staff.Vocabulary), theirs)
	both, faults, err := tags.LoadVocabulary(staff)
	if err != nil {
		return nil, err
	}
	if faults.Err() != nil {
		for _, f := range faults {
			t.say("their words are left: %s", f.What)
		}
		return ours, nil
	}
	t.files = append(t.files, files.File{Path: name, Data: data})
	return both, nil
}

// carry puts into carried what of the lists of theirs ours lacks.
func (t *Taking) carry(name string, lists, carried *yaml.Node, ours *tags.Vocabulary) {
	for i := 0; lists.Kind == yaml.MappingNode && i+1 < len(lists.Content); i += 2 {
		key := lists.Content[i].Value
		list := ours.List(key)
		if list == nil {
			t.say("%s: list %s left, because there is none of that name", name, key)
			continue
		}
		for _, item := range lists.Content[i+1].Content {
			words := item.Content
			if item.Kind == yaml.ScalarNode {
				words = []*yaml.Node{item, nil}
			}
			for k := 0; k+1 < len(words); k += 2 {
				t.carryWord(name, key, list, words[k], words[k+1], carried)
			}
		}
	}
}

// carryWord puts a word into carried, or says why not.
func (t *Taking) carryWord(file, key string, list *tags.List, word, about, carried *yaml.Node) {
	also := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
	others := []string{}
	if about != nil {
		if n := tags.Child(about, "also"); n != nil {
			for _, o := range n.Content {
				others = append(others, o.Value)
			}
		}
	}
	own, known := list.Find(word.Value)
	if known && own.Name != word.Value {
		t.say("%s: %s %s left: it is %s with you, and their tags are read so", file, key, word.Value, own.Name)
		return
	}
	for _, o := range others {
		switch other, taken := list.Find(o); {
		case taken && other.Name != word.Value:
			t.say("%s: %s: %s as another name of %s left: with you it is %s", file, key, o, word.Value, other.Name)
		case !taken:
			also.Content = append(also.Content, tags.Scalar(o))
		}
	}
	said := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle}
	if about != nil && about.Kind == yaml.MappingNode && !known {
		for i := 0; i+1 < len(about.Content); i += 2 {
			if about.Content[i].Value != "also" {
				said.Content = append(said.Content, about.Content[i], about.Content[i+1])
			}
		}
	}
	if len(also.Content) > 0 {
		said.Content = append(said.Content, tags.Scalar("also"), also)
	}
	if known {
		t.sayLeft(file, key, own, about)
	}
	if known && len(also.Content) == 0 {
		return // nothing that ours lacks
	}
	words := tags.Child(carried, key)
	if words == nil {
		words = &yaml.Node{Kind: yaml.SequenceNode}
		carried.Content = append(carried.Content, tags.Scalar(key), words)
	}
	if len(said.Content) == 0 {
		words.Content = append(words.Content, tags.Scalar(word.Value))
	} else {
		words.Content = append(words.Content, &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{tags.Scalar(word.Value), said}})
	}
	if known {
		t.say("%s: %s %s gets other names of theirs: %s", file, key, word.Value, textsOf(also))
	} else {
		t.say("%s: %s %s is new", file, key, word.Value)
	}
}

// sayLeft says what theirs has of a word of ours that differs.
func (t *Taking) sayLeft(file, key string, own tags.Word, about *yaml.Node) {
	for i := 0; about != nil && about.Kind == yaml.MappingNode && i+1 < len(about.Content); i += 2 {
		what, value := about.Content[i].Value, about.Content[i+1]
		said := strings.Join(strings.Fields(value.Value), " ")
		switch yes := false; {
		case what == "also":
			continue
		case value.Kind == yaml.SequenceNode:
			said = textsOf(value)
		case value.ShortTag() == "!!bool" && value.Decode(&yes) == nil:
			said = map[bool]string{true: "yes", false: "no"}[yes]
		}
		if ours := own.Said(what); said != ours {
			with := "it has none with you"
			if ours != "" {
				with = "with you it is " + shownWord(ours)
			}
			t.say("%s: %s %s: %s %s left: %s", file, key, own.Name, what, shownWord(said), with)
		}
	}
}

// shownWord is a word as it is, and a text of several in quotes.
func shownWord(text string) string {
	if strings.Contains(text, " ") {
		return strconv.Quote(short(text))
	}
	return text
}

func textsOf(list *yaml.Node) string {
	var texts []string
	for _, n := range list.Content {
		texts = append(texts, n.Value)
	}
	return strings.Join(texts, ", ")
}
