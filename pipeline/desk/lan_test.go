package desk_test

import (
	"crypto/sha256"
	"crypto/tls"
	"fmt"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strings"
	"testing"

	"trenchcut/pipeline/desk"
)

// On the network the page is served over TLS alone, by the certificate whose fingerprint is
// printed, to whoever has the token, and for this computer's own addresses only.
func TestLAN(t *testing.T) {
	game := season(t, demoGame(t), map[string]string{"wk1-harbor-endzone.mp4": film(t, 60, ntsc)})
	s, err := desk.Open(t.Context(), desk.Request{Game: game, LAN: true, ReadOnly: true})
	if err != nil {
		if strings.Contains(err.Error(), "on no network") {
			t.Skip(err)
		}
		t.Fatal(err)
	}
	serving(t, s)
	u, err := url.Parse(s.Address())
	if err != nil || u.Scheme != "https" || u.Hostname() == "127.0.0.1" {
		t.Fatalf("the address is %s, %v", s.Address(), err)
	}
	for _, other := range s.Others() {
		if o, err := url.Parse(other); err != nil || o.Scheme != "https" || o.Port() != u.Port() || o.Hostname() == u.Hostname() || o.RawQuery != u.RawQuery {
			t.Errorf("another address is %s (%v)", other, err)
		}
	}
	seen := ""
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	client := &http.Client{Jar: jar, Transport: &http.Transport{TLSClientConfig: &tls.Config{
		InsecureSkipVerify: true, // as whoever compares the fingerprint does
		VerifyConnection: func(c tls.ConnectionState) error {
			seen = strings.ToUpper(fmt.Sprintf("%x", sha256.Sum256(c.PeerCertificates[0].Raw)))
			return c.PeerCertificates[0].VerifyHostname(u.Hostname())
		},
	}}}
	get := func(address, host string) (status int, cookies []*http.Cookie) {
		t.Helper()
		r, err := http.NewRequest(http.MethodGet, address, nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Host = host
		resp, err := client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		_ = resp.Body.Close()
		return resp.StatusCode, jar.Cookies(u)
	}
	if status, _ := get("https://"+u.Host+"/", ""); status != http.StatusForbidden {
		t.Errorf("without the token the status is %d", status)
	}
	if status, _ := get(s.Address(), "film.example"); status != http.StatusForbidden {
		t.Errorf("for another host the status is %d", status)
	}
	if status, cookies := get(s.Address(), ""); status != http.StatusOK || len(cookies) != 1 {
		t.Errorf("with the token the status is %d, cookies %v", status, cookies)
	}
	if want := strings.ReplaceAll(s.Fingerprint(), ":", ""); seen != want || len(want) != 64 {
		t.Errorf("the certificate is %s, said to be %s", seen, s.Fingerprint())
	}
	if cookies := jar.Cookies(&url.URL{Scheme: "http", Host: u.Host}); len(cookies) > 0 {
		t.Error("the cookie would go unencrypted")
	}
	plain, err := http.Get("http://" + u.Host + "/")
	if err == nil {
		_ = plain.Body.Close()
		if plain.StatusCode != http.StatusBadRequest {
			t.Errorf("without TLS the status is %d", plain.StatusCode)
		}
	}
}
