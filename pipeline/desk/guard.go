package desk

import (
	"crypto/subtle"
	"crypto/tls"
	"net"
	"net/http"
	"slices"
	"strings"
)

// tokenKey names the token in the address of the page.
const tokenKey = "token"

// guard decides who may ask.
type guard struct {
	scheme      string
	hosts       []string // all that may be asked for, the first of which the address has: 127.0.0.1:4711
	reached     int      // how many of hosts others reach, the first ones; on this computer alone 1
	token       string   // in the address, for whoever opens the page
	cookie      string   // its name: ports of one host share their cookies
	held        string   // what the cookie holds
	tls         *tls.Config
	fingerprint string // of the certificate
}

// newGuard guards a server that listens at addr; on the network where lan is.
func newGuard(addr net.Addr, lan bool) (*guard, error) {
	_, port, err := net.SplitHostPort(addr.String())
	if err != nil {
		return nil, err
	}
	g := &guard{scheme: "http", token: secret(), cookie: "marking-" + port, held: secret(), reached: 1}
	names := []string{loopback, "localhost"}
	if lan {
		addresses, err := ownAddresses()
		if err != nil {
			return nil, err
		}
		names, g.reached = append(addresses, names...), len(addresses)
		g.scheme = "https"
		if g.tls, g.fingerprint, err = selfMade(names); err != nil {
			return nil, err
		}
	}
	for _, name := range names {
		g.hosts = append(g.hosts, net.JoinHostPort(name, port))
	}
	return g, nil
}

// addresses is where the page is opened, an address for each network.
func (g *guard) addresses() []string {
	list := make([]string, g.reached)
	for i, host := range g.hosts[:g.reached] {
		list[i] = g.scheme + "://" + host + "/?" + tokenKey + "=" + g.token
	}
	return list
}

// policy is what the page may load and whom it may ask: this server alone.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; media-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// protect answers for next where the guard lets pass.
func (g *guard) protect(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if refusal := g.refusal(r); refusal != "" {
			http.Error(w, refusal, http.StatusForbidden)
			return
		}
		if r.URL.Path == "/" && r.Method == http.MethodGet && same(r.URL.Query().Get(tokenKey), g.token) {
			http.SetCookie(w, &http.Cookie{Name: g.cookie, Value: g.held, Path: "/", HttpOnly: true, Secure: g.tls != nil, SameSite: http.SameSiteStrictMode})
			http.Redirect(w, r, "/", http.StatusSeeOther)
			return
		}
		if held, err := r.Cookie(g.cookie); err != nil || !same(held.Value, g.held) {
			http.Error(w, "open the address that trenchcut mark printed", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// refusal is why a request is refused, whoever sends it; empty where it is not.
func (g *guard) refusal(r *http.Request) string {
	if !slices.Contains(g.hosts, r.Host) { // a name that was turned on this computer
		return "this is not the host that was asked for"
	}
	origin := r.Header.Get("Origin")
	if origin != "" && origin != g.scheme+"://"+r.Host {
		return "another page asks"
	}
	switch site := r.Header.Get("Sec-Fetch-Site"); site {
	case "", "same-origin":
	case "none": // an address that was typed or opened
		if r.Method != http.MethodGet {
			return "another page asks"
		}
	default:
		return "another page asks"
	}
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		if origin == "" {
			return "it is not said which page asks"
		}
		if kind, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";"); kind != "application/json" {
			return "want application/json"
		}
	}
	return ""
}

// same compares secrets in a time that tells nothing of them.
func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }
