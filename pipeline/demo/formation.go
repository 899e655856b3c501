package demo

// Where men stand before the snap, in feet from the ball (common practice; splits of two
// feet between linemen).
const (
	split    = 4.3  // centre to centre of two linemen
	onLine   = -1.9 // of an offensive lineman; the centre's is a little nearer
	offBall  = 1.9  // of a defensive lineman
	radius   = 1.5  // of a man's disc
	touching = 2*radius + 0.05
)

// linemen is where each position of the line stands.
var linemen = map[string]point{
	"LT": {-2 * split, onLine - 0.5}, "LG": {-split, onLine - 0.2}, "C": {0, onLine},
	"RG": {split, onLine - 0.2}, "RT": {2 * split, onLine - 0.5},
}

// lineOrder is the line from left to right.
var lineOrder = []string{"LT", "LG", "C", "RG", "RT"}

// aligns is how far from the ball each alignment stands: head up on a man for even
// numbers, on his outside shoulder for odd ones, inside shoulder for those with an i.
var aligns = map[string]float64{
	"0": 0, "1": 1.3, "2i": 3.2, "2": split, "3": 5.6, "4i": 7.5, "4": 2 * split, "5": 10,
	"wide-5": 11.4, "7": 11.8, "6": 3 * split, "9": 14.6, "8": 15.8, "wide-9": 17.4,
}

// end is where a tight end stands on the right, and wing where he stands wide to chip.
var (
	end  = point{3 * split, onLine - 0.5}
	wing = point{19, onLine - 1}
)

// shift is where a set takes a blocker by when, for a man on the right: a tackle, and
// someone inside him, who has less room.
type shift struct {
	by     float64
	tackle point
	inside point
}

var sets = map[string]shift{
	"vertical": {1.25, point{0.6, -8.5}, point{0.2, -4.6}},
	"angle":    {1.05, point{4.6, -4.6}, point{2.4, -2.4}},
	"short":    {0.50, point{1.2, -1.8}, point{0.5, -1.4}},
	"jump":     {0.40, point{1.0, 1.1}, point{0.4, 1.0}},
	"overset":  {1.00, point{8.2, -3.6}, point{3.4, -1.6}},
}
