// Package server is the small server of a farm, for an office that has none of its own: that of
// NATS, with JetStream, in this program.
package server

import (
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"time"

	nats "github.com/nats-io/nats-server/v2/server"

	"trenchcut/pipeline/farm"
)

// Options says how a farm is served.
type Options struct {
	Folder string // for what is stored, and for the keys; empty is one with the settings of this user
	Listen string // HOST:PORT; no host is every address of this machine, port 0 any that is free
	// Open lets in whoever knocks, without TLS: on this machine alone.
	Open bool
}

// DefaultListen is where a farm listens that is not told otherwise.
const DefaultListen = ":4222"

// Server is a farm that is being served.
type Server struct {
	nats *nats.Server
	// Worker and Asker are the key files that let in machines that work, and that ask; empty
	// where no key is needed.
	Worker, Asker string
	// At is where it is for this machine itself.
	At farm.Place
	// Beyond reports whether other machines reach it.
	Beyond bool
}

// mostMessage is the most bytes of one message: the description of a segment with many drawings.
const mostMessage = 8 << 20

// Start starts a server, and returns once it serves.
func Start(o Options) (*Server, error) {
	host, text, err := net.SplitHostPort(o.Listen)
	port, errPort := strconv.ParseUint(text, 10, 16)
	if err := errors.Join(err, errPort); err != nil {
		return nil, fmt.Errorf("where to listen: %w: want HOST:PORT, such as %s", err, DefaultListen)
	}
	s := &Server{Beyond: !farm.Loopback(host)}
	if o.Open && s.Beyond {
		return nil, fmt.Errorf("a farm that lets in whoever knocks is for this machine alone: listen at 127.0.0.1:%d, or leave --no-key out", port)
	}
	if o.Folder == "" {
		dir, err := os.UserConfigDir()
		if err != nil {
			return nil, fmt.Errorf("there is no place for the farm's keys: %w; name a folder", err)
		}
		o.Folder = filepath.Join(dir, "trenchcut", "farm")
	}
	if err := os.MkdirAll(o.Folder, 0o700); err != nil {
		return nil, fmt.Errorf("make the farm's folder: %w", err)
	}
	options := &nats.Options{
		ServerName: "trenchcut-farm", Host: host, Port: int(port), JetStream: true, StoreDir: filepath.Join(o.Folder, "store"),
		NoLog: true, NoSigs: true, MaxPayload: mostMessage, MaxPending: 256 << 20, NoSystemAccount: true,
	}
	if port == 0 {
		options.Port = nats.RANDOM_PORT
	}
	var keys *keyring
	if !o.Open {
		if keys, err = openKeyring(filepath.Join(o.Folder, "server.json")); err != nil {
			return nil, err
		}
		if options.TLSConfig, err = keys.tls(); err != nil {
			return nil, err
		}
		options.TLSTimeout = 10
		options.Nkeys = keys.users()
	}
	if s.nats, err = nats.NewServer(options); err != nil {
		return nil, fmt.Errorf("start the farm's server: %w", err)
	}
	s.nats.Start()
	if !s.nats.ReadyForConnections(30 * time.Second) {
		s.nats.Shutdown()
		return nil, fmt.Errorf("the farm cannot listen at %s: is another one running there? name another place with --listen", o.Listen)
	}
	if err := s.letIn(o, host, keys); err != nil {
		s.nats.Shutdown()
		return nil, err
	}
	return s, nil
}

// letIn writes the key files, with the addresses at which other machines reach the server.
func (s *Server) letIn(o Options, host string, keys *keyring) error {
	port := s.nats.Addr().(*net.TCPAddr).Port
	if keys == nil {
		s.At = farm.Place{URL: fmt.Sprintf("nats://%s", net.JoinHostPort(host, strconv.Itoa(port)))}
		return nil
	}
	hosts := []string{host}
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		hosts = addresses()
	}
	s.Worker, s.Asker = filepath.Join(o.Folder, "worker.key"), filepath.Join(o.Folder, "asker.key")
	worker, asker := keys.key(hosts, port, keys.Worker), keys.key(hosts, port, keys.Asker)
	if err := errors.Join(write(s.Worker, worker), write(s.Asker, asker)); err != nil {
		return err
	}
	if s.Beyond {
		hosts = []string{"127.0.0.1"}
		if ip := net.ParseIP(host); ip != nil && !ip.IsUnspecified() {
			hosts = []string{host}
		}
	}
	own := keys.key(hosts, port, keys.Asker)
	s.At = farm.Place{URL: own.URL, Key: own}
	return nil
}

// addresses is those at which other machines of the network reach this one.
func addresses() []string {
	var own []string
	all, _ := net.InterfaceAddrs()
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok && n.IP.IsGlobalUnicast() && n.IP.To4() != nil {
			own = append(own, n.IP.String())
		}
	}
	if len(own) == 0 {
		return []string{"127.0.0.1"}
	}
	return own
}

// Stop ends the server. What is stored stays for the next.
func (s *Server) Stop() {
	s.nats.Shutdown()
	s.nats.WaitForShutdown()
}
