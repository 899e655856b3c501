package plan

import "trenchcut/tags/schema"

// RecipeSchema is the schema of recipe files.
func RecipeSchema() schema.Node {
	return schema.Recipe(schema.RecipeWords{
		Orders:    namesOf(orders),
		Reveals:   namesOf(reveals),
		Damaged:   namesOf(damagedWays),
		Qualities: namesOf(qualities),
		Names:     namesOf(nameWays),
		Traits:    namesOf(traits),
		Shapes:    namesOf(shapes),
		Looks:     Looks(),
		Fields:    namesOf(AllFields),
	})
}
