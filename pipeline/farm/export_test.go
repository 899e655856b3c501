package farm

import "github.com/nats-io/nats.go/jetstream"

// Engine is what a farm is made of, to try what a key lets do.
func Engine(f *Farm) jetstream.JetStream { return f.js }
