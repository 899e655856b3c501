# make demo   a season, a reel and its numbers, from nothing
# make test   everything that tests this program, with what the tests need
# make bench  speed, as ratios beside a plain ffmpeg, and a plain YAML decoder, in the same run

SHELL := /bin/bash
BIN := bin/trenchcut
DEMO ?= demo
REEL := $(DEMO)/inside-counters.mp4
TITLE := Inside counters against short sets
LINT := github.com/golangci/golangci-lint/v2/cmd/golangci-lint@v2.15.0

.PHONY: demo build test lint bench ffmpeg clean

demo: ffmpeg build
	@$(BIN) demo $(DEMO) >/dev/null
	@$(BIN) check -g $(DEMO)
	@$(BIN) reel -g $(DEMO) inside-counter set=short -t "$(TITLE)" -o $(REEL)
	@echo
	@$(BIN) stats -g $(DEMO) inside-counter set=short
	@echo
	@echo "The reel is $(REEL). Play it, then try:"
	@echo "  $(BIN) find -g $(DEMO) inside-counter"
	@echo "  $(BIN) stats -g $(DEMO) --by first-move,set"
	@echo "  $(BIN) reel -g $(DEMO) outcome=sack,strip-sack --order time-to-beat -o $(DEMO)/sacks.mp4"
	@echo "  $(BIN) reel -g $(DEMO) --plays down=3 --angles sideline -o $(DEMO)/third-downs.mp4"

build:
	@go build -o $(BIN) ./cmd/trenchcut

# Where apt-get is, what is missing is installed; elsewhere the command is named.
ffmpeg:
	@if command -v ffmpeg >/dev/null && command -v ffprobe >/dev/null; then exit 0; fi; \
	for try in "apt-get:apt-get install ffmpeg" "brew:brew install ffmpeg" "dnf:sudo dnf install ffmpeg" "pacman:sudo pacman -S ffmpeg" "zypper:sudo zypper install ffmpeg"; do \
	  if command -v "$${try%%:*}" >/dev/null; then install="$${try#*:}"; break; fi; done; \
	if [ "$$install" != "apt-get install ffmpeg" ]; then \
	  echo "ffmpeg is missing. Install it, then try again: $${install:-see ffmpeg.org}" >&2; exit 1; fi; \
	if [ "$$(id -u)" = 0 ]; then sudo=; else sudo=sudo; fi; \
	$$sudo apt-get update -qq && $$sudo env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq ffmpeg >/dev/null

test: ffmpeg lint
	go vet ./...
	go test -race -timeout 40m ./...

lint: bin/golangci-lint
	bin/golangci-lint run ./...

bin/golangci-lint:
	GOBIN=$(CURDIR)/bin go install $(LINT)

bench: ffmpeg build
	go test ./cmd/trenchcut -run '^$$' -bench . -benchtime 1x -timeout 60m

clean:
	rm -rf bin
