package main

import (
	"cmp"
	"context"
	"fmt"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/help"
	"trenchcut/pipeline/farm"
	"trenchcut/pipeline/farm/server"
	"trenchcut/tags"
)

type farmOptions struct {
	streams
	server server.Options
}

func newFarmCommand(s streams) *cobra.Command {
	o := &farmOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "farm",
		Short: "Let the machines of this office cut reels together",
		Long: `Farm starts the small server where machines that make reels and machines that
work for them meet, and says who works on what until Ctrl-C. On each other
machine "trenchcut work" takes segments and renders them; reel, warm and
handout take --at and are done sooner. What is rendered is the same, byte for
byte, wherever it was rendered.

Other machines are let in by a key file alone, over TLS: worker.key for those
that work, asker.key for those that make reels as well. Give the files to
nobody else: who has one sees the film that travels. A worker is given what a
segment shows, with the names in its label, and the stretch of film it is cut
from; tags and notes stay where they are.

An office with a NATS server of its own, with JetStream, needs no farm: --at
takes its address, and --creds its credentials.`,
		Example: `  trenchcut farm
  trenchcut farm --listen 192.168.1.20:4222
  trenchcut farm --listen 127.0.0.1:4222 --no-key`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error { return o.run(cmd.Context()) },
	}
	f := cmd.Flags()
	f.StringVar(&o.server.Listen, "listen", server.DefaultListen, "`address` to listen at; no host is every one of this machine")
	f.StringVar(&o.server.Folder, "folder", "", "`folder` for the keys and for what waits (default: with the settings of this user)")
	f.BoolVar(&o.server.Open, "no-key", false, "let in whoever knocks: on this machine alone")
	help.Rare(cmd, "no-key", "folder")
	return cmd
}

func (o *farmOptions) run(ctx context.Context) error {
	s, err := server.Start(o.server)
	if err != nil {
		return tags.WrongRequest(err)
	}
	defer s.Stop()
	f, err := farm.Open(ctx, s.At, "")
	if err != nil {
		return err
	}
	defer f.Close()
	if err := o.tellHow(s); err != nil {
		return err
	}
	return f.Watch(ctx, func(board string) error {
		_, err := fmt.Fprintf(o.Out, "%s: %s", time.Now().Format(time.TimeOnly), board)
		return err
	})
}

// tellHow says what to type on which machine.
func (o *farmOptions) tellHow(s *server.Server) error {
	at := s.At.URL
	worker, asker := cmp.Or(s.Worker, at), cmp.Or(s.Asker, at)
	text := fmt.Sprintf("The farm is open at %s.\n", at)
	if s.Worker != "" {
		text = fmt.Sprintf("The farm is open. Copy a key file to each other machine, for its user alone to read:\n  %s\n  %s\n", s.Worker, s.Asker)
		if s.Beyond {
			worker, asker = filepath.Base(worker), filepath.Base(asker)
		}
	}
	text += fmt.Sprintf("To work, type there:\n  trenchcut work --at %s\nTo make a reel, here or there:\n  trenchcut reel --at %s …\n", worker, asker)
	_, err := fmt.Fprint(o.Out, text)
	return err
}
