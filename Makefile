# `make serve` runs the app, `make test` checks everything. Most targets are tasks of `cargo xtask`.

SHELL := /bin/bash
PORT ?= 8080
# Where rustup puts cargo, if the PATH does not have it.
export PATH := $(PATH):$(or $(CARGO_HOME),$(HOME)/.cargo)/bin

.PHONY: help xtask serve test build tools fmt fmt-check lint native-test browser-test e2e bench \
	reference-ordering reference-planner reference-time mutants shots taps kill planning-slowed lighthouse \
	size trunk-parity words map icons sbom onefile clean

help: ## list the targets
	@awk -F ':.*## ' '/^[a-z0-9-]+:.*## / { printf "make %-18s %s\n", $$1, $$2 }' Makefile

serve: build ## build the app, serve it with the demo catalogs and open it (PORT=8080)
	@cargo xtask serve --port $(PORT) --open

test: xtask ## run all checks, and report how long each took
	@cargo xtask test

build: xtask ## build the app into dist/
	@cargo xtask build

tools: xtask ## install what `make test` needs and this machine lacks
	@cargo xtask tools test

fmt: ## format the code
	@cargo fmt --all

fmt-check: ## check the format of the code
	@cargo fmt --all --check

lint: xtask ## run clippy, for this machine and for the browser
	@cargo xtask lint

native-test: xtask ## run the tests that need no browser
	@cargo xtask native-test

browser-test: xtask ## run the tests that need a browser
	@cargo xtask browser-test

e2e: build ## drive the built app in a browser
	@cargo xtask e2e

bench: xtask ## measure planning here and in the browser; test the forecast on simulated jobs
	@cargo xtask bench

reference-ordering: xtask ## compare the sequencing engine with other solvers (LIDOFF_SOP=FOLDER, LIDOFF_SECONDS=20)
	@cargo xtask reference-ordering

reference-planner: xtask ## recompute the planner's reference optima with another solver (half an hour)
	@cargo xtask reference-planner

reference-time: xtask ## recompute the reference values of the time tests (Python, pinned versions)
	@cargo xtask reference-time

mutants: xtask ## run mutation testing of the planner (SHARD=0/16: one sixteenth)
	@cargo xtask mutants

taps: build ## measure the time from a tap on Done to the next step, processor slowed 4 times (LIDOFF_SLOWER=4)
	@cargo xtask e2e -- --ignored --exact taps::taps --nocapture

kill: build ## kill the browser N times at random moments (N=200, SEED=1): nothing acknowledged is lost
	@LIDOFF_KILLS=$(or $(N),200) LIDOFF_SEED=$(or $(SEED),1) cargo xtask e2e -- --exact kills::nothing_that_was_acknowledged_is_lost_when_the_browser_is_killed --nocapture

planning-slowed: xtask ## measure planning in the browser, processor slowed 4 times (LIDOFF_SLOWER=4)
	@cargo xtask planning-slowed

lighthouse: build ## run Lighthouse on a first visit by phone (RUNS=3); reports in target/lighthouse/
	@cargo xtask lighthouse

shots: build ## save pictures of the screens in every theme in target/shots/
	@cargo xtask e2e -- --ignored shots --nocapture

size: build ## list the download size of every file
	@cargo xtask size

trunk-parity: build ## compare the build with that of Trunk, where Trunk is installed
	@cargo xtask trunk-parity

words: ## update the PO files: add new texts, remove unused ones
	@cargo test --locked --quiet --package lidoff-tests --test i18n -- --ignored --nocapture bring_up_to_date

map: ## update the map of the crates in DEVELOPERS.md
	@cargo test --locked --quiet --package lidoff-tests --test architecture -- --ignored write_the_map

icons: xtask ## draw the PNG icons from the SVG
	@cargo xtask icons

onefile: build ## put the app into one HTML file that needs no server, target/lidoff.html
	@cargo xtask onefile

sbom: xtask ## list what the app and the command line are made of, as CycloneDX, in target/sbom/
	@cargo xtask sbom

clean: ## remove build output, but keep the tools
	rm -rf dist
	@cargo clean

# `cargo xtask` compiles itself first, which needs a C linker. The first time, it is
# compiled here so that cargo shows its progress.
xtask:
	@command -v cc >/dev/null && [ -e /etc/ssl/certs/ca-certificates.crt ] || ! command -v apt-get >/dev/null || { \
	  [ "$$(id -u)" = 0 ] || as=$$([ -t 0 ] && echo sudo || echo sudo -n); \
	  echo "Installing Debian packages: build-essential ca-certificates"; \
	  apt="$$as env DEBIAN_FRONTEND=noninteractive apt-get -qq -o Dpkg::Use-Pty=0"; \
	  $$apt update && $$apt install --yes --no-install-recommends build-essential ca-certificates >/dev/null; }
	@command -v cargo >/dev/null || { echo "There is no cargo. Install Rust with rustup first." >&2; exit 1; }
	@[ -x "$${CARGO_TARGET_DIR:-target}/debug/xtask" ] || { \
	  echo "== compile the build tool (about 1 minute on two cores, once)"; \
	  cargo build --locked --package xtask; }
