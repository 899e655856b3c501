package desk_test

import (
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/pipeline/desk"
)

// visitor is who asks the server, with the cookie of the page or without.
type visitor struct {
	*http.Client
	t    *testing.T
	base string // http://127.0.0.1:4711
}

// visit is a visitor who opened an address.
func visit(t *testing.T, address string) *visitor {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	v := &visitor{&http.Client{Jar: jar}, t, "http://" + u.Host}
	resp, err := v.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	_ = resp.Body.Close()
	return v
}

// ask sends a request as given, its path as it is written.
func (v *visitor) ask(method, path, body string, header map[string]string) (status int, said string, h http.Header) {
	v.t.Helper()
	r, err := http.NewRequest(method, v.base+"/", strings.NewReader(body))
	if err != nil {
		v.t.Fatal(err)
	}
	before, query, _ := strings.Cut(path, "?")
	r.URL.Opaque, r.URL.RawQuery = before, query
	for name, value := range header {
		r.Header.Set(name, value)
		if name == "Host" {
			r.Host = value
		}
	}
	for _, c := range v.Jar.Cookies(&url.URL{Scheme: "http", Host: strings.TrimPrefix(v.base, "http://"), Path: "/"}) {
		if header["Cookie"] == "" {
			r.AddCookie(c)
		}
	}
	resp, err := v.Transport().RoundTrip(r)
	if err != nil {
		v.t.Fatal(err)
	}
	data, err := io.ReadAll(io.LimitReader(resp.Body, 1<<20))
	if err := errors.Join(err, resp.Body.Close()); err != nil {
		v.t.Fatal(err)
	}
	return resp.StatusCode, string(data), resp.Header
}

// Transport is one without redirects and cookies of its own.
func (v *visitor) Transport() http.RoundTripper { return http.DefaultTransport }

func TestGuard(t *testing.T) {
	game := season(t, demoGame(t), map[string]string{"wk1-harbor-endzone.mp4": film(t, 60, ntsc)})
	secretFile := filepath.Join(filepath.Dir(game), "roster.txt")
	if err := os.WriteFile(secretFile, []byte("a minor's address"), 0o666); err != nil {
		t.Fatal(err)
	}
	s := serve(t, desk.Request{Game: game})
	v := visit(t, s.Address())
	origin := v.base
	host := strings.TrimPrefix(origin, "http://")
	page := map[string]string{"Origin": origin, "Content-Type": "application/json", "Sec-Fetch-Site": "same-origin"}
	with := func(name, value string) map[string]string {
		h := map[string]string{name: value}
		for k, was := range page {
			if _, own := h[k]; !own {
				h[k] = was
			}
		}
		return h
	}
	without := func(name string) map[string]string {
		h := with(name, "")
		delete(h, name)
		return h
	}
	act := `{"desk":{"pass":"plays","play":3},"act":{"do":"take","field":"down","text":"2","at":{"angle":"","frame":0}}}`
	before, err := os.ReadFile(game)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		method, path, body string
		header             map[string]string
		want               int
	}{
		"no cookie":                  {"GET", "/", "", map[string]string{"Cookie": "x=y"}, 403},
		"a wrong cookie":             {"GET", "/", "", map[string]string{"Cookie": "marking-" + host[strings.Index(host, ":")+1:] + "=x"}, 403},
		"a wrong token":              {"GET", "/?token=x", "", map[string]string{"Cookie": "x=y"}, 403},
		"no token":                   {"GET", "/?token=", "", map[string]string{"Cookie": "x=y"}, 403},
		"act without a cookie":       {"POST", "/act", act, with("Cookie", "x=y"), 403},
		"a turned name":              {"GET", "/", "", map[string]string{"Host": "film.example:" + host[strings.Index(host, ":")+1:]}, 403},
		"a turned name, act":         {"POST", "/act", act, with("Host", "film.example"), 403},
		"another page acts":          {"POST", "/act", act, with("Origin", "https://film.example"), 403},
		"a page of nobody":           {"POST", "/act", act, with("Origin", "null"), 403},
		"another port's page":        {"POST", "/act", act, with("Origin", "http://127.0.0.1:1"), 403},
		"no origin":                  {"POST", "/act", act, without("Origin"), 403},
		"a form":                     {"POST", "/act", act, with("Content-Type", "text/plain"), 403},
		"another site":               {"POST", "/act", act, with("Sec-Fetch-Site", "cross-site"), 403},
		"another site's picture":     {"GET", "/film/film.js", "", map[string]string{"Sec-Fetch-Site": "cross-site"}, 403},
		"another port's script":      {"GET", "/page.js", "", map[string]string{"Sec-Fetch-Site": "same-site"}, 403},
		"an act by GET":              {"GET", "/act", "", nil, 405},
		"no JSON":                    {"POST", "/act", "down=2", page, 400},
		"more than a page sends":     {"POST", "/act", `{"desk":{"said":"` + strings.Repeat("x", 1<<20) + `"}}`, page, 400},
		"what is no field of a desk": {"POST", "/act", `{"desk":{"file":"/etc/passwd"}}`, page, 400},
		"a file beside":              {"GET", "/roster.txt", "", nil, 404},
		"the tag file":               {"GET", "/wk1.game.yaml", "", nil, 404},
		"a file above":               {"GET", "/../roster.txt", "", nil, 404},
		"a file above, escaped":      {"GET", "/%2e%2e/%2e%2e/etc/passwd", "", nil, 404},
		"a film above":               {"GET", "/film/../roster.txt", "", nil, 404},
		"a film above, escaped":      {"GET", "/film/..%2f..%2froster.txt", "", nil, 404},
		"a film by its path":         {"GET", "/film/" + url.PathEscape(secretFile) + "/film.mp4", "", nil, 404},
		"a film by its name":         {"GET", "/film/wk1-harbor-endzone.mp4/film.mp4", "", nil, 404},
		"backslashes":                {"GET", `/film/..\..\roster.txt`, "", nil, 404},
	} {
		status, said, h := v.ask(c.method, c.path, c.body, c.header)
		if status/100 == 3 { // a cleaned path, which is asked for again
			status, said, h = v.ask(c.method, h.Get("Location"), c.body, c.header)
		}
		if status != c.want {
			t.Errorf("%s: status %d, want %d: %.80s", name, status, c.want, said)
		}
		if strings.Contains(said, "minor's address") || strings.Contains(said, "root:") || strings.Contains(said, "Marlow") {
			t.Errorf("%s: the answer tells what it must not: %.200s", name, said)
		}
		if policy := h.Get("Content-Security-Policy"); !strings.HasPrefix(policy, "default-src 'none'; script-src 'self'") || h.Get("X-Content-Type-Options") != "nosniff" || h.Get("Cache-Control") != "no-store" {
			t.Errorf("%s: headers %v", name, h)
		}
	}
	after, err := os.ReadFile(game)
	if err != nil {
		t.Fatal(err)
	}
	if string(after) != string(before) {
		t.Fatal("a refused request changed the game")
	}
	// And who may, may.
	status, said, _ := v.ask("POST", "/act", act, page)
	var got struct{ Desk struct{ Wrong bool } }
	if err := json.Unmarshal([]byte(said), &got); err != nil || status != 200 || got.Desk.Wrong {
		t.Errorf("status %d, %.200s", status, said)
	}
	if after, _ = os.ReadFile(game); !strings.Contains(string(after), "    down: 2\n    distance: 10\n") {
		t.Error("the act is not in the file")
	}
	if !strings.HasPrefix(s.Address(), "http://127.0.0.1:") {
		t.Errorf("it listens at %s", s.Address())
	}
	if len(s.Missing) != 0 && !strings.Contains(s.Missing[0], "sideline") {
		t.Errorf("missing film: %v", s.Missing)
	}
}
