# `make serve` to use it, `make test` to check it. The scripts are in .make/.

SHELL := /bin/bash
PORT ?= 8080
# Each recipe finds the pinned tools first.
with_tools := . .make/env &&

.PHONY: help serve test build tools fmt fmt-check lint native-test browser-test e2e bench \
	reference-ordering reference-planner reference-time mutants shots taps planning-slowed lighthouse \
	size words icons clean

help: ## say what can be made
	@awk -F ':.*## ' '/^[a-z0-9-]+:.*## / { printf "make %-18s %s\n", $$1, $$2 }' Makefile

serve: build ## build the app, serve it with the demo catalogs and open it (PORT=8080)
	@$(with_tools) cargo run --quiet --locked --bin lidoff -- serve dist --port $(PORT) --open

test: ## check everything, and say how long each part took
	@.make/test

build: ## build the app into dist/
	@.make/tools build
	@$(with_tools) trunk build

tools: ## install what `make test` needs and this machine lacks
	@.make/tools test

fmt: ## put the code in order
	@$(with_tools) cargo fmt --all

fmt-check:
	@$(with_tools) cargo fmt --all --check

lint: ## clippy, for this machine and for the browser
	@$(with_tools) cargo clippy --locked --all-targets -- -D warnings
	@$(with_tools) cargo clippy --locked --test e2e -- -D warnings
	@$(with_tools) cargo clippy --locked --target wasm32-unknown-unknown --lib --bin lidoff-app --test browser -- -D warnings

native-test: ## tests that need no browser
	@$(with_tools) cargo test --locked

browser-test: tools ## tests of the parts that only a browser can answer
	@.make/in-browser

e2e: tools build ## drive the built app in a browser
	@$(with_tools) cargo test --locked --test e2e -- --test-threads 2

bench: tools ## measure planning, on this machine and in the browser; try the forecast on simulated jobs
	@$(with_tools) cargo bench --locked --bench calibration
	@$(with_tools) cargo bench --locked --bench planning
	@$(with_tools) cargo bench --locked --bench ordering
	@$(with_tools) cargo bench --locked --bench scale
	@.make/in-browser --profile wasm-release --test browser-bench -- --nocapture

reference-ordering: ## the ordering engine beside other solvers: LIDOFF_SOP=FOLDER, LIDOFF_SECONDS=20
	@$(with_tools) tests/reference/ordering_compare.sh $(or $(LIDOFF_SECONDS),20) $(LIDOFF_SOP)/*.sop

reference-planner: ## work out the least times of the planner's outside check again (half an hour)
	@.make/tools reference
	@$(with_tools) "$$reference_root/bin/python" tests/reference/planner_reference.py write

mutants: ## change src/plan/ here and there: does a test notice? (SHARD=0/16: one in sixteen)
	@.make/tools mutants
	@.make/mutants

reference-time: ## work out again what the tests of times compare with (Python; versions pinned)
	@.make/reference-time

taps: tools build ## how long a tap on Done takes until the next step is painted, processor 4 times slower (LIDOFF_SLOWER=4)
	@$(with_tools) cargo test --locked --test e2e -- --ignored --exact taps::taps --nocapture

planning-slowed: tools ## how long a plan takes in the browser, processor 4 times slower (LIDOFF_SLOWER=4)
	@.make/planning-slowed

lighthouse: build ## what Lighthouse says of a first visit on a phone (RUNS=3), reports in target/lighthouse/
	@.make/tools lighthouse
	@.make/lighthouse

shots: tools build ## pictures of the screens in every theme into target/shots/
	@$(with_tools) cargo test --locked --test e2e -- --ignored shots --nocapture

size: build ## what comes over the air, file by file
	@$(with_tools) .make/tools test && .make/size

words: ## bring the translations in words/ up to date: what is new waits there to be translated
	@$(with_tools) cargo test --locked --quiet --test tongue -- --ignored --nocapture bring_up_to_date

icons: ## draw the PNG icons from the SVG
	@.make/tools icons
	@.make/icons

clean: ## throw away what was built; the tools stay
	rm -rf dist
	@$(with_tools) cargo clean
