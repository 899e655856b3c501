package page

import (
	"bytes"
	"crypto/sha256"
	_ "embed" // the page's parts
	"encoding/base64"
	"encoding/xml"
	"errors"
	"fmt"
	"html/template"
	"io"
	"net/url"
	"slices"
	"strings"
)

var (
	//go:embed head.html
	headHTML string // of every page
	//go:embed reel.html
	reelHTML string
	//go:embed page.css
	pageStyle string // of every page
	//go:embed reel.css
	reelOwnStyle string
	//go:embed reel.js
	reelScript string
)

var (
	reelTemplate = templateOf(reelHTML)
	reelStyle    = pageStyle + reelOwnStyle
)

func templateOf(text string) *template.Template {
	return template.Must(template.New("page").Funcs(template.FuncMap{"plain": plain}).Parse(headHTML + text))
}

// policy lets a browser use a page's own style, and fetch nothing (W3C Content Security
// Policy Level 3).
func policy(style string) string {
	return fmt.Sprintf("default-src 'none'; style-src '%s'; base-uri 'none'; form-action 'none'", hash(style))
}

// reelPolicy lets it run the page's own script as well, and play the film beside it.
var reelPolicy = fmt.Sprintf("%s; media-src 'self' file: data:; script-src '%s'", policy(reelStyle), hash(reelScript))

func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// head is what stands at the head of every page.
type head struct {
	Mark   template.HTML
	Policy string
	Style  template.CSS
}

func headOf(mark, policy, style string) head {
	return head{template.HTML(mark), policy, template.CSS(style)}
}

// HTML is the page, whole: all but the film is inside it.
func (p *Page) HTML() ([]byte, error) {
	return written(reelTemplate, struct {
		*Page
		head
		Script template.JS
	}{p, headOf(htmlMark, reelPolicy, reelStyle), template.JS(reelScript)})
}

func written(t *template.Template, page any) ([]byte, error) {
	var b bytes.Buffer
	if err := t.Execute(&b, page); err != nil {
		return nil, fmt.Errorf("write the page: %w", err)
	}
	return b.Bytes(), nil
}

// escapePath is a file's name as part of a link (RFC 3986, section 3.3).
func escapePath(name string) string { return url.PathEscape(name) }

// Address is the reel's file as a link that holds wherever page and reel lie together.
func (p *Page) Address() template.URL { return template.URL("./" + escapePath(p.Video)) }

// svgParts is all that a chart is made of; nothing in it runs, links or fetches.
var svgParts = map[string][]string{
	"svg":      {"xmlns", "width", "height", "viewBox", "role", "aria-labelledby", "font-family"},
	"title":    {"id"},
	"desc":     {"id"},
	"metadata": nil,
	"rect":     {"x", "y", "width", "height"},
	"path":     {"d", "stroke-dasharray"},
	"circle":   {"cx", "cy", "r"},
	"text":     {"x", "y", "font-size", "font-weight", "textLength", "lengthAdjust"},
}

// paint is attributes of any shape.
var paint = []string{"fill", "fill-opacity", "stroke", "stroke-opacity", "stroke-width"}

const svgSpace = "http://www.w3.org/2000/svg"

// Draw puts an SVG chart beside a table.
func (t *Table) Draw(svg []byte) (err error) {
	t.Chart, err = chartOf(t.Title, svg)
	return err
}

// chartOf is an SVG chart as part of a page. It goes in as it is, so it is read first: it
// must be whole, and of shapes and words only.
func chartOf(title string, svg []byte) (template.HTML, error) {
	d := xml.NewDecoder(bytes.NewReader(svg))
	roots, depth := 0, 0
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return "", fmt.Errorf("chart of %s: %w", title, err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			if err := drawable(token, depth); err != nil {
				return "", fmt.Errorf("chart of %s: %w", title, err)
			}
			if depth == 0 {
				roots++
			}
			depth++
		case xml.EndElement:
			depth--
		case xml.CharData:
			if depth == 0 && len(bytes.TrimSpace(token)) > 0 {
				return "", fmt.Errorf("chart of %s: there is text outside of it", title)
			}
		default:
			return "", fmt.Errorf("chart of %s: there is more in it than elements and text", title)
		}
	}
	if roots != 1 {
		return "", fmt.Errorf("chart of %s: it is %d pictures, not one", title, roots)
	}
	return template.HTML(svg), nil
}

func drawable(e xml.StartElement, depth int) error {
	attributes, known := svgParts[e.Name.Local]
	if !known || e.Name.Space != svgSpace || (e.Name.Local == "svg") != (depth == 0) {
		return fmt.Errorf("it holds the element %q", e.Name.Local)
	}
	for _, a := range e.Attr {
		if a.Name.Space != "" || !slices.Contains(attributes, a.Name.Local) && !slices.Contains(paint, a.Name.Local) {
			return fmt.Errorf("its element %q holds the attribute %q", e.Name.Local, a.Name.Local)
		}
		if strings.Contains(a.Value, "url(") {
			return fmt.Errorf("its element %q points elsewhere", e.Name.Local)
		}
	}
	return nil
}
