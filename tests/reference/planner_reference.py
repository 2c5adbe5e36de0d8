#!/usr/bin/env python3
"""The least times of random jobs, from OR-Tools' CP-SAT solver: an outside check of
the planner, with which it shares no line.

    planner_reference.py write [KIND…]  works all of them out again (some minutes), or only
                                        these kinds and keeps the other lines
    planner_reference.py check N        works N of them out again and compares

The answers are in planner_optima.json beside this file, one job a line; the tests
in tests/planner/reference.rs put the planner to the same jobs.
"""

import json
import sys
import time
from pathlib import Path

import once
import rules
import slots
import states
import units

OPTIMA = Path(__file__).with_name("planner_optima.json")
# So many of each kind.
WANTED = {"once": 160, "changes": 20, "everything": 80, "waits": 40, "power": 60, "left-out": 60}
SECONDS = 40


def solve(kind, job, seconds=SECONDS):
    """What is known of the job: `best` is the least time (tenths of a second) and the
    fewest parts disturbed at that time, null where there is no way. `once`, where
    waits play a part, is the same among plans that use each leg once. None where
    there is no proof in time."""
    if kind in ("once", "changes"):
        answer = {"best": once.solve(job, seconds)}
    elif kind == "left-out" and not states.has_plan(job):
        # No number of slots would show that.
        answer = {"best": None}
    else:
        answer = {"best": slots.solve(job, seconds)}
        if kind == "waits" and isinstance(answer["best"], list):
            answer["once"] = slots.solve(job, seconds, once=True)
    return None if any(isinstance(one, str) for one in answer.values()) else answer


def is_dull(kind, job, answer):
    """Whether hardly anything has to be moved, or no part is left out that should be."""
    if kind == "left-out" and not rules.is_out_of_use(job):
        return True
    if answer["best"] is None:
        return False
    parts = enumerate(job["from"])
    out_already = sum(rules.there(job, part) and state > 0 for part, state in parts)
    if not rules.is_out_of_use(job):
        out_already += sum(not live for live in job.get("power", []))
    return answer["best"][1] + out_already < 2


def write(kinds):
    lines = []
    unproven = 0
    known = json.loads(OPTIMA.read_text()) if set(kinds) < set(WANTED) else []
    for kind, wanted in WANTED.items():
        if kind not in kinds:
            lines += [line for line in known if line["kind"] == kind]
            continue
        number, found = 0, 0
        while found < wanted:
            job = units.job(kind, number)
            start = time.monotonic()
            answer = solve(kind, job)
            took = time.monotonic() - start
            print(f"{kind} {number}: {answer}, {took:.1f} s", file=sys.stderr)
            unproven += answer is None
            if answer is not None and not is_dull(kind, job, answer):
                lines.append({"kind": kind, "number": number, **answer, "job": job})
                found += 1
            number += 1
    written = [json.dumps(line, separators=(",", ":")) for line in lines]
    OPTIMA.write_text("[\n" + ",\n".join(written) + "\n]\n")
    print(f"{len(lines)} jobs in all; {unproven} more had no proof in time")


def check(count):
    known = json.loads(OPTIMA.read_text())
    # Spread over all kinds.
    every = max(1, len(known) // count)
    wrong = 0
    for line in known[::every][:count]:
        kind, number = line["kind"], line["number"]
        job = units.job(kind, number)
        start = time.monotonic()
        answer = solve(kind, job, 300)
        took = time.monotonic() - start
        kept = {key: line[key] for key in ("best", "once") if key in line}
        same = job == line["job"] and answer == kept
        wrong += not same
        told = "as written" if same else f"WRITTEN {kept}"
        print(f"{kind} {number}: {answer}, {took:.1f} s, {told}", flush=True)
    if wrong:
        sys.exit(f"{wrong} of {count} differ from {OPTIMA.name}: make reference-planner")


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["write", *kinds] if set(kinds) <= set(WANTED):
            write(kinds or WANTED)
        case ["check", count]:
            check(int(count))
        case _:
            sys.exit(__doc__)
