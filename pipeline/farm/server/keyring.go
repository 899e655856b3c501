package server

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/json"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"strconv"
	"strings"
	"time"

	nats "github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nkeys"

	"trenchcut/pipeline/farm"
	"trenchcut/tags/files"
)

// keyring is the secrets of a farm, which its folder keeps for the next start.
type keyring struct {
	CA     string // certificate, PEM
	CAKey  string // PEM of PKCS #8
	Worker string // seed of the NKey of machines that work
	Asker  string // of machines that ask
}

// mostKeyring bounds the file of a keyring.
const mostKeyring = 64 << 10

// openKeyring reads the keyring in a file, or makes it.
func openKeyring(path string) (*keyring, error) {
	var k keyring
	data, err := files.Read(path, mostKeyring)
	if errors.Is(err, fs.ErrNotExist) {
		if err := k.make(); err != nil {
			return nil, fmt.Errorf("make the farm's keys: %w", err)
		}
		return &k, write(path, k)
	}
	if err != nil {
		return nil, fmt.Errorf("read the farm's keys: %w", err)
	}
	if err := json.Unmarshal(data, &k); err != nil || k.CA == "" || k.Worker == "" || k.Asker == "" {
		return nil, fmt.Errorf("%s does not hold a farm's keys: remove it for new ones, and give the new key files to all machines", path)
	}
	return &k, nil
}

// write writes a secret for this user alone.
func write(path string, secret any) error {
	data, err := json.MarshalIndent(secret, "", "  ")
	if err == nil {
		err = files.WriteCache(path, append(data, '\n'))
	}
	if err != nil {
		return fmt.Errorf("write the farm's keys: %w", err)
	}
	return nil
}

func (k *keyring) make() error {
	for _, seed := range []*string{&k.Worker, &k.Asker} {
		pair, err := nkeys.CreateUser()
		if err != nil {
			return err
		}
		text, err := pair.Seed()
		if err != nil {
			return err
		}
		*seed = string(text)
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return err
	}
	template := certificate("trenchcut farm", 20*365*24*time.Hour)
	template.IsCA, template.KeyUsage = true, x509.KeyUsageCertSign
	der, err := x509.CreateCertificate(rand.Reader, template, template, &key.PublicKey, key)
	if err != nil {
		return err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return err
	}
	k.CA = string(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}))
	k.CAKey = string(pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}))
	return nil
}

func certificate(name string, holds time.Duration) *x509.Certificate {
	serial := make([]byte, 15)
	_, _ = rand.Read(serial) // it never fails
	now := time.Now()
	return &x509.Certificate{
		SerialNumber: new(big.Int).SetBytes(serial), Subject: pkix.Name{CommonName: name},
		NotBefore: now.Add(-time.Hour), NotAfter: now.Add(holds), BasicConstraintsValid: true,
	}
}

// served is for how long the certificate of one start of the server holds.
const served = 2 * 365 * 24 * time.Hour

// tls is a certificate for this start of the server, which the farm's own authority signed.
func (k *keyring) tls() (*tls.Config, error) {
	ca, err := tls.X509KeyPair([]byte(k.CA), []byte(k.CAKey))
	if err != nil {
		return nil, fmt.Errorf("the farm's keys are damaged: %w", err)
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, fmt.Errorf("make a certificate: %w", err)
	}
	template := certificate(farm.ServerName, served)
	template.DNSNames, template.KeyUsage = []string{farm.ServerName}, x509.KeyUsageDigitalSignature
	template.ExtKeyUsage = []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}
	der, err := x509.CreateCertificate(rand.Reader, template, ca.Leaf, &key.PublicKey, ca.PrivateKey)
	if err != nil {
		return nil, fmt.Errorf("make a certificate: %w", err)
	}
	return &tls.Config{MinVersion: tls.VersionTLS13, Certificates: []tls.Certificate{{Certificate: [][]byte{der}, PrivateKey: key}}}, nil
}

// key is what lets a machine in that reaches the server at hosts.
func (k *keyring) key(hosts []string, port int, seed string) farm.Key {
	var urls []string
	for _, host := range hosts {
		urls = append(urls, "tls://"+net.JoinHostPort(host, strconv.Itoa(port)))
	}
	return farm.Key{URL: strings.Join(urls, ","), Seed: seed, CA: k.CA}
}

// users is who is let in: askers, who may do anything, and workers.
func (k *keyring) users() []*nats.NkeyUser {
	return []*nats.NkeyUser{
		{Nkey: public(k.Asker)},
		{Nkey: public(k.Worker), Permissions: &nats.Permissions{
			Publish:   &nats.SubjectPermission{Deny: farm.NotForWorkers()},
			Subscribe: &nats.SubjectPermission{Deny: farm.NotHeardByWorkers()},
		}},
	}
}

// public is the public part of a seed; of one that is damaged none, which lets nobody in.
func public(seed string) string {
	pair, err := nkeys.FromSeed([]byte(seed))
	if err != nil {
		return ""
	}
	name, _ := pair.PublicKey()
	return name
}
