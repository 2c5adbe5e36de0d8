"""Solves sequential ordering problems with OR-Tools CP-SAT, one worker, for
comparison: `ordering_cpsat.py SECONDS FILE...` prints one line of tab-separated
name, cost, bound, proven, seconds for each.

The model: one literal for each pair that may follow each other, a circuit
through all of them closed from the last node to the first, a rank for each
node, ranks in the order of the precedences.
"""

import sys
import time
from pathlib import Path

from ortools.sat.python import cp_model


def read(path):
    """The matrix of a TSPLIB SOP file."""
    text = path.read_text().split("EDGE_WEIGHT_SECTION", 1)[1]
    words = text.replace("EOF", " ").split()
    size = int(words[0])
    numbers = [int(word) for word in words[1 : 1 + size * size]]
    return [numbers[row * size : (row + 1) * size] for row in range(size)]


def before_sets(rows):
    """For each node, the nodes that come before it, closed transitively."""
    size = len(rows)
    before = [
        {to for to in range(size) if rows[node][to] == -1 and to != node}
        for node in range(size)
    ]
    for node in range(1, size):
        before[node].add(0)
    for node in range(size - 1):
        before[size - 1].add(node)
    changed = True
    while changed:
        changed = False
        for node in range(size):
            more = set().union(*(before[other] for other in before[node])) - before[node]
            if more:
                before[node] |= more
                changed = True
    return before


def solve(rows, seconds):
    size = len(rows)
    before = before_sets(rows)
    after = [sum(node in before[other] for other in range(size)) for node in range(size)]
    model = cp_model.CpModel()
    rank = [
        model.new_int_var(len(before[node]), size - 1 - after[node], f"rank{node}")
        for node in range(size)
    ]
    arcs = [(size - 1, 0, model.new_constant(1))]
    terms = []
    for start in range(size):
        for to in range(size):
            if start == to or rows[start][to] == -1 or start in before[to] and any(
                start in before[between] for between in before[to]
            ):
                continue
            taken = model.new_bool_var(f"{start}_{to}")
            arcs.append((start, to, taken))
            model.add(rank[to] == rank[start] + 1).only_enforce_if(taken)
            terms.append(rows[start][to] * taken)
    model.add_circuit(arcs)
    for node in range(size):
        for other in before[node]:
            if not any(other in before[between] for between in before[node]):
                model.add(rank[other] + 1 <= rank[node])
    model.minimize(sum(terms))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_time_in_seconds = seconds
    begin = time.perf_counter()
    status = solver.solve(model)
    took = time.perf_counter() - begin
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    cost = round(solver.objective_value) if found else None
    return cost, round(solver.best_objective_bound), status == cp_model.OPTIMAL, took


def main():
    seconds = float(sys.argv[1])
    for name in sys.argv[2:]:
        path = Path(name)
        cost, bound, proven, took = solve(read(path), seconds)
        print(
            path.stem,
            "-" if cost is None else cost,
            bound,
            "yes" if proven else "no",
            f"{took:.2f}",
            sep="\t",
            flush=True,
        )


if __name__ == "__main__":
    main()
