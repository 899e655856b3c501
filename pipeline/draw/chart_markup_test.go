package draw

import (
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"trenchcut/tags/report"
	"trenchcut/tags/stats"
)

// markupParts is every element that a chart is made of, and its attributes. None of them
// runs, links or fetches (SVG 1.1, chapters 5, 8, 9, 10 and 21).
var markupParts = map[string][]string{
	"svg":      {"xmlns", "width", "height", "viewbox", "role", "aria-labelledby", "font-family"},
	"title":    {"id"},
	"desc":     {"id"},
	"metadata": {},
	"rect":     {"x", "y", "width", "height"},
	"path":     {"d", "stroke-dasharray"},
	"circle":   {"cx", "cy", "r"},
	"text":     {"x", "y", "font-size", "font-weight", "textlength", "lengthadjust"},
}

var markupPaint = []string{"fill", "fill-opacity", "stroke", "stroke-opacity", "stroke-width"}

// FuzzMarkup reads charts of any labels as a browser does, with the parser of golang.org/x/net
// (the HTML standard's own algorithm): the page around stays whole, and within the chart are
// only the elements and attributes that this package writes.
func FuzzMarkup(f *testing.F) {
	for _, s := range []string{
		"bull", "</title><script>alert(1)</script>", "</desc></svg><img src=x onerror=alert(1)>", `" onload="alert(1)`, "' style='x",
		"<![CDATA[<script>]]>", "]]></text><a href=javascript:1>", "--><script>", "&lt;script&gt;", "&#x3c;script>", "\x00<b>", "\u202e<i>", "\xff\xfe<u>",
		"<!--", "</metadata><style>*{}</style>", "<foreignObject><p>", "</p></body></html>", "<table><tr>", "`${1}`", "url(#a)", "\u2028<script>",
	} {
		f.Add(s, s, s)
	}
	f.Fuzz(func(t *testing.T, title, name, small string) {
		charts := []report.Chart{
			report.Bars{Title: title, Lines: []string{small}, Small: []string{small}, Shares: []stats.Share{
				{Name: name, Count: stats.Count{K: 3, N: 9}, Low: .1, High: .7, Bar: true}, {Name: name, Count: stats.Count{K: 1, N: 2}},
			}},
			report.Points{Title: title, Lines: []string{small}, Signed: true, Rows: []report.Point{pointOf(name, small, .1, -.2, .3), {Name: small, Count: name}}},
			report.Weeks{Title: title, Small: []string{small}, Groups: []report.WeeksOf{{Name: name, Weeks: []report.DatedShare{dated("2026-09-04", small, 3, 9), dated("2026-09-11", name, 1, 2)}}}},
			report.Curves{Title: title, Small: []string{small}, Limit: 2.5, Bands: true, Curves: []report.Curve{
				{Name: name, N: 6, Steps: []report.Step{{At: 1, Beaten: 3, Holds: .5, Low: .1, High: .8}}, Censored: []float64{2, 2, 3}}, {Name: small, N: 0},
			}},
			report.Strip{Title: title, Rows: []report.StripRow{{Name: name, Times: []float64{.1, .2}}}, Group: report.Group{Name: small, Low: .1, Mean: .2, High: .3}},
			report.Portions{Title: title, Parts: []string{name, small}, Rows: []report.PortionsRow{{Name: name, Counts: []int{4, 5}}, {Name: small, Counts: []int{1, 0}}}},
		}
		for _, c := range charts {
			s, err := Chart(c, Phone, PaperLook(look(t)))
			if err != nil {
				continue // a title of nothing, say
			}
			m, err := s.Markup()
			if err != nil {
				t.Fatal(err)
			}
			checkMarkup(t, string(m.HTML()))
		}
	})
}

func checkMarkup(t *testing.T, svg string) {
	t.Helper()
	doc, err := html.Parse(strings.NewReader("<!doctype html><body><div>" + svg + "</div><p>behind</p></body>"))
	if err != nil {
		t.Fatal(err)
	}
	var elements []string
	var walk func(n *html.Node, within bool)
	walk = func(n *html.Node, within bool) {
		switch n.Type {
		case html.ElementNode:
			within = within || n.Data == "svg"
			if !within {
				elements = append(elements, n.Data)
			} else {
				checkElement(t, n)
			}
		case html.CommentNode:
			t.Errorf("a comment: %q in %s", n.Data, svg)
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c, within)
		}
	}
	walk(doc, false)
	if want := []string{"html", "head", "body", "div", "p"}; !slices.Equal(elements, want) {
		t.Errorf("the page around is %v, want %v: %s", elements, want, svg)
	}
}

func checkElement(t *testing.T, n *html.Node) {
	t.Helper()
	attributes, known := markupParts[n.Data]
	if !known || n.Namespace != "svg" {
		t.Errorf("element %q of %q", n.Data, n.Namespace)
	}
	for _, a := range n.Attr {
		name := strings.ToLower(a.Key)
		if a.Namespace != "" || !slices.Contains(attributes, name) && !slices.Contains(markupPaint, name) {
			t.Errorf("element %q has the attribute %q", n.Data, a.Key)
		}
		if strings.Contains(a.Val, "url(") {
			t.Errorf("element %q points elsewhere: %q", n.Data, a.Val)
		}
	}
}

// The test above can fail.
func TestCheckMarkupCanFail(t *testing.T) {
	for _, svg := range []string{
		`<svg onload="x"></svg>`, `<svg><script></script></svg>`, `<svg><rect style="x"/></svg>`, `<svg></svg><b></b>`, `<svg><rect fill="url(#a)"/></svg>`,
	} {
		quiet := &testing.T{}
		checkMarkup(quiet, svg)
		if !quiet.Failed() {
			t.Errorf("%s passes", svg)
		}
	}
}
