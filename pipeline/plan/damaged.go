package plan

// Damaged says what becomes of plays whose film is damaged.
type Damaged string

// What may become of them. Film without damage is shown alike by all three.
const (
	RefuseDamaged   Damaged = "refuse"    // the reel is not made
	LeaveOutDamaged Damaged = "leave-out" // the reel is made without them
	ShowDamaged     Damaged = "show"      // their pictures are shown as they decode
)

var damagedWays = []Damaged{RefuseDamaged, LeaveOutDamaged, ShowDamaged}

// DamagedNames lists the values of [Damaged].
func DamagedNames() []string { return namesOf(damagedWays) }
