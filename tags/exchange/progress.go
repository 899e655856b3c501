package exchange

// Stage is a stage of an import, which may take long where the sheet is large.
type Stage string

// The stages, in their order.
const (
	openingSheet Stage = "opening the sheet"
	readingRows  Stage = "reading rows"
	mergingPlays Stage = "merging plays"
	checkingTags Stage = "checking the tag file"
)

// Progress is told how much of a stage is done, in rows or plays; opening and checking are one
// step each. It is called on one goroutine. A nil Progress is told nothing.
type Progress func(stage Stage, done, total int)

func (p Progress) tell(stage Stage, done, total int) {
	if p != nil {
		p(stage, done, total)
	}
}
