"""The cheapest order in which each leg is used at most once: a tour through the
operations that are done, as a circuit with optional nodes.

Where no formula wants a part to stay, no part rides on another and no service comes
after putting something back, using each leg once is no loss: take the inner
"back" and "out again" out of a plan; the part is then open for longer, which makes
no formula false, and leaving operations out of a sequence never adds a change. So
the least time found here is the least there is. Beside that, fewest parts disturbed.
"""

from ortools.sat.python import cp_model

import rules
from rules import EASED, FITTED, OFF


def solve(job, seconds):
    """(total, disturbed), None where there is no way, or "no proof"."""
    model = Model(job)
    return model.solve(seconds)


class Model:
    def __init__(self, job):
        self.job = job
        self.ops = rules.ops(job)
        self.cp = cp_model.CpModel()
        count = len(self.ops)
        self.done = [self.cp.new_bool_var(f"{op.name}?") for op in self.ops]
        self.at = [self.cp.new_int_var(1, count, op.name) for op in self.ops]
        self.cost = []
        self.move_parts()
        self.tour()
        for op in range(count):
            for formula in self.ops[op].needs:
                self.cp.add_implication(self.done[op], self.true(formula, op))
        for number, (kind, service) in enumerate(job["tasks"]):
            if kind == "serve":
                self.service(number, job["services"][service])

    # --- which operations ---------------------------------------------------

    def leg(self, part, start, end):
        for at, op in enumerate(self.ops):
            if op.part == part and (op.start, op.end) == (start, end):
                return at
        return None

    def move_parts(self):
        self.disturbed = []
        for part in range(len(self.job["parts"])):
            if not rules.there(self.job, part):
                continue
            is_at = self.job["from"][part]
            ladder = [FITTED, EASED, OFF] if "ease" in self.job["parts"][part] else [FITTED, OFF]
            before = None
            for low, high in zip(ladder, ladder[1:]):
                out, back = self.leg(part, low, high), self.leg(part, high, low)
                if out is None:
                    continue
                if is_at >= high:
                    self.cp.add(self.done[out] == 0)
                    self.cp.add(self.done[back] == 1)
                else:
                    self.cp.add(self.done[out] == self.done[back])
                    self.cp.add(self.at[out] < self.at[back]).only_enforce_if(self.done[out])
                    if low == FITTED:
                        self.disturbed.append(self.done[out])
                if before is not None:
                    # Out by one leg and then the next; back the other way round.
                    low_out, low_back = before
                    self.cp.add_implication(self.done[back], self.done[low_back])
                    self.cp.add(self.at[back] < self.at[low_back]).only_enforce_if(self.done[back])
                    if is_at < low:
                        self.cp.add_implication(self.done[out], self.done[low_out])
                    both = [self.done[out], self.done[low_out]]
                    self.cp.add(self.at[low_out] < self.at[out]).only_enforce_if(both)
                before = out, back
        for at, op in enumerate(self.ops):
            if op.task is not None:
                self.cp.add(self.done[at] == 1)

    # --- in which order, at what cost -----------------------------------------

    def tour(self):
        home = len(self.ops)
        arcs = [(home, home, idle := self.cp.new_bool_var("nothing to do"))]
        links = []
        for one, op in enumerate(self.ops):
            arcs.append((one, one, ~self.done[one]))
            self.cost.append(op.work * self.done[one])
            self.cp.add_implication(idle, ~self.done[one])
            first = self.cp.new_bool_var("")
            arcs += [(home, one, first), (one, home, self.cp.new_bool_var(""))]
            self.cp.add(self.at[one] == 1).only_enforce_if(first)
            links.append((None, one, first))
            for other in range(len(self.ops)):
                if one != other:
                    arc = self.cp.new_bool_var("")
                    arcs.append((one, other, arc))
                    links.append((one, other, arc))
                    self.cp.add(self.at[other] == self.at[one] + 1).only_enforce_if(arc)
        self.cp.add_circuit(arcs)
        self.changes("tool", links)
        self.changes("face", links)

    def changes(self, kind, links):
        price = self.job[f"{kind}_change"]
        used = [op.uses(kind) for op in self.ops]
        kinds = sorted({one for uses in used for one in uses})
        # What is in hand after an operation that asks for nothing: a choice of one.
        hand = {}
        for at, uses in enumerate(used):
            if uses:
                self.cost.append(price * (len(uses) - 1) * self.done[at])
            else:
                hand[at] = {one: self.cp.new_bool_var("") for one in kinds}
                self.cp.add_at_most_one(hand[at].values())
        change = [self.cp.new_bool_var("") for _ in self.ops]
        self.cost += [price * one for one in change]
        for before, after, arc in links:
            if before is None:
                has = {one: self.job[kind] == one for one in kinds}
            elif used[before]:
                has = {one: used[before][-1] == one for one in kinds}
            else:
                has = hand[before]
            if used[after]:
                is_there = has[used[after][0]]
                if is_there is False:
                    self.cp.add_implication(arc, change[after])
                elif is_there is not True:
                    self.cp.add_bool_or(~arc, is_there, change[after])
            else:
                for one in kinds:
                    if has[one] is False:
                        self.cp.add_implication(arc, ~hand[after][one])
                    elif has[one] is not True:
                        self.cp.add_bool_or(~arc, ~hand[after][one], has[one])

    # --- when formulas are true -------------------------------------------------

    def true(self, formula, op):
        """A literal that only holds where the formula is true when the operation
        begins."""
        kind, *rest = formula
        literal = self.cp.new_bool_var("")
        if kind == "all":
            for one in rest:
                self.cp.add_implication(literal, self.true(one, op))
        elif kind == "any":
            self.cp.add_bool_or(~literal, *(self.true(one, op) for one in rest))
        elif kind == "own":
            self.opened(literal, rest[0], rest[1], op)
        else:
            assert kind in ("off", "clear", "eased"), f"{kind} is not for this model"
            self.opened(literal, rest[0], EASED if kind == "eased" else OFF, op)
        return literal

    def opened(self, literal, part, least, op):
        """If the literal holds, the part is at least so far out when the operation
        begins."""
        ways = [
            (self.leg(part, low, high), self.leg(part, high, low), high)
            for low, high in [(FITTED, EASED), (EASED, OFF), (FITTED, OFF)]
            if self.leg(part, low, high) is not None
        ]
        ways = [way for way in ways if way[2] >= least]
        if not ways:
            self.cp.add(literal == 0)
            return
        out, back, reached = min(ways, key=lambda way: way[2])
        self.cp.add_implication(literal, self.done[back])
        self.cp.add(self.at[op] < self.at[back]).only_enforce_if(literal)
        if self.job["from"][part] < reached:
            self.cp.add(self.at[out] < self.at[op]).only_enforce_if(literal)

    # --- services -----------------------------------------------------------------

    def task_at(self, number):
        return next(at for at, op in enumerate(self.ops) if op.task == number)

    def service(self, number, service):
        mine = self.task_at(number)
        for named in service.get("before", []):
            for at, op in enumerate(self.ops):
                if rules.names(op, self.job) == named:
                    self.cp.add(self.at[mine] < self.at[at]).only_enforce_if(self.done[at])
        for kind, about in service.get("after", []):
            if kind in ("swap", "service"):
                other = rules.task_of(self.job, [kind, about])
                if other is not None:
                    self.cp.add(self.at[self.task_at(other)] < self.at[mine])
            else:
                assert kind == "take-off", f"after {kind} is not for this model"
                wanting = rules.wants_off(self.job, about)
                if rules.there(self.job, about) and wanting:
                    off, done = self.cp.new_bool_var(""), self.cp.new_bool_var("")
                    self.cp.add_bool_or(off, done)
                    self.opened(off, about, OFF, mine)
                    for other in wanting:
                        after = self.at[self.task_at(other)] < self.at[mine]
                        self.cp.add(after).only_enforce_if(done)

    # --- the answer ---------------------------------------------------------------

    def solve(self, seconds):
        many = len(self.disturbed) + 1
        total = sum(self.cost)
        self.cp.minimize(many * total + sum(self.disturbed))
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = seconds
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        status = solver.solve(self.cp)
        if status == cp_model.INFEASIBLE:
            return None
        if status != cp_model.OPTIMAL:
            return "no proof"
        return [int(solver.value(total)), sum(solver.value(one) for one in self.disturbed)]
