module trenchcut/lint

go 1.26.0

require (
	github.com/OpenPeeDeeP/depguard/v2 v2.3.0
	github.com/ashanbrown/forbidigo/v2 v2.3.1
	github.com/kisielk/errcheck v1.30.0
	github.com/polyfloyd/go-errorlint v1.8.0
	golang.org/x/tools v0.52.0
	honnef.co/go/tools v0.8.2
)

require (
	github.com/mgechev/revive v1.16.0
	gopkg.in/yaml.v3 v3.0.1
	mvdan.cc/gofumpt v0.11.0
)

require (
	github.com/BurntSushi/toml v1.6.0 // indirect
	github.com/fatih/structtag v1.2.0 // indirect
	github.com/gobwas/glob v1.0.0 // indirect
	github.com/google/go-cmp v0.7.0 // indirect
	github.com/hashicorp/go-version v1.9.0 // indirect
	go.yaml.in/yaml/v3 v3.0.5 // indirect
	golang.org/x/exp/typeparams v0.0.0-20231108232855-2478ac86f678 // indirect
	golang.org/x/mod v0.42.0 // indirect
	golang.org/x/sync v0.24.0 // indirect
)
