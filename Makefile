# make demo   a season, a reel and its numbers, from nothing
# make test   what tests this program within ten minutes, with what the tests need
# make full   the same, and what takes longer: every kind of film, coding and damage
# make pictures   the pictures of the README, drawn anew from the demo season
# make torture   faults and attacks, tried many more times than make test does
# make dist   archives of the program for Windows, macOS and Linux
# make windows   the program for Windows, tried under Wine; builds ffmpeg.exe once, which takes minutes
# make bench  speed, as ratios beside a plain ffmpeg, and a plain YAML decoder, in the same run

SHELL := /bin/bash
BIN := bin/trenchcut
DEMO ?= demo
REEL := $(DEMO)/inside-counters.mp4
TITLE := Inside counters against short sets

.PHONY: demo build test full compiled compiled-raced raced unraced lint torture windows bench pictures ffmpeg tools clean

demo: ffmpeg build
	@$(BIN) demo "$(DEMO)" >/dev/null
	@$(BIN) check -g "$(DEMO)"
	@$(BIN) reel -g "$(DEMO)" inside-counter set=short -t "$(TITLE)" -o "$(REEL)"
	@echo
	@$(BIN) stats -g "$(DEMO)" inside-counter set=short
	@echo
	@echo "The reel is $(REEL). Play it, then try:"
	@echo "  $(BIN) find -g $(DEMO) inside-counter"
	@echo "  $(BIN) stats -g $(DEMO) --by first-move,set"
	@echo "  $(BIN) reel -g $(DEMO) outcome=sack,strip-sack --order time-to-beat -o $(DEMO)/sacks.mp4"
	@echo "  $(BIN) reel -g $(DEMO) --plays down=3 --angles sideline -o $(DEMO)/third-downs.mp4"
	@echo "  $(BIN) reel -g $(DEMO) -r correction rusher=91 --page -o $(DEMO)/marlow.mp4"

build:
	@go build -o $(BIN) ./cmd/trenchcut

# $(call need,command,package…) installs with apt-get what is missing; where that cannot be,
# it names the command to give, and stops.
define need
@command -v $(1) >/dev/null || { install="apt-get install -y $(2)"; \
  if ! command -v apt-get >/dev/null; then \
    for try in "brew:brew install" "dnf:sudo dnf install" "pacman:sudo pacman -S" "zypper:sudo zypper install"; do \
      if command -v "$${try%%:*}" >/dev/null; then install="$${try#*:} $(firstword $(2))"; break; fi; done; \
  elif [ "$$(id -u)" = 0 ]; then sudo=env; \
  elif command -v sudo >/dev/null; then sudo="sudo env"; \
  else install="su -c '$$install'"; fi; \
  if [ -z "$$sudo" ]; then echo "$(1) is missing. Install it, then try again: $$install" >&2; exit 1; fi; \
  $$sudo apt-get update -qq && $$sudo DEBIAN_FRONTEND=noninteractive apt-get install -y -qq $(2) >/dev/null; }
endef

ffmpeg:
	$(call need,ffmpeg,ffmpeg)
	$(call need,ffprobe,ffmpeg)

# The race detector needs a C compiler. The numbers are held to R's, and the page is tried in
# a browser, where these can be had.
tools: ffmpeg
	$(call need,gcc,gcc libc6-dev)
	-$(call need,Rscript,r-base-core r-cran-survival)
	-$(call need,chromium,chromium)

# The race detector makes computing five to ten times as slow, and has nothing to find where
# there is one goroutine. Under it run the packages in which goroutines are started, by the
# code or by its tests. Of those that mostly compute or wait, PARTLY, only the tests that work
# side by side do, and of the command only such scripts, in make full: a raced command starts
# slowly, and a script has many. In page and share only the tests' own harness starts any, to end
# what hangs. Nothing runs twice.
STARTS := ^[[:space:]]*go (func|[[:alpha:].]+\()|\.Go\(|AfterFunc\(|errgroup|t\.Parallel\(\)
OF./pipeline/render := TestStop|TestRunsTogether|TestSameBytes|TestKeepGoing|TestSwappedFilm|TestPrune
OF./pipeline/farm := TestLyingWorker|TestQueue|TestWrongJobs
OF./cmd/trenchcut := ^TestScripts$$/^(quick|reel|stop|sync|warm)$$
OF./pipeline/film := TestDecode|TestSurvey|TestStoppedSurvey|TestChangingFilm|TestLookIsCalledOff|TestProbeIsKept|TestNothingElseIsRead
OF./pipeline/sync := TestFailedIsNotUnsure|TestGuessThatSoundReplaces
OF./pipeline/watch := TestGlance
OF./pipeline/viewer := TestHandler|TestChangedFilm|TestRuns|TestJumpsAway|TestManyPanes|TestStrip
OF./pipeline/desk := TestTwoPages|TestServerKilled|TestGuard|TestIntakeRefuses|TestLAN
OF./pipeline/mark := TestConcurrentEdits|TestConflict|TestTwoSessions
OF./pipeline/outline := TestFindFootage|TestSeal
OF./pipeline/draw := TestSameBytes
OF./pipeline/demo := TestFilms|TestFailure|TestEdited
OF./tags/exchange := TestImportStops|TestProgress
OF./tags/query := TestReadsOnManyGoroutines|TestStoppedCondition
OF./tags := TestLoad|TestCache
PARTLY := ./pipeline/render ./pipeline/farm ./cmd/trenchcut ./pipeline/film ./pipeline/sync ./pipeline/watch ./pipeline/viewer ./pipeline/desk ./pipeline/mark ./pipeline/outline ./pipeline/draw ./pipeline/demo ./tags/exchange ./tags/query ./tags
CONCURRENT = $(filter-out ./pipeline/page ./pipeline/share $(PARTLY),$(sort $(patsubst %/,./%,$(dir $(shell grep -rlE '$(STARTS)' --include='*.go' cmd pipeline tags templates)))))
ALONE = $(filter-out $(CONCURRENT) $(PARTLY),$(shell go list -f '{{.Dir}}' ./... | sed "s|^$(CURDIR)|.|"))

# Three steps run at once: linking and waiting leave a core idle otherwise. All of them run,
# whichever fails. Tables for debuggers, which no test reads, would take a sixth of the compiling.
# With the usual GOGC the compiler would collect its garbage for another seventh.
test: SHORT := -short
test full:
	@GOGC=400 GOFLAGS="$(shell go env GOFLAGS) $(LEAN)" $(MAKE) --no-print-directory -j3 -k --output-sync=target lint unraced raced SHORT=$(SHORT)
LEAN := -gcflags=all=-dwarf=false -ldflags=-w

# What several steps need is compiled once, before them.
compiled:
	@go build ./...
compiled-raced: tools
	@go build -race ./...

# The linter has vetted the tests as well, so go test need not (-vet=off). That the program
# compiles for other systems is a test of the command, TestOtherSystems.
TEST := go test -vet=off -timeout 40m $(SHORT)
PARTS := $(PARTLY:./%=%)
# The parts of which something is raced.
RACED := $(if $(SHORT),$(filter-out cmd/trenchcut,$(PARTS)),$(PARTS))

raced: $(RACED:%=raced/%) raced/others
raced/others: compiled-raced
	$(TEST) -race $(CONCURRENT)
raced/%: compiled-raced
	$(TEST) -race ./$* -run '$(OF./$*)'

unraced: $(PARTS:%=unraced/%) unraced/others
unraced/others: compiled tools
	$(TEST) $(ALONE)
unraced/%: compiled tools
	$(TEST) ./$* $(if $(filter $*,$(RACED)),-skip '$(OF./$*)')

torture: ffmpeg
	set -o pipefail; go test ./pipeline/render -count=1 -v -timeout 3h -run 'TestKilled|TestDamaged|TestFull|TestRunsTogether|TestJoinCutShort|TestReadOnlyCache' \
	  -kills=60 -damages=60 -fulls=20 -together=6 | grep -v '^=== '
	set -o pipefail; go test ./pipeline/film -count=1 -v -timeout 1h -run TestDamagedFilm -damages=60 | grep -v '^=== '
	set -o pipefail; go test ./pipeline/mark ./pipeline/desk -count=1 -v -timeout 1h -run 'TestKilled|TestServerKilled' -kills=100 | grep -v '^=== '
	set -o pipefail; go test ./pipeline/desk -count=1 -v -timeout 1h -run 'TestPageKilled|TestBothKilled' -pagekills=100 -bothkills=100 | grep -v '^=== '
	set -o pipefail; go test ./cmd/trenchcut -count=1 -v -timeout 1h -run TestFarmFaults -farmfaults | grep -v '^=== '
	go test ./tags/exchange -count=1 -timeout 1h -run TestImportOfExportChangesNothing -games=2000
	set -o pipefail; go test ./tags/query -count=1 -v -run 'TestCostlyConditions|TestStoppedCondition' | grep -v '^=== '

windows: ffmpeg
	$(call need,wine,wine wine64)
	$(call need,x86_64-w64-mingw32-gcc,gcc-mingw-w64-x86-64-win32 libz-mingw-w64-dev)
	$(call need,nasm,nasm)
	$(call need,dpkg-source,dpkg-dev)
	@.ci/windows-ffmpeg bin/windows
	set -o pipefail; TRENCHCUT_WINDOWS_FFMPEG="$(CURDIR)/bin/windows" go test ./cmd/trenchcut -count=1 -v -timeout 1h -run '^TestWine$$' | grep -v '^=== '

lint: compiled bin/lint
	bin/lint ./...

# After the program, with which it shares the standard library.
bin/lint: $(wildcard .ci/lint/*) | compiled
	@cd .ci/lint && go build -o $(CURDIR)/bin/lint .

pictures: demo tools
	go test ./cmd/trenchcut -count=1 -run '^TestPictures$$' -pictures "$(abspath $(DEMO))"
	PAGE_OF="$(abspath $(DEMO))/corrections.html" PAGE_PICTURE="$(CURDIR)/testdata/page.png" \
	go test ./pipeline/page -count=1 -run '^TestReadmePicture$$'
	DESK_OF="$(abspath $(DEMO))" go test ./pipeline/desk -count=1 -run '^TestReadmePictures$$'

bench: ffmpeg build
	go test ./cmd/trenchcut -run '^$$' -bench . -benchtime 1x -timeout 60m
	go test ./pipeline/viewer -run '^$$' -bench . -benchtime 1x -timeout 60m
	go test ./pipeline/viewer -count=1 -v -timeout 60m -run TestJumpInPage -minutes=180
	go test ./pipeline/desk -count=1 -v -timeout 60m -run 'TestSession|TestDemoInBrowser' -session=500

clean:
	rm -rf bin

# make dist   archives for the systems that staffs have, each with all that its reader needs
# The same commit and the same Go give the same bytes, wherever it is built.
SYSTEMS := linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64 windows/arm64
DIST := dist
BUILT := $(DIST)/.built
HERE = $(shell go env GOHOSTOS)-$(shell go env GOHOSTARCH)
LINKED := {{with .Module}}{{if not (or .Main .Replace)}}{{.Path}}{{"\t"}}{{.Version}}{{"\t"}}{{.Dir}}{{"\t"}}{{$$.Dir}}{{end}}{{end}}

.PHONY: dist
dist:
	@rm -rf $(BUILT) $(DIST)/trenchcut-*.tar.gz $(DIST)/trenchcut-*.zip && mkdir -p $(BUILT)/common/man $(BUILT)/common/completions
	@set -e -o pipefail; export CGO_ENABLED=0 GOFLAGS=; for system in $(SYSTEMS); do \
	  export GOOS=$${system%/*} GOARCH=$${system#*/}; to=$(BUILT)/$$GOOS-$$GOARCH; mkdir -p $$to; echo "building for $$system"; \
	  go build -buildvcs=true -trimpath -ldflags '-s -w' -o $$to/ ./cmd/trenchcut; \
	  go list -deps -f '$(LINKED)' ./cmd/trenchcut >>$(BUILT)/all; done
	@printf 'The Go standard library\t%s\t%s\t%s\n' "$$(go env GOVERSION)" "$$(go env GOROOT)" "$$(go env GOROOT)" >>$(BUILT)/all
	@sort -u $(BUILT)/all >$(BUILT)/packages
	@program=$(BUILT)/$(HERE)/trenchcut; $$program manual >$(BUILT)/common/man/trenchcut.1 && \
	  for shell in bash zsh fish powershell; do $$program completion $$shell >$(BUILT)/common/completions/trenchcut.$${shell/powershell/ps1} || exit 1; done
	@go run ./cmd/dist -built $(BUILT) -packages $(BUILT)/packages -o $(DIST)
	@rm -rf $(BUILT)
	@ls -l $(DIST)
