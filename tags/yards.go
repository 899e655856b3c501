package tags

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// midfield is how far either goal line is from it, in yards.
const midfield = 50

var yardForm = regexp.MustCompile(`^(own|opp|opponent|[+-]?) ?([0-9]{1,2})$`)

// ToGoal is how many yards the offense is from the goal line that it attacks, by the yard
// line as staffs write it (common practice): "own 25" and "-25" are in its own half, "opp
// 18" and "+18" in the other, and 50 is midfield. A number by itself is in the other half
// where the game's sheet signs those of its own half; else, and where a team is named,
// false: which half it is cannot be told.
func (p *Play) ToGoal() (yards int, known bool) {
	m := yardForm.FindStringSubmatch(strings.ToLower(strings.TrimSpace(p.YardLine)))
	if m == nil {
		return 0, false
	}
	yards, _ = strconv.Atoi(m[2]) // two digits
	switch {
	case yards == midfield:
		return yards, true
	case yards == 0 || yards > midfield:
		return 0, false
	case m[1] == "own" || m[1] == "-":
		return 2*midfield - yards, true
	case m[1] == "" && !slices.ContainsFunc(p.Game.Plays, func(o *Play) bool { return strings.HasPrefix(o.YardLine, "-") }):
		return 0, false
	default:
		return yards, true
	}
}

// BallOn is the yard line in words, with its unit: "own 25-yard line", "their 18-yard line",
// "midfield". What cannot be told is as the staff writes it, with its unit where it is a number:
// "25-yard line", "MES 25".
func (p *Play) BallOn() string {
	written := strings.TrimSpace(p.YardLine)
	toGoal, known := p.ToGoal()
	switch {
	case known && toGoal == midfield:
		return "midfield"
	case known && toGoal > midfield:
		return "own " + strconv.Itoa(2*midfield-toGoal) + "-yard line"
	case known:
		return "their " + strconv.Itoa(toGoal) + "-yard line"
	}
	if _, err := strconv.Atoi(written); err == nil {
		return written + "-yard line"
	}
	return written
}
