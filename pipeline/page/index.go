package page

import (
	_ "embed" // the page's parts
	"fmt"
	"html/template"
	"path/filepath"

	"trenchcut/tags"
)

var (
	//go:embed index.html
	indexHTML string
	//go:embed index.css
	indexOwnStyle string
)

var (
	indexTemplate = templateOf(indexHTML)
	indexStyle    = pageStyle + indexOwnStyle
	indexPolicy   = policy(indexStyle) + "; media-src 'self' file:"
)

// Index is the page of a folder: the reels in it, each with what lies beside it.
type Index struct {
	Title string
	Says  []string
	Reels []IndexReel
}

// IndexReel is one reel of an [Index].
type IndexReel struct {
	Title  string
	Length string
	Watch  template.URL // the page that plays it, or the reel
	Still  template.URL // a moment of the reel that stands for it: its title
	More   []IndexLink
}

// IndexLink is a file beside a reel.
type IndexLink struct {
	Name, Of string
	Link     template.URL
}

// BesideReel is the names of the files that lie with a reel: the reel itself, and what is beside it;
// those that are not there are empty.
type BesideReel struct{ Video, Page, Practice, PDF, Contact string }

// titleStands is the second of a reel that shows its title whole.
const titleStands = 2

// Add puts a reel into the index.
func (x *Index) Add(title string, length tags.Time, lies BesideReel) {
	link := func(name string) template.URL { return template.URL("./" + escapePath(filepath.ToSlash(name))) }
	title = plain(title)
	r := IndexReel{Title: title, Length: Clock(length), Watch: link(lies.Video)}
	r.Still = r.Watch + template.URL(fmt.Sprintf("#t=%d", titleStands))
	if lies.Page != "" {
		r.Watch = link(lies.Page)
	}
	for _, l := range []struct{ name, file string }{
		{"Practice sheet", lies.Practice}, {"To print", lies.PDF}, {"Contact sheet", lies.Contact}, {"The film alone", lies.Video},
	} {
		if l.file != "" {
			r.More = append(r.More, IndexLink{l.name, title, link(l.file)})
		}
	}
	x.Reels = append(x.Reels, r)
}

// HTML is the page, whole.
func (x *Index) HTML() ([]byte, error) {
	return written(indexTemplate, struct {
		*Index
		head
	}{x, headOf(htmlMark, indexPolicy, indexStyle)})
}
