package tags

import "gopkg.in/yaml.v3"

// Child is the value under keys in n and the mappings within it, one in the other; nil where there
// is none. A key with nothing behind it has a value, whose tag is !!null.
func Child(n *yaml.Node, keys ...string) *yaml.Node {
	for _, key := range keys {
		i := keyOf(n, key)
		if i < 0 {
			return nil
		}
		n = n.Content[i+1]
	}
	return n
}
