# `make serve` to use it, `make test` to check it. Each target is a task of `cargo xtask`.

SHELL := /bin/bash
PORT ?= 8080
# Where rustup puts cargo, if the PATH does not have it.
export PATH := $(PATH):$(or $(CARGO_HOME),$(HOME)/.cargo)/bin

.PHONY: help xtask serve test build tools fmt fmt-check lint native-test browser-test e2e bench \
	reference-ordering reference-planner reference-time mutants shots taps planning-slowed lighthouse \
	size trunk-parity words map icons clean

help: ## list the targets
	@awk -F ':.*## ' '/^[a-z0-9-]+:.*## / { printf "make %-18s %s\n", $$1, $$2 }' Makefile

serve: build ## build the app, serve it with the demo catalogs and open it (PORT=8080)
	@cargo xtask serve --port $(PORT) --open

test: xtask ## check everything, and report how long each part took
	@cargo xtask test

build: xtask ## build the app into dist/
	@cargo xtask build

tools: xtask ## install what `make test` needs and this machine lacks
	@cargo xtask tools test

fmt: ## format the code
	@cargo fmt --all

fmt-check: ## check the format of the code
	@cargo fmt --all --check

lint: xtask ## clippy, for this machine and for the browser
	@cargo xtask lint

native-test: xtask ## tests that need no browser
	@cargo xtask native-test

browser-test: xtask ## tests of the parts that only a browser can answer
	@cargo xtask browser-test

e2e: build ## drive the built app in a browser
	@cargo xtask e2e

bench: xtask ## measure planning, on this machine and in the browser; try the forecast on simulated jobs
	@cargo xtask bench

reference-ordering: xtask ## the ordering engine beside other solvers: LIDOFF_SOP=FOLDER, LIDOFF_SECONDS=20
	@cargo xtask reference-ordering

reference-planner: xtask ## work out the least times of the planner's outside check again (half an hour)
	@cargo xtask reference-planner

reference-time: xtask ## work out again what the tests of times compare with (Python; versions pinned)
	@cargo xtask reference-time

mutants: xtask ## mutation testing of the planner (SHARD=0/16: one in sixteen)
	@cargo xtask mutants

taps: build ## how long a tap on Done takes until the next step is painted, processor 4 times slower (LIDOFF_SLOWER=4)
	@cargo xtask e2e -- --ignored --exact taps::taps --nocapture

planning-slowed: xtask ## how long a plan takes in the browser, processor 4 times slower (LIDOFF_SLOWER=4)
	@cargo xtask planning-slowed

lighthouse: build ## what Lighthouse says of a first visit on a phone (RUNS=3), reports in target/lighthouse/
	@cargo xtask lighthouse

shots: build ## pictures of the screens in every theme into target/shots/
	@cargo xtask e2e -- --ignored shots --nocapture

size: build ## what comes over the air, file by file
	@cargo xtask size

trunk-parity: build ## compare the build with that of Trunk, where Trunk is installed
	@cargo xtask trunk-parity

words: ## bring the translations up to date: new texts wait there to be translated
	@cargo test --locked --quiet --package lidoff-tests --test i18n -- --ignored --nocapture bring_up_to_date

map: ## draw the map of the crates in DEVELOPERS.md again
	@cargo test --locked --quiet --package lidoff-tests --test architecture -- --ignored write_the_map

icons: xtask ## draw the PNG icons from the SVG
	@cargo xtask icons

clean: ## remove what was built; the tools stay
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
