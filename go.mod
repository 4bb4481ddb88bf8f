module fluedrift

go 1.26.0

require (
	github.com/BurntSushi/toml v1.6.0 // configuration and layouts, names keys that nothing reads; MIT
	github.com/apache/arrow/go/v17 v17.0.0 // batches of rows into the engine and out of it; Apache-2.0
	github.com/gofrs/flock v0.13.2 // the kernel's lock on warehouse and lists, on every system; BSD-3-Clause
	github.com/google/renameio/v2 v2.0.2 // a file of a user replaced whole, with its rights kept; Apache-2.0
	github.com/marcboeker/go-duckdb v1.8.2 // the engine and its driver; MIT
	github.com/prometheus/client_model v0.6.3 // tests only: metrics as a collector understands them; Apache-2.0
	github.com/prometheus/common v0.74.0 // tests only: a collector's own reader of the metrics; Apache-2.0
	github.com/rickar/cal/v2 v2.1.13 // public holidays by their rules, for days on the road; BSD-3-Clause
	github.com/rogpeppe/go-internal v1.16.0 // tests only: scripts that play commands, with golden files; BSD-3-Clause
	github.com/sourcegraph/conc v0.3.0 // goroutines whose panic reaches the one who waits; MIT
	github.com/stretchr/testify v1.12.1 // tests only: assertions that show both sides; MIT
	github.com/xuri/excelize/v2 v2.11.1 // writes workbooks, and puts corrections into one as it was; BSD-3-Clause
	github.com/zeebo/xxh3 v1.1.0 // fast 64-bit hashes by which lines are compared across files; BSD-2-Clause
	golang.org/x/net v0.62.0 // tables of HTML files, read as a browser would; BSD-3-Clause
	golang.org/x/sys v0.50.0 // tests only: a terminal made for them; BSD-3-Clause
	golang.org/x/term v0.48.0 // whether somebody sits at a terminal; BSD-3-Clause
	golang.org/x/text v0.44.0 // encodings of exports, letters that Unicode spells in two ways; BSD-3-Clause
	gonum.org/v1/gonum v0.17.0 // matrices, minimisation, distributions; BSD-3-Clause
	gonum.org/v1/plot v0.17.0 // drawings of pages as SVG; BSD-3-Clause
	pgregory.net/rapid v1.3.0 // tests only: properties with inputs that shrink; MPL-2.0
)

require (
	codeberg.org/go-fonts/liberation v0.5.0 // indirect
	codeberg.org/go-latex/latex v0.2.0 // indirect
	codeberg.org/go-pdf/fpdf v0.11.1 // indirect
	git.sr.ht/~sbinet/gg v0.7.0 // indirect
	github.com/ajstarks/svgo v0.0.0-20211024235047-1546f124cd8b // indirect
	github.com/goccy/go-json v0.10.3 // indirect
	github.com/golang/freetype v0.0.0-20170609003504-e2365dfdc4a0 // indirect
	github.com/google/flatbuffers v24.3.25+incompatible // indirect
	github.com/klauspost/compress v1.17.9 // indirect
	github.com/klauspost/cpuid/v2 v2.2.10 // indirect
	github.com/mitchellh/mapstructure v1.5.0 // indirect
	github.com/munnerz/goautoneg v0.0.0-20191010083416-a7dc8b61c822 // indirect
	github.com/pandatix/go-abnf v0.5.5 // indirect
	github.com/pierrec/lz4/v4 v4.1.21 // indirect
	github.com/richardlehane/mscfb v1.0.9 // indirect
	github.com/richardlehane/msoleps v1.0.6 // indirect
	github.com/tiendc/go-deepcopy v1.7.2 // indirect
	github.com/xuri/efp v0.0.3-0.20260924042702-217b81952dec // indirect
	github.com/xuri/nfp v0.0.2-0.20250530014748-2ddeb826f9a9 // indirect
	go.uber.org/atomic v1.7.0 // indirect
	go.uber.org/multierr v1.9.0 // indirect
	go.yaml.in/yaml/v3 v3.0.5 // indirect
	golang.org/x/crypto v0.59.0 // indirect
	golang.org/x/exp v0.0.0-20241009180824-f66d83c29e7c // indirect
	golang.org/x/image v0.48.0 // indirect
	golang.org/x/mod v0.42.0 // indirect
	golang.org/x/sync v0.25.0 // indirect
	golang.org/x/telemetry v0.0.0-20261009151841-97e8ea77aa2a // indirect
	golang.org/x/tools v0.52.0 // indirect
	golang.org/x/xerrors v0.0.0-20231012003039-104605ab7028 // indirect
	google.golang.org/protobuf v1.36.12 // indirect
)
