package plan

import "trenchcut/tags/schema"

// RecipeSchema is the schema of recipe files.
func RecipeSchema() schema.Node {
	var orders []string
	for _, order := range Orders {
		orders = append(orders, string(order))
	}
	return schema.Recipe(schema.RecipeWords{
		Orders:    orders,
		Reveals:   []string{string(RevealAfter), string(RevealBefore)},
		Damaged:   DamagedNames(),
		Qualities: []string{string(Small), string(Standard), string(Fine)},
		Names:     []string{string(FullNames), string(ByNumber), string(NoNames)},
		Traits:    TraitNames(),
		Shapes:    ShapeNames(),
		Looks:     Looks(),
		Fields:    FieldNames(),
	})
}
