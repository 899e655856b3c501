package page

// Boilerplate is what every page of this program says, whatever it is about: its words tell
// of nobody.
func Boilerplate() string { return headHTML + reelHTML + reelScript + practiceHTML + statsHTML }
