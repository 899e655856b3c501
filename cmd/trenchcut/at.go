package main

import (
	"cmp"
	"context"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/help"
	"trenchcut/pipeline/farm"
	"trenchcut/pipeline/reel"
	"trenchcut/tags"
)

// atVariable names the environment variable that says where the farm is. No file that lies with
// the games says so: film would go where whoever wrote that file wants it.
const atVariable = "TRENCHCUT_AT"

// atOptions says at which farm segments are rendered.
type atOptions struct {
	at    string
	creds string
}

func (o *atOptions) addFlags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&o.at, "at", "", "`farm` to cut at: its key file, or nats://HOST:PORT (default: what "+atVariable+" says)")
	f.StringVar(&o.creds, "creds", "", "credentials `file` of a NATS server of your own")
	help.Rare(cmd, "creds")
}

// place is the farm that is named; nil where none is.
func (o *atOptions) place() (*farm.Place, error) {
	at := cmp.Or(o.at, os.Getenv(atVariable))
	if at == "" || at == farm.Here {
		return nil, nil
	}
	p, err := farm.ParsePlace(at, o.creds)
	if err != nil && o.at == "" {
		err = fmt.Errorf("%s: %w", atVariable, err)
	}
	return &p, err
}

// spread has maker render at the farm that is named, if one is, until stop is called.
func (o *makerOptions) spread(ctx context.Context, maker *reel.Maker, u farm.Urgency) (stop func(), err error) {
	place, err := o.at.place()
	if err != nil {
		return nil, tags.WrongRequest(err)
	}
	if place == nil {
		return func() {}, nil
	}
	return maker.CutAt(ctx, *place, u)
}
