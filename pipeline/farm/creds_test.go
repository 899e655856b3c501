package farm_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/nats-io/jwt/v2"
	nats "github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nkeys"

	"trenchcut/pipeline/farm"
)

// owner is one who signs: an operator, an account or a user of NATS.
type owner struct {
	nkeys.KeyPair
	public string
}

func newOwner(t *testing.T, create func() (nkeys.KeyPair, error)) owner {
	t.Helper()
	pair, err := create()
	if err != nil {
		t.Fatal(err)
	}
	public, err := pair.PublicKey()
	if err != nil {
		t.Fatal(err)
	}
	return owner{pair, public}
}

// credentials writes the credentials file of a new user of account.
func credentials(t *testing.T, account owner) (path string) {
	t.Helper()
	user := newOwner(t, nkeys.CreateUser)
	token, err := jwt.NewUserClaims(user.public).Encode(account)
	if err != nil {
		t.Fatal(err)
	}
	seed, err := user.Seed()
	if err != nil {
		t.Fatal(err)
	}
	text, err := jwt.FormatUserConfig(token, seed)
	if err != nil {
		t.Fatal(err)
	}
	path = filepath.Join(t.TempDir(), "office.creds")
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestOwnServer has a farm at a NATS server of an office's own, which knows accounts and users by
// the tokens that their operator and account signed, and is no server of ours: JetStream has what
// it sets by itself, a message of 1 MB at most among it.
func TestOwnServer(t *testing.T) {
	operator, system, staff, other := newOwner(t, nkeys.CreateOperator), newOwner(t, nkeys.CreateAccount), newOwner(t, nkeys.CreateAccount), newOwner(t, nkeys.CreateAccount)
	resolver := &nats.MemAccResolver{}
	for _, account := range []owner{system, staff} {
		claims := jwt.NewAccountClaims(account.public)
		if account == staff {
			claims.Limits.JetStreamLimits = jwt.JetStreamLimits{MemoryStorage: jwt.NoLimit, DiskStorage: jwt.NoLimit, Streams: jwt.NoLimit, Consumer: jwt.NoLimit}
		}
		token, err := claims.Encode(operator)
		if err != nil {
			t.Fatal(err)
		}
		if err := resolver.Store(account.public, token); err != nil {
			t.Fatal(err)
		}
	}
	s, err := nats.NewServer(&nats.Options{
		Host: "127.0.0.1", Port: nats.RANDOM_PORT, JetStream: true, StoreDir: t.TempDir(), NoLog: true, NoSigs: true,
		TrustedKeys: []string{operator.public}, SystemAccount: system.public, AccountResolver: resolver,
	})
	if err != nil {
		t.Fatal(err)
	}
	s.Start()
	t.Cleanup(s.Shutdown)
	if !s.ReadyForConnections(time.Minute) {
		t.Fatal("the server does not start")
	}

	enter := func(creds string) (*farm.Farm, error) {
		place, err := farm.ParsePlace(s.ClientURL(), creds)
		if err != nil {
			t.Fatal(err)
		}
		f, err := farm.Open(t.Context(), place, "a toolchain")
		if err == nil {
			t.Cleanup(f.Close)
		}
		return f, err
	}
	f, err := enter(credentials(t, staff))
	if err != nil {
		t.Fatal(err)
	}
	js := farm.Engine(f)
	if _, err := js.Publish(t.Context(), "trenchcut.job.kit.awaited.key", make([]byte, 4<<10)); err != nil {
		t.Error("ask:", err)
	}
	segments, err := js.ObjectStore(t.Context(), "trenchcut-segments")
	if err != nil {
		t.Fatal(err)
	}
	whole := strings.Repeat("a segment of several megabytes. ", 100_000)
	if _, err := segments.PutString(t.Context(), "key", whole); err != nil {
		t.Error("hand over:", err)
	}
	if text, err := segments.GetString(t.Context(), "key"); err != nil || text != whole {
		t.Errorf("what was handed over is %d bytes of %d, %v", len(text), len(whole), err)
	}
	for creds, want := range map[string]string{"": "does not let this machine in", credentials(t, other): "does not accept the credentials"} {
		if _, err := enter(creds); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("credentials %q: %v, want that it %s", creds, err, want)
		}
	}
}
