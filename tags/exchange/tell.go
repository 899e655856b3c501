package exchange

import (
	"fmt"
	"maps"
	"slices"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// Fields is what a column of a play sheet may be said to be: what a play or a rep has, in the
// order in which a tag file has it, then extra, which keeps the column as it is, and skip.
func Fields() []string {
	list := slices.DeleteFunc(columnKeys(), func(key string) bool {
		return key == keyExtra || key == keySkip || key == keyAngle || key == keyGame || slices.Contains(onAngle, key)
	})
	return append(list, keyExtra, keySkip)
}

// told is what a column mapping says of a column that is c.
func (c column) told() string {
	if c.key == keyExtra {
		return keyExtra
	}
	return c.String()
}

// tell lays what somebody says over a mapping: a field by the heading of its column.
func (c *Columns) tell(told map[string]string) error {
	for _, heading := range slices.Sorted(maps.Keys(told)) {
		col, ok := parseColumn(told[heading], heading)
		if !ok {
			return tags.WrongRequest(fmt.Errorf("column %q cannot be %q", heading, told[heading]))
		}
		pos := c.targets[flatten(heading)].pos
		c.targets[flatten(heading)] = target{pos, heading, col}
	}
	return nil
}

// LayOver is the column mapping data with what was told of columns, by heading, in its place:
// nothing else of it changes.
func LayOver(file string, data []byte, told map[string]string) ([]byte, error) {
	if _, err := parseColumns(file, data); err != nil {
		return nil, err
	}
	var doc yaml.Node
	if err := yaml.Unmarshal(data, &doc); err != nil {
		return nil, fmt.Errorf("read %s: %w", file, err)
	}
	has := map[string]string{} // the key that a mapping has, by heading
	columns := &yaml.Node{Kind: yaml.MappingNode}
	there := false
	for top, i := doc.Content[0], 0; i+1 < len(top.Content); i += 2 {
		if top.Content[i].Value == "columns" {
			there = true
			for list, j := top.Content[i+1], 0; j+1 < len(list.Content); j += 2 {
				has[flatten(list.Content[j].Value)] = list.Content[j].Value
			}
		}
	}
	var edits []tags.Edit
	for _, heading := range slices.Sorted(maps.Keys(told)) {
		value := tags.Scalar(told[heading])
		switch key, known := has[flatten(heading)]; {
		case known:
			edits = append(edits, tags.Replace(tags.Path{"columns", key}, told[heading]))
		case there:
			edits = append(edits, tags.Insert(tags.Path{"columns"}, heading, value))
		default:
			columns.Content = append(columns.Content, tags.Scalar(heading), value)
		}
	}
	if len(columns.Content) > 0 {
		edits = append(edits, tags.Insert(tags.Path{}, "columns", columns, "trenchcut"))
	}
	data, err := tags.Splice(data, edits...)
	if err != nil {
		return nil, fmt.Errorf("change %s: %w", file, err)
	}
	if _, err := parseColumns(file, data); err != nil {
		return nil, err
	}
	return data, nil
}
