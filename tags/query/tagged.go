package query

import (
	"reflect"

	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"cel.dev/cel-go/common/types/traits"
)

// taggedName is the fact of which facts are known.
const taggedName = "tagged"

// taggedList is that fact as CEL sees it. "set" in tagged asks for one fact alone; only
// what needs the whole list makes it, since most questions of a season would otherwise ask
// every fact of every rep.
type taggedList struct {
	registry *Registry
	subject  subject
}

func (l taggedList) all() traits.Lister {
	f, _ := l.registry.Find(taggedName)
	names, _ := f.of(l.subject)
	return types.NewStringList(types.DefaultTypeAdapter, names.([]string))
}

// Contains reports whether one fact is known.
func (l taggedList) Contains(value ref.Val) ref.Val {
	name, ok := value.(types.String)
	f, found := l.registry.Find(string(name))
	if !ok || !found || f.list == readList || f.Name == taggedName {
		return types.False
	}
	_, known := f.of(l.subject)
	return types.Bool(known)
}

// The rest of a list, which needs all of it.

// ConvertToNative is the list as a Go value.
func (l taggedList) ConvertToNative(t reflect.Type) (any, error) { return l.all().ConvertToNative(t) }

// ConvertToType is the list as another type of CEL.
func (l taggedList) ConvertToType(t ref.Type) ref.Val { return l.all().ConvertToType(t) }

// Equal reports whether the list is another.
func (l taggedList) Equal(other ref.Val) ref.Val { return l.all().Equal(other) }

// Type is that of lists.
func (l taggedList) Type() ref.Type { return types.ListType }

// Value is the list as Go strings.
func (l taggedList) Value() any { return l.all().Value() }

// Add is the list with another behind it.
func (l taggedList) Add(other ref.Val) ref.Val { return l.all().Add(other) }

// Get is one of the list.
func (l taggedList) Get(index ref.Val) ref.Val { return l.all().Get(index) }

// Iterator goes through the list.
func (l taggedList) Iterator() traits.Iterator { return l.all().Iterator() }

// Size is how many facts are known.
func (l taggedList) Size() ref.Val { return l.all().Size() }
