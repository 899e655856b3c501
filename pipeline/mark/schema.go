package mark

import "trenchcut/tags/schema"

// KeysSchema is the schema of files of keys.
func KeysSchema() schema.Node {
	what := map[string]string{}
	for _, k := range keyNames() {
		what[k.Name] = k.What + "; " + k.Shown() + " where nothing else is said"
	}
	return schema.Keys(what, NamedKeys())
}
