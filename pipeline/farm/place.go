package farm

import (
	"cmp"
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"strings"
	"time"

	"github.com/nats-io/nats.go"
)

// Place is where a farm is and how one gets in: a URL, or a key file that "trenchcut farm" wrote.
type Place struct {
	URL   string
	Key   Key    // from a key file; zero is none
	Creds string // path of a credentials file of the engine; empty is none

	beyond bool // another machine may be there
}

// Here is what is said in place of a place for this machine alone.
const Here = "here"

// ParsePlace reads where a farm is: nats://HOST:PORT or tls://HOST:PORT, several with commas
// between, or the path of a key file. creds is the path of a credentials file of the engine, or
// empty.
func ParsePlace(text, creds string) (Place, error) {
	if !strings.Contains(text, "://") {
		key, err := ReadKey(text)
		if err != nil {
			return Place{}, fmt.Errorf("%w; --at wants nats://HOST:PORT, or the key file that \"trenchcut farm\" wrote", err)
		}
		return Place{URL: key.URL, Key: key, Creds: creds}, nil
	}
	beyond := false
	for one := range strings.SplitSeq(text, ",") {
		u, err := url.Parse(strings.TrimSpace(one))
		if err != nil || u.Host == "" || u.Scheme != "nats" && u.Scheme != "tls" {
			return Place{}, fmt.Errorf("%q is no place of a farm: want nats://HOST:PORT, or the key file that \"trenchcut farm\" wrote", one)
		}
		if u.User != nil {
			return Place{}, errors.New("a password in an address is seen by everybody on the machine: name a credentials file with --creds")
		}
		if Loopback(u.Hostname()) {
			continue
		}
		if beyond = true; creds == "" {
			return Place{}, fmt.Errorf("%s is another machine, which is asked over TLS and with credentials only: name the key file that \"trenchcut farm\" wrote there, or a credentials file with --creds", u.Host)
		}
	}
	return Place{URL: text, Creds: creds, beyond: beyond}, nil
}

// Loopback reports whether a host is this machine, seen by itself alone.
func Loopback(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

func (p Place) String() string { return p.URL }

// ErrNoFarm says that nothing answers where a farm should be.
var ErrNoFarm = errors.New("no farm answers")

// connect connects for good: where the connection breaks it is made anew, however long that
// takes.
func (p Place) connect(ctx context.Context) (*nats.Conn, error) {
	name, _ := os.Hostname()
	options := []nats.Option{
		nats.Name(cmp.Or(name, "trenchcut")), nats.Timeout(patience), nats.MaxReconnects(-1),
		nats.ReconnectWait(time.Second), nats.ReconnectJitter(500*time.Millisecond, time.Second),
		nats.PingInterval(5 * time.Second), nats.MaxPingsOutstanding(2),
		nats.ErrorHandler(func(*nats.Conn, *nats.Subscription, error) {}), // what failed is told by who asked for it
	}
	if p.Creds != "" {
		if _, err := os.Stat(p.Creds); err != nil {
			return nil, fmt.Errorf("read credentials: %w", err)
		}
		options = append(options, nats.UserCredentials(p.Creds))
	}
	if p.beyond { // film does not travel in the open
		options = append(options, nats.Secure(&tls.Config{MinVersion: tls.VersionTLS12}))
	}
	keyed, err := p.Key.options()
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	nc, err := nats.Connect(p.URL, append(options, keyed...)...)
	switch {
	case errors.Is(err, nats.ErrAuthorization) && p.Creds != "":
		return nil, fmt.Errorf("the farm at %s does not accept the credentials in %s: ask who runs it for others", p, p.Creds)
	case errors.Is(err, nats.ErrAuthorization):
		return nil, fmt.Errorf("the farm at %s does not let this machine in: it wants the key file that \"trenchcut farm\" wrote there, after --at", p)
	case err != nil:
		return nil, fmt.Errorf("%w at %s (%w): start one there with \"trenchcut farm\", or leave --at out to render on this machine alone", ErrNoFarm, p, err)
	}
	return nc, nil
}
