# make run    gets what is needed, builds the site and shows it on this machine
# make test   everything CI runs
# make build  the static site, in web/dist
# make single the whole site as one file, web/dist/plateau.html, that works from a disk
# make edge   the site and its previews as they run at the edge, on the platform's own runtime
# make bench  speed against other ways to read the same log
# make shots  pictures of the page in all its states, in .build/shots, to be looked at
# make pollution  what becomes of spoilt logs, by kind, and of thousands of made-up dialects
# make coverage  how often the stated uncertainties hold the truth, on 10,000 simulated logs for each tester
# make ranking  how often cells that are equal are told apart, and true gaps found, on simulated campaigns
# make words  brings the tables of translations up to date, web/words
# make lint   linters and import rules alone
# make clean  takes away what was built

.PHONY: run test build single edge bench shots pollution coverage ranking words lint clean setup chromium firefox \
	format vet staticcheck imports weblint wordlint gotest gowasm figures webtest e2e edgetest
.NOTPARALLEL:
.DELETE_ON_ERROR:
MAKEFLAGS += --no-print-directory

# The version-control stamp is not needed, and fails in a copy owned by another.
export GOFLAGS := -buildvcs=false $(GOFLAGS)

title = @printf '\n== %s\n' '$(1)'
wasm = GOOS=js GOARCH=wasm
out = $(CURDIR)/.build

# What runs under WebAssembly gets a small environment: Go's runtime there takes
# no more than 12 KiB of it, arguments included. The program is made smaller
# first, as the site's is.
wasm_exec = env -i PATH=$(dir $(shell command -v node)):/usr/bin:/bin \
	$(if $(PLATEAU_REFERENCE),PLATEAU_REFERENCE=$(PLATEAU_REFERENCE)) \
	$(if $(PLATEAU_FIGURES),PLATEAU_FIGURES=$(PLATEAU_FIGURES)) \
	sh $(CURDIR)/web/slim/exec.sh $(out)/slim $(shell go env GOROOT)/lib/wasm/go_js_wasm_exec

run: build
	$(call title,Serving)
	@go run ./web/serve -dir web/dist

test: setup lint gotest gowasm figures webtest build e2e edgetest
	$(call title,All is well)

build: setup
	$(call title,Building the site into web/dist)
	@node web/build.mjs

single: build
	@echo "$$(wc -c < web/dist/plateau.html) bytes in web/dist/plateau.html: open it in a browser"

edge: build web/edge/node_modules/.package-lock.json
	$(call title,Building the Worker and running it)
	@node web/edge/build.mjs
	@node web/edge/run.mjs

bench: build chromium web/bench/node_modules/.package-lock.json
	$(call title,Benchmark)
	@node web/bench/run.mjs

shots: build chromium
	$(call title,Pictures of the page in all its states)
	@node web/shots.mjs

# Not a part of "make test": that tries fewer dialects, and says no score.
pollution:
	$(call title,Spoilt logs by kind and made-up dialects)
	@PLATEAU_DIALECTS=10000 go test -count=1 -v -run '^(TestCleanLogs|TestPollution|TestDialects|TestSpoiltDialects|TestUnnamedColumns|TestUnstatedUnits|TestReferenceReaders)$$' ./core/logfile

# "make test" runs the same, and does not print the table.
coverage:
	$(call title,Coverage of the stated uncertainties)
	@PLATEAU_COVERAGE=1 go test -count=1 -v -run '^TestCoverage' ./core/measure ./core/compare

# "make test" runs fewer campaigns, and does not print the table.
ranking:
	$(call title,Ranking of simulated cells)
	@PLATEAU_RANKING=1 go test -count=1 -v -run '^TestRanking' ./core/compare

lint: setup format vet staticcheck imports weblint wordlint

words: setup
	@node web/words/texts.mjs

clean:
	rm -rf web/dist .build

setup:
	@command -v go >/dev/null || { echo 'Go is missing: install Go 1.26 or later.' >&2; exit 1; }
	@command -v node >/dev/null && command -v npm >/dev/null || \
		{ echo 'Node.js is missing: install Node 20 or later, with npm.' >&2; exit 1; }
	$(call title,Getting Go modules and npm packages)
	@go mod download
	@$(MAKE) --silent web/node_modules/.package-lock.json
	@mkdir -p $(out)

# npm writes this file at the end of each installation.
%/node_modules/.package-lock.json: %/package-lock.json %/package.json
	cd $* && npm ci --no-audit --no-fund --loglevel=error
	@touch $@

chromium:
	$(call title,Looking for Chromium)
	@sh web/browser.sh chromium

# Its tests are skipped where there is none.
firefox:
	$(call title,Looking for Firefox)
	@sh web/browser.sh firefox || true

format:
	$(call title,gofmt)
	@files=$$(gofmt -l core wasm web/serve web/slim web/words); \
	test -z "$$files" || { echo "not as gofmt has it: $$files" >&2; exit 1; }

vet:
	$(call title,go vet)
	@go vet ./core/... ./web/serve/... ./web/slim/... ./web/words/...
	@$(wasm) go vet ./core/... ./wasm/...
	@$(wasm) go vet -tags browser ./core/logfile ./wasm/app/...

# Built here, since "go tool" under GOOS=js would build it for js.
staticcheck:
	$(call title,staticcheck)
	@go build -o $(out)/staticcheck honnef.co/go/tools/cmd/staticcheck
	@$(out)/staticcheck ./core/... ./web/serve/... ./web/slim/... ./web/words/...
	@$(wasm) $(out)/staticcheck ./core/... ./wasm/...
	@$(wasm) $(out)/staticcheck -tags browser ./core/logfile ./wasm/app/...

# A package's own imports count, not those of the standard library below it,
# which holds syscall/js under GOOS=js. Files for js alone count as well.
imports:
	$(call title,Import rules)
	@$(wasm) go list -f '{{$$p := .ImportPath}}{{range .Imports}}{{$$p}} imports {{.}}{{"\n"}}{{end}}' ./core/... > $(out)/imports
	@! grep -E ' (syscall/js|os|os/.*|net|net/.*|plateau/wasm.*|plateau/web.*)$$' $(out)/imports || \
		{ echo 'core is pure: no syscall/js, no os, no net, and nothing of wasm or web' >&2; exit 1; }
	@$(wasm) go list -deps ./wasm/app/page > $(out)/page-imports
	@! grep -x 'plateau/core/measure' $(out)/page-imports || \
		{ echo 'wasm/app/page computes nothing: it must not come to import core/measure' >&2; exit 1; }

weblint:
	$(call title,eslint and stylelint)
	@cd web && npm run --silent lint

wordlint:
	$(call title,Texts and their translations)
	@node web/words/texts.mjs --check

# Packages for js alone are not listed here, and so left out.
gotest:
	$(call title,Go tests on this machine)
	@go test ./core/... ./web/serve/... ./web/slim/... ./web/words/... $$(go list ./wasm/...)

gowasm:
	$(call title,Go tests under WebAssembly)
	@go build -o $(out)/slim ./web/slim
	@$(wasm) go test -exec="$(wasm_exec)" ./core/... ./wasm/...

# -count=1, since a result out of the cache would write no file; noasm, since
# gonum adds up in another order in assembly, which WebAssembly has not.
figures:
	$(call title,The same figures both ways)
	@rm -f $(out)/figures-*.txt
	@for p in measure plan; do PLATEAU_FIGURES=$(out)/figures-native-$$p.txt \
		go test -tags noasm -count=1 -run '^TestFigures$$' ./core/$$p || exit 1; done
	@go build -o $(out)/slim ./web/slim
	@for p in measure plan; do PLATEAU_FIGURES=$(out)/figures-wasm-$$p.txt $(MAKE) figures-wasm package=$$p || exit 1; done
	@for p in measure plan; do for f in native wasm; do test -s $(out)/figures-$$f-$$p.txt || \
		{ echo "no figures were written: figures-$$f-$$p.txt" >&2; exit 1; }; done; \
		cmp $(out)/figures-native-$$p.txt $(out)/figures-wasm-$$p.txt || exit 1; \
		echo "$$p: $$(wc -l < $(out)/figures-native-$$p.txt) lines, the same"; done

.PHONY: figures-wasm
figures-wasm:
	@$(wasm) go test -exec="$(wasm_exec)" -count=1 -run '^TestFigures$$' ./core/$(package)

webtest:
	$(call title,Tests of the scripts)
	@cd web && npm run --silent test:unit

e2e: chromium firefox
	$(call title,Tests in the browser)
	@cd web && npm run --silent test:e2e

# A site of its own; the built one has to have the files that the test looks for.
edgetest: web/edge/node_modules/.package-lock.json
	$(call title,Tests on the runtime of the edge)
	@node web/edge/build.mjs
	@cd web/edge && node --test --test-reporter=spec edge.test.mjs
