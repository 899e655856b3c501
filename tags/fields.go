package tags

// A plain field of a play or a rep is added here: in its struct, and in the register below
// the struct. A word of the vocabulary wants a list in templates/vocabulary.yaml as well.

// Play is one play; it may stand with no rep tagged.
type Play struct {
	Game   *Game
	Pos    Pos
	Number int

	Type       string
	Unit       string
	Series     *int
	Quarter    *int
	Clock      string // as written, "11:32"
	Down       *int
	Distance   *int
	YardLine   string
	Hash       string
	Strength   string
	Personnel  string
	Front      string
	Call       string
	Coverage   string
	Protection string
	Rushers    *int   // how many rushed the passer, blitzers among them
	Blitz      string // "yes" or "no"
	Passer     *Person
	BallGone   string            // yes or no, where a staff says it; see [Play.BallOut]
	Extra      map[string]string // a staff's own columns

	Marks Marks
	Reps  []*Rep

	in, out *Instant
	angles  []angle
	timed   bool // in or an angle was written, be it right or wrong
}

// PlayFields is the plain fields of a play, in the order of the keys in a tag file.
var PlayFields = []*Field[Play]{
	{Name: "play", Kind: KindWhole, Least: 1, Most: MaxPlays, Doc: "number of the play in its game", Headings: "no playno playnum playnumber playnr", At: func(p *Play) any { return &p.Number }},
	{Name: "type", Kind: KindWord, Wanted: true, Doc: "type of play: dropback, screen, run …", Headings: "playtype", Label: "%s", At: func(p *Play) any { return &p.Type }},
	{Name: "unit", Kind: KindWord, Doc: "defense, offense or special-teams", At: func(p *Play) any { return &p.Unit }},
	{Name: "series", Kind: KindWhole, Least: 1, Most: 99, Doc: "number of the series in its game", Headings: "drive", At: func(p *Play) any { return &p.Series }},
	{Name: "quarter", Kind: KindWhole, Wanted: true, Least: 1, Most: 9, Doc: "quarter; overtime is 5 and up", Headings: "qtr period", At: func(p *Play) any { return &p.Quarter }},
	{Name: "clock", Kind: KindClock, Wanted: true, Doc: "time left in the quarter", Headings: "time gameclock timeleft timeremaining clk", At: func(p *Play) any { return &p.Clock }},
	{Name: "down", Kind: KindWhole, Wanted: true, Least: 1, Most: 4, Doc: "down, 1 to 4", Headings: "dn", At: func(p *Play) any { return &p.Down }},
	{Name: "distance", Kind: KindWhole, Wanted: true, Least: 1, Most: 99, Doc: "yards to go", Headings: "dist togo yardstogo ydstogo ytg", At: func(p *Play) any { return &p.Distance }},
	{Name: "yard-line", Kind: KindText, Doc: "yard line as the staff writes it", Headings: "yard yardln ydline ydln los ballon spot", At: func(p *Play) any { return &p.YardLine }},
	{Name: "hash", Kind: KindWord, Doc: "hash the ball is on, as the offense faces", Headings: "hashmark", Label: "%s hash", At: func(p *Play) any { return &p.Hash }},
	{Name: "strength", Kind: KindWord, Doc: "the offense's strong side, as the defense sees it", Headings: "str strongside", At: func(p *Play) any { return &p.Strength }},
	{Name: "personnel", Kind: KindText, Doc: "offensive personnel", Headings: "pers", Label: "%s personnel", At: func(p *Play) any { return &p.Personnel }},
	{Name: "front", Kind: KindText, Doc: "front we line up in", Headings: "defensivefront deffront", Label: "%s", At: func(p *Play) any { return &p.Front }},
	{Name: "call", Kind: KindText, Doc: "our call", Headings: "defensivecall defcall", Label: "%s", At: func(p *Play) any { return &p.Call }},
	{Name: "coverage", Kind: KindWord, Doc: "the pass coverage we play behind the rush", Headings: "cov passcoverage", Label: "%s", At: func(p *Play) any { return &p.Coverage }},
	{Name: "protection", Kind: KindWord, Doc: "how they protect", Headings: "prot passprotection", Label: "%s protection", At: func(p *Play) any { return &p.Protection }},
	{Name: "number-of-rushers", Kind: KindWhole, Least: 0, Most: 11, Doc: "how many rushed the passer", Headings: "rushers rushercount", At: func(p *Play) any { return &p.Rushers }},
	{Name: "blitz", Kind: KindWord, Doc: "whether somebody beyond the front rushed: yes or no", At: func(p *Play) any { return &p.Blitz }},
	{Name: "qb", Kind: KindPerson, Doc: "the quarterback", Headings: "passer quarterback", At: func(p *Play) any { return &p.Passer }},
	{Name: "ball-out", Kind: KindYesNo, Doc: "the ball was out before a rush gets there; where it is not tagged, the time of release tells", At: func(p *Play) any { return &p.BallGone }},
}

// Rep is one player's one play.
type Rep struct {
	Play *Play
	Pos  Pos

	Rusher *Person
	Job    string
	Align  string
	Side   string
	Stance string
	Gap    string

	Blocker   *Person
	Unblocked string // yes or no
	Set       string
	Hands     string
	Lean      string
	Help      string
	Block     string

	Stunt  string
	Called string

	Moves   []Move
	Counter string // "yes" or "no" where the staff overrules the computed fact
	Tells   []string
	Saw     []string
	Marks   Marks

	Battle  string
	Outcome string
	Did     []string
	Credit  string
	How     string
	Contain string
	Penalty string

	Assignment, Technique, Effort string
	Loaf, MissedAssignment        string // yes or no
	Taken                         string
	Note                          string // to the player
	Point                         string // to teach
	Praise                        string // whether note and point say what he did well: yes or no
	Model                         string // name of the rep to show beside it, where the staff chose one

	Spot map[string]Point // by angle, where he is at the snap
	Draw []Drawing

	in, out *Instant
	modelAt Pos    // of Model, where there is one
	assumed uint64 // a bit for each of RepFields that the game's assume filled
}

// The mappings within a rep that hold some of its fields.
const (
	underBlocker = "blocker"
	underGrade   = "grade"
)

// RepFields is the plain fields of a rep, in the order in which find tells them. A word on
// a one-line rep is that of the first field whose list has it.
var RepFields = []*Field[Rep]{
	{Name: "rusher", Kind: KindPerson, Doc: "whose rep it is", At: func(r *Rep) any { return &r.Rusher }},
	{Name: "job", Kind: KindWord, Doc: "what he had to do: rush, contain, spy …", OneLine: true, Label: "%s", At: func(r *Rep) any { return &r.Job }},
	{Name: "align", Kind: KindWord, Doc: "where he lined up: 3, 5, wide-9 …", OneLine: true, At: func(r *Rep) any { return &r.Align }},
	{Name: "side", Kind: KindWord, Doc: "the side he lines up on, as the defense sees it: left or right, strong or weak, field or boundary", OneLine: true, At: func(r *Rep) any { return &r.Side }},
	{Name: "stance", Kind: KindWord, Doc: "how he stood", At: func(r *Rep) any { return &r.Stance }},
	{Name: "gap", Kind: KindWord, Doc: "his gap, A to D", At: func(r *Rep) any { return &r.Gap }},
	{Name: "blocker", Key: "who", Under: underBlocker, Kind: KindPerson, Doc: "who blocked him", At: func(r *Rep) any { return &r.Blocker }},
	{Name: "unblocked", Kind: KindYesNo, Doc: "nobody blocked him", Absent: "no", At: func(r *Rep) any { return &r.Unblocked }},
	{Name: "set", Under: underBlocker, Kind: KindWord, Doc: "the pass set he met", OneLine: true, At: func(r *Rep) any { return &r.Set }},
	{Name: "hands", Under: underBlocker, Kind: KindWord, Doc: "the blocker's hands", Label: "%s hands", At: func(r *Rep) any { return &r.Hands }},
	{Name: "lean", Under: underBlocker, Kind: KindWord, Doc: "where the blocker leaned", At: func(r *Rep) any { return &r.Lean }},
	{Name: "help", Kind: KindWord, Doc: "the blocker's help; none where there was none", Absent: "none", OneLine: true, At: func(r *Rep) any { return &r.Help }},
	{Name: "block", Under: underBlocker, Kind: KindWord, Doc: "the run block he met", OneLine: true, At: func(r *Rep) any { return &r.Block }},
	{Name: "stunt", Kind: KindWord, Doc: "the stunt he was part of", OneLine: true, At: func(r *Rep) any { return &r.Stunt }},
	{Name: "called", Kind: KindWord, Doc: "who called the stunt", At: func(r *Rep) any { return &r.Called }},
	{Name: "tells", Kind: KindTexts, Doc: "what was there before and at the snap", At: func(r *Rep) any { return &r.Tells }},
	{Name: "saw", Kind: KindWords, Doc: "what he could see in the blocker", At: func(r *Rep) any { return &r.Saw }},
	{Name: "battle", Kind: KindWord, Doc: "him against his blocker: won, stalemate or lost", OneLine: true, Result: true, Priced: true, At: func(r *Rep) any { return &r.Battle }},
	{Name: "outcome", Kind: KindWord, Doc: "what his rep came to for the play", OneLine: true, Result: true, Priced: true, At: func(r *Rep) any { return &r.Outcome }},
	{Name: "did", Kind: KindWords, Doc: "what he did on the play: half-sack, tackle, batted, missed-tackle …", OneLine: true, Result: true, Priced: true, At: func(r *Rep) any { return &r.Did }},
	{Name: "credit", Kind: KindWord, Doc: "what the outcome is owed to", Result: true, Priced: true, At: func(r *Rep) any { return &r.Credit }},
	{Name: "how", Kind: KindWord, Doc: "how a run block was lost", Result: true, Priced: true, At: func(r *Rep) any { return &r.How }},
	{Name: "contain", Kind: KindWord, Doc: "whether he had contain, and kept or lost it", Result: true, Priced: true, At: func(r *Rep) any { return &r.Contain }},
	{Name: "penalty", Kind: KindWord, Doc: "the penalty on the rep", Result: true, Priced: true, At: func(r *Rep) any { return &r.Penalty }},
	{Name: "assignment", Under: underGrade, Kind: KindWord, List: "grade", Doc: "grade for assignment", Result: true, Priced: true, At: func(r *Rep) any { return &r.Assignment }},
	{Name: "technique", Under: underGrade, Kind: KindWord, List: "grade", Doc: "grade for technique", Result: true, Priced: true, At: func(r *Rep) any { return &r.Technique }},
	{Name: "effort", Under: underGrade, Kind: KindWord, List: "grade", Doc: "grade for effort", Result: true, Priced: true, At: func(r *Rep) any { return &r.Effort }},
	{Name: "loaf", Kind: KindYesNo, Doc: "he loafed", Result: true, Absent: "no", Priced: true, At: func(r *Rep) any { return &r.Loaf }},
	{Name: "missed-assignment", Kind: KindYesNo, Doc: "he missed his assignment", Result: true, Absent: "no", Priced: true, At: func(r *Rep) any { return &r.MissedAssignment }},
	{Name: "taken", Kind: KindWord, Doc: "the staff's own word on whether he took what he saw", Result: true, At: func(r *Rep) any { return &r.Taken }},
	{Name: "note", Kind: KindText, Doc: "note to the player", Result: true, At: func(r *Rep) any { return &r.Note }},
	{Name: "point", Kind: KindText, Doc: "coaching point", Result: true, At: func(r *Rep) any { return &r.Point }},
	{Name: "praise", Kind: KindYesNo, Doc: "note and point say what he did well, not what to do better", Result: true, At: func(r *Rep) any { return &r.Praise }},
	{Name: "model", Kind: KindText, Doc: "the rep the staff chose to show beside it, by its name: wk1-harbor-p022-91", Result: true, At: func(r *Rep) any { return &r.Model }},
}
