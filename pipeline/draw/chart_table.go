package draw

// entry is one row of a chart made of rows, in words.
type entry struct {
	name, count, figure string // figure is what the marks say, or why there are none
}

// table lays out rows: name and count, a track for marks and the figure, all in one row;
// on a narrow page the words stand above the track.
type table struct {
	b           *board
	entries     []entry
	name, count int // widths
	x0, x1      int // of the tracks
	lead, gap   int // heights in a row: above the track, and below all
	spare
}

// spare is the heights a table leaves for what is not its own: a track and a line under
// it, in each row, a key above all and a scale below.
type spare struct{ track, under, above, below int }

func (b *board) table(entries []entry, n int, heights spare) *table {
	t := &table{b: b, spare: heights}
	f := b.face(b.line)
	room := b.right - b.left
	names, counts, figures := make([]string, n), make([]string, n), make([]string, n)
	for i, e := range entries[:n] {
		names[i], counts[i], figures[i] = e.name, e.count, e.figure
	}
	t.count = widest(f, counts)
	figure := widest(f, figures)
	// Half the room of the last tick's number may reach past the track.
	past := 0
	if t.below > 0 {
		past = b.face(b.small).width("100 %")/2 + 1
	}
	if b.wide {
		names = shorten(f, names, room*3/10)
		t.name = widest(f, names)
		t.x0 = b.left + t.name + b.line + t.count + b.line
		t.x1 = b.right - max(figure+b.line, past)
		t.track = max(t.track, f.spacing())
		t.gap = b.line / 4
	} else {
		t.x0, t.x1 = b.left+past, b.right-past
		for i := range names {
			if figures[i] != "" {
				counts[i] += " · " + figures[i]
			}
		}
		names = shortenEach(f, names, func(i int) int { return max(room-f.width(counts[i])-b.line, room/4) })
		t.lead = f.spacing()
		t.gap = b.line * 2 / 3
	}
	for i := range n {
		t.entries = append(t.entries, entry{names[i], counts[i], figures[i]})
	}
	return t
}

func (t *table) row() int { return t.lead + t.track + t.under + t.gap }

// filling draws a table's parts. rules are what runs through all tracks, behind the marks; on
// a narrow page it stops at each row's words.
type filling struct {
	above func(y int)
	rules func(y0, y1 int)
	scale func(y int)
	track func(i int, at box)
}

// body is the table, filled.
func (t *table) body(fill filling) body {
	n := len(t.entries)
	least := t.above + t.below + n*t.row()
	b := t.b
	return body{least, least + n*b.line/3, func(y0, y1 int) {
		// What is left over goes into the rows, to a point: too far apart they do not compare.
		row := t.row() + min((y1-y0-least)/max(n, 1), t.row())
		fat := min(t.track+(row-t.row())/2, t.track*7/4)
		top := y0 + t.above
		bottom := top + n*row
		fill.above(y0)
		fill.scale(bottom)
		tracks := make([]box, n)
		for i := range n {
			y := top + i*row + (row-t.row()-fat+t.track+t.gap)/2 + t.lead
			tracks[i] = box{float64(t.x0), float64(y), float64(t.x1), float64(y + fat)}
			if !b.wide {
				fill.rules(y, y+fat+t.gap/4)
			}
		}
		if b.wide {
			fill.rules(top, bottom)
		}
		f := b.face(b.line)
		for i, e := range t.entries {
			if y := int(tracks[i].middle()) - f.spacing()/2; b.wide {
				b.write(b.left, y, f, e.name, b.colours.ink)
				b.writeEnd(b.left+t.name+b.line+t.count, y, f, e.count, b.colours.ink)
				b.writeEnd(b.right, y, f, e.figure, b.colours.ink)
			} else {
				y = int(tracks[i].y0) - t.lead
				b.write(b.left, y, f, e.name, b.colours.ink)
				b.writeEnd(b.right, y, f, e.count, b.colours.ink)
			}
			fill.track(i, tracks[i])
		}
	}}
}

// tick is a place on a scale and its number.
type tick struct {
	x     float64
	label string
}

// rules draws a thin upright line at each tick.
func (b *board) rules(ticks []tick, y0, y1 int) {
	for _, t := range ticks {
		b.add(line(guide, t.x, float64(y0), t.x, float64(y1), b.thin(), b.colours.hair()))
	}
}

// scale writes the ticks' numbers below y.
func (b *board) scale(ticks []tick, y int) {
	f := b.face(b.small)
	for _, t := range ticks {
		b.writeMiddle(int(t.x+.5), y+b.small/4, f, t.label, b.colours.quiet)
	}
}

// scaleHeight is the room that scale needs.
func (b *board) scaleHeight() int { return b.small/4 + b.face(b.small).spacing() }
