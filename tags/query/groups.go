package query

import "trenchcut/tags"

// Groups is the names of the groups that a rep belongs to by f; none where f is not known
// of it. A list that is known to be empty is "none".
func (f Fact) Groups(r *tags.Rep) []string {
	value, ok := f.OfRep(r)
	if !ok {
		return nil
	}
	if list, ok := value.([]string); ok && f.Kind == List {
		if len(list) == 0 {
			return []string{"none"} // which is more than not tagged
		}
		return list
	}
	return []string{f.Format(value)}
}
