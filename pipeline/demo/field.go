package demo

import (
	"strconv"
	"strings"

	"trenchcut/tags"
)

// Measures of the field in feet, from the rule books' field diagrams: NFL Rule 1,
// Section 1; NCAA Football Rule 1, Section 2; NFHS Football Rule 1-2.
const (
	fieldLength  = 300.0 // goal line to goal line; 360 with both end zones
	fieldWidth   = 160.0
	endZone      = 30.0
	lineWidth    = 4.0 / 12 // yard lines; all three rule books
	hashLength   = 2.0      // hash marks, and the yard marks at the sideline
	borderWidth  = 6.0      // white border outside the sideline (from memory)
	numberHeight = 6.0
	numberWidth  = 4.0
)

// hashes is how far each row of hash marks stands from its sideline, in feet: NFL 70'9",
// so that the rows are 18'6" apart; NCAA 60', 40' apart; NFHS 53'4", thirds.
var hashes = map[string]float64{
	"pro":         70 + 9.0/12,
	"college":     60,
	"high-school": 53 + 4.0/12,
}

// numberTop is how far the tops of the yard numbers are from the sideline: NFL 12 yards,
// NCAA and NFHS 9 (from memory).
func numberTop(field string) float64 {
	if field == "pro" {
		return 36
	}
	return 27
}

// point is a place on the ground, in feet. Players are placed from the ball: x to the
// offence's right, y downfield. The field is measured from the offence's own goal line
// at the left sideline: x across, y downfield.
type point struct{ x, y float64 }

func (p point) add(q point) point           { return point{p.x + q.x, p.y + q.y} }
func (p point) sub(q point) point           { return point{p.x - q.x, p.y - q.y} }
func (p point) times(k float64) point       { return point{p.x * k, p.y * k} }
func (p point) toward(q point) (unit point) { return q.sub(p).unit() }

// ballSpot is where the ball lies at the snap, on the field's own measure: on the yard
// line the play names, "own 25" or "opp 46" as the offence sees it, at its hash mark.
// A play that names none starts at midfield.
func ballSpot(p *tags.Play) point {
	spot := point{fieldWidth / 2, fieldLength / 2}
	if side, yards, ok := strings.Cut(p.YardLine, " "); ok {
		if n, err := strconv.Atoi(yards); err == nil {
			spot.y = float64(3 * n)
			if side == "opp" {
				spot.y = fieldLength - spot.y
			}
		}
	}
	switch p.Hash {
	case "left":
		spot.x = hashes[fieldOf(p.Game)]
	case "right":
		spot.x = fieldWidth - hashes[fieldOf(p.Game)]
	}
	return spot
}

func fieldOf(g *tags.Game) string {
	if _, ok := hashes[g.Field]; ok {
		return g.Field
	}
	return "high-school"
}
