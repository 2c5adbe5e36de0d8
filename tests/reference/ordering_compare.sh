#!/usr/bin/env bash
# Sequential ordering: this engine beside CP-SAT, the rpid crate and the ddo crate,
# on the same files in the same run, one after the other, one thread each.
#   ordering_compare.sh SECONDS FILE…
# Prints, file by file, a tab-separated line for each: who, name, cost, bound,
# proven, seconds.
set -euo pipefail
here=$(dirname "$0")
venv=target/ordering-venv
export CARGO_TARGET_DIR=${CARGO_TARGET_DIR:-$PWD/target}

seconds=$1
shift

if [ ! -x "$venv/bin/python" ]; then
  python3 -m venv "$venv"
  "$venv/bin/pip" install --quiet --requirement "$here/ordering_requirements.txt"
fi
cargo build --quiet --release --locked --bin lidoff
cargo build --quiet --release --locked --manifest-path "$here/ordering_peers/Cargo.toml"

ours() {
  "$CARGO_TARGET_DIR/release/lidoff" order "$1" --seconds "$seconds" --json |
    "$venv/bin/python" -c '
import json, pathlib, sys
found = json.load(sys.stdin)
proven = "yes" if found["proven"] else "no"
seconds = "%.2f" % found["seconds"]
print(pathlib.Path(sys.argv[1]).stem, found["cost"], found["bound"], proven, seconds, sep="\t")
' "$1"
}
named() { sed "s/^/$1\t/"; }

for file in "$@"; do
  ours "$file" | named lidoff
  "$venv/bin/python" "$here/ordering_cpsat.py" "$seconds" "$file" | named cp-sat
  for peer in rpid ddo; do
    "$CARGO_TARGET_DIR/release/ordering_peers" "$peer" "$seconds" "$file" | named "$peer"
  done
done
