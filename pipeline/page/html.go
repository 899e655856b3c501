package page

import (
	"bytes"
	"crypto/sha256"
	_ "embed" // the page's parts
	"encoding/base64"
	"fmt"
	"html/template"
	"net/url"

	"trenchcut/tags"
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
	return template.Must(template.New("page").Funcs(template.FuncMap{"plain": plain, "class": class, "marked": marked, "marks": marksOf, "rate": cardRate, "spoken": tags.Spoken}).Parse(headHTML + text))
}

// policy lets a browser use a page's own style, and fetch nothing (W3C Content Security
// Policy Level 3).
func policy(style string) string {
	return fmt.Sprintf("default-src 'none'; style-src '%s'; base-uri 'none'; form-action 'none'", hash(style))
}

// reelPolicy lets it run the page's own script as well, and play the film beside it.
var reelPolicy = fmt.Sprintf("%s; img-src data:; media-src 'self' file: data:; script-src '%s'", policy(reelStyle), hash(reelScript))

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
