package farm

import (
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nkeys"

	"trenchcut/tags/files"
)

// Key is what a machine needs to be let into a farm, as its key file holds it: whoever has the
// file is let in.
type Key struct {
	URL  string `json:"url"`
	Seed string `json:"seed"` // of an NKey of the engine
	CA   string `json:"ca"`   // the certificate that the server's own is checked by, as PEM
}

// mostKey bounds a key file.
const mostKey = 64 << 10

// ReadKey reads a key file.
func ReadKey(path string) (Key, error) {
	var k Key
	data, err := files.Read(path, mostKey)
	if err != nil {
		return k, fmt.Errorf("read the key of a farm: %w", err)
	}
	if err := json.Unmarshal(data, &k); err != nil || k.URL == "" || k.Seed == "" || k.CA == "" {
		return k, fmt.Errorf("%s is no key file of a farm", path)
	}
	return k, nil
}

// options is how a connection proves itself, and holds the server to its certificate.
func (k Key) options() ([]nats.Option, error) {
	if k == (Key{}) {
		return nil, nil
	}
	pair, err := nkeys.FromSeed([]byte(k.Seed))
	if err != nil {
		return nil, fmt.Errorf("the key file of the farm is damaged: %w", err)
	}
	public, err := pair.PublicKey()
	if err != nil {
		return nil, fmt.Errorf("the key file of the farm is damaged: %w", err)
	}
	roots := x509.NewCertPool()
	if !roots.AppendCertsFromPEM([]byte(k.CA)) {
		return nil, errors.New("the key file of the farm is damaged: it has no certificate")
	}
	return []nats.Option{
		nats.Secure(&tls.Config{RootCAs: roots, MinVersion: tls.VersionTLS13, ServerName: ServerName}),
		nats.Nkey(public, pair.Sign),
		nats.IgnoreDiscoveredServers(), // the file has all addresses, as the certificate's authority does
	}, nil
}

// ServerName is the name in the certificate of a small farm's server, whatever its address is:
// addresses of an office change.
const ServerName = "farm.trenchcut.internal"
