"""The cheapest plan by state: so many slots, one operation or none in each, and the
whole state of the unit between them. It knows every rule: riders, what must stay,
services, waits, energy sources, parts left out; and a leg may be used as often as it pays.

How many slots are enough follows from the answer: every operation takes some time,
so that a plan that is no dearer cannot have more than so many.
"""

from ortools.sat.python import cp_model

import rules
from rules import EASED, FITTED, OFF


def solve(job, seconds, once=False):
    """(total, disturbed), "too long" where a proof would take too many slots, or "no
    proof". With `once`, the cheapest among plans that use each leg once."""
    ops = rules.ops(job)
    least = min((op.work for op in ops if op.task is None), default=1)
    tasks = sum(op.work for op in ops if op.task is not None)
    if least == 0:
        return "too long"
    slots = 8
    while slots <= MOST_SLOTS:
        found = Model(job, ops, slots, once).solve(seconds)
        if found == "no proof":
            return found
        if found is not None:
            enough = len(job["tasks"]) + (found[0] - tasks) // least
            if enough <= slots:
                return found
            slots = enough
        else:
            slots += 4
    return "too long"


MOST_SLOTS = 26


class Model:
    def __init__(self, job, ops, slots, once):
        self.job = job
        self.ops = ops
        self.cp = cp_model.CpModel()
        self.known = {}
        self.waits = job.get("waits", [])
        self.state = [self.state_vars() for _ in range(slots + 1)]
        self.picks = []
        self.begin()
        self.clock = [0]
        self.price = []
        self.disturbed = []
        for slot in range(slots):
            self.slot(slot)
        self.end()
        if once:
            for op in range(len(ops)):
                self.cp.add_at_most_one(pick[op] for pick in self.picks)

    def new(self):
        return self.cp.new_bool_var("")

    def one_of(self, keys):
        made = {key: self.new() for key in keys}
        self.cp.add_exactly_one(made.values())
        return made

    def state_vars(self):
        parts = range(len(self.job["parts"]))
        used = {
            kind: sorted({u for op in self.ops for u in op.uses(kind)} | {-1})
            for kind in ("tool", "face")
        }
        state = {kind: self.one_of(keys) for kind, keys in used.items()}
        state["part"] = [self.one_of([FITTED, EASED, OFF]) for _ in parts]
        state["live"] = [self.new() for _ in self.job.get("sources", [])]
        state["left"] = [self.new() for _ in self.job["tasks"]]
        state["over"] = [self.cp.new_int_var(0, 100_000, "") for _ in self.waits]
        return state

    def begin(self):
        state = self.state[0]
        for part, is_at in enumerate(self.job["from"]):
            self.cp.add(state["part"][part][is_at] == 1)
        for live, begins_live in zip(state["live"], self.job.get("power", [])):
            self.cp.add(live == int(begins_live))
        for left in state["left"]:
            self.cp.add(left == 1)
        for kind in ("tool", "face"):
            has = self.job[kind]
            self.cp.add(state[kind][has if has in state[kind] else -1] == 1)
        for over, running in zip(state["over"], self.job.get("running", [])):
            self.cp.add(over == running)

    def end(self):
        state = self.state[-1]
        for part in range(len(self.job["parts"])):
            if rules.there(self.job, part):
                self.cp.add_bool_or(state["part"][part][FITTED], self.gone(part, -1))
        for source, live in enumerate(state["live"]):
            if rules.has_source(self.job, source) and not rules.is_out_of_use(self.job):
                self.cp.add(live == 1)
        for left in state["left"]:
            self.cp.add(left == 0)

    # --- one slot -------------------------------------------------------------

    def slot(self, at):
        here, then = self.state[at], self.state[at + 1]
        pick = [self.new() for _ in self.ops]
        idle = self.new()
        self.cp.add_exactly_one([*pick, idle])
        if self.picks:
            # Nothing to do comes last.
            self.cp.add(sum(pick) <= sum(self.picks[-1]))
        self.picks.append(pick)
        for part, states in enumerate(here["part"]):
            moves = [(p, op) for p, op in zip(pick, self.ops) if op.part == part]
            stays = [~p for p, _ in moves]
            for key, literal in states.items():
                same = [*stays, literal]
                # Unless it moves, it is as it was.
                other = then["part"][part][key]
                moved = [p for p, _ in moves]
                self.cp.add_bool_or(~same[-1], other, *moved)
            for p, op in moves:
                self.cp.add_implication(p, states[op.start])
                self.cp.add_implication(p, then["part"][part][op.end])
                if op.start == FITTED:
                    self.disturbed.append(p)
        for source, live in enumerate(here["live"]):
            isolating = [p for p, op in zip(pick, self.ops) if op.source == source and op.isolates]
            others = [p for p, op in zip(pick, self.ops) if op.source == source and not op.isolates]
            # One operation in a slot: so it is isolated and made live in turn.
            self.cp.add(then["live"][source] == live - sum(isolating) + sum(others))
            # What is isolated counts as disturbed, like a part that leaves its place.
            self.disturbed += isolating
        for number, left in enumerate(here["left"]):
            does = sum(p for p, op in zip(pick, self.ops) if op.task == number)
            self.cp.add(then["left"][number] == left - does)
        for p, op in zip(pick, self.ops):
            for formula in op.needs:
                self.cp.add_implication(p, self.true(formula, at))
            if op.part is not None and "on" in self.job["parts"][op.part]:
                away = self.away(op.part, at)
                self.cp.add_implication(p, away if op.bench else ~away)
            elif op.bench:
                self.cp.add(p == 0)
            if op.part is not None:
                self.cp.add_implication(p, ~self.gone(op.part, at))
            self.order(p, op, at)
        self.pay(at, pick, idle)

    def pay(self, at, pick, idle):
        here, then = self.state[at], self.state[at + 1]
        change = {}
        for kind in ("tool", "face"):
            changed = change[kind] = self.new()
            price = self.job[f"{kind}_change"]
            self.price.append(price * changed)
            for key, literal in here[kind].items():
                bare = [idle, *(p for p, op in zip(pick, self.ops) if not op.uses(kind))]
                self.cp.add_bool_or(
                    ~literal, then[kind][key], *(p for p in pick if all(p is not b for b in bare))
                )
            for p, op in zip(pick, self.ops):
                uses = op.uses(kind)
                if uses:
                    self.cp.add_bool_or(~p, here[kind][uses[0]], changed)
                    self.cp.add_implication(p, then[kind][uses[-1]])
                    self.price.append(price * (len(uses) - 1) * p)
        self.price += [op.work * p for p, op in zip(pick, self.ops)]
        if self.waits:
            self.run_clock(at, pick, idle, change)

    # --- formulas ---------------------------------------------------------------

    def away(self, part, at):
        """Whether the part has gone with a carrier."""
        key = ("away", part, at)
        if key not in self.known:
            self.known[key] = literal = self.new()
            ways = []
            carrier = self.job["parts"][part].get("on")
            if carrier is not None:
                if rules.there(self.job, carrier):
                    ways.append(self.state[at]["part"][carrier][OFF])
                ways.append(self.away(carrier, at))
            self.same_as_any(literal, ways)
        return self.known[key]

    def gone(self, part, at):
        """Whether the part, or one that it rides on, has been left out."""
        key = ("gone", part, at)
        if key not in self.known:
            self.known[key] = literal = self.new()
            left = self.state[at]["left"]
            self.same_as_any(literal, [~left[task] for task in rules.leaving(self.job, part)])
        return self.known[key]

    def same_as_any(self, literal, ways):
        self.cp.add_bool_or(~literal, *ways)
        for way in ways:
            self.cp.add_implication(way, literal)

    def same_as_all(self, literal, ways):
        self.cp.add_bool_or(literal, *(~way for way in ways))
        for way in ways:
            self.cp.add_implication(literal, way)

    def true(self, formula, at):
        """A literal that is true just where the formula is."""
        key = (repr(formula), at)
        if key in self.known:
            return self.known[key]
        literal = self.known[key] = self.new()
        kind, *rest = formula
        if kind == "all":
            self.same_as_all(literal, [self.true(one, at) for one in rest])
        elif kind == "any":
            self.same_as_any(literal, [self.true(one, at) for one in rest])
        elif kind in ("isolated", "live"):
            live = self.state[at]["live"][rest[0]]
            self.same_as_any(literal, [live if kind == "live" else ~live])
        else:
            part = rest[0]
            own = self.state[at]["part"][part]
            gone = self.gone(part, at)
            if kind == "own":
                ways = [own[state] for state in (EASED, OFF) if state >= rest[1]]
                self.same_as_any(literal, ways)
            elif kind == "clear":
                self.same_as_any(literal, [own[OFF], gone])
            elif kind == "off":
                self.same_as_any(literal, [own[OFF], self.away(part, at), gone])
            elif kind == "eased":
                self.same_as_any(literal, [own[EASED], own[OFF], self.away(part, at), gone])
            else:
                assert kind == "stay", kind
                in_place = self.new()
                self.same_as_all(in_place, [own[FITTED], ~self.away(part, at)])
                self.same_as_any(literal, [in_place, gone])
        return literal

    # --- services -----------------------------------------------------------------

    def order(self, p, op, at):
        job, left = self.job, self.state[at]["left"]
        named = rules.names(op, job)
        for number, (kind, service) in enumerate(job["tasks"]):
            if kind != "serve":
                continue
            said = job["services"][service]
            if named in said.get("before", []):
                self.cp.add_implication(p, ~left[number])
            if op.task == number:
                for after in said.get("after", []):
                    self.after(p, after, at)

    def after(self, p, after, at):
        job, left = self.job, self.state[at]["left"]
        kind, about = after
        if kind in ("swap", "service"):
            other = rules.task_of(job, after)
            if other is not None:
                self.cp.add_implication(p, ~left[other])
            return
        if not rules.there(job, about):
            return
        wanting = [left[number] for number in rules.wants_off(job, about)]
        off, gone = self.state[at]["part"][about][OFF], self.gone(about, at)
        if kind == "put-back":
            for never in [off, *wanting]:
                self.cp.add_bool_or(~p, ~never, gone)
        else:
            assert kind == "take-off", kind
            for never in wanting:
                self.cp.add_bool_or(~p, off, ~never, gone)

    # --- waits --------------------------------------------------------------------

    def run_clock(self, at, pick, idle, change):
        """What the clock shows at least after each slot, and when each wait is over
        at least. To be later than that is never of use."""
        start, end = self.clock[-1], self.cp.new_int_var(0, 100_000, "")
        here, then = self.state[at]["over"], self.state[at + 1]["over"]
        self.cp.add(end >= start)
        for old, new in zip(here, then):
            self.cp.add(new >= old)
        for p, op in zip(pick, self.ops):
            now = start
            used = {}
            over = dict(enumerate(here))
            for step in op.steps:
                for kind in ("tool", "face"):
                    want = getattr(step, kind)
                    if want is None:
                        continue
                    price = self.job[f"{kind}_change"]
                    if kind not in used:
                        now = now + price * change[kind]
                    elif used[kind] != want:
                        now = now + price
                    used[kind] = want
                if step.after is not None:
                    waited = self.cp.new_int_var(0, 100_000, "")
                    self.cp.add(waited >= now).only_enforce_if(p)
                    self.cp.add(waited >= over[step.after]).only_enforce_if(p)
                    now = waited
                now = now + step.time
                if step.starts is not None:
                    over[step.starts] = now + 10 * self.waits[step.starts]
            self.cp.add(end >= now).only_enforce_if(p)
            for wait, late in over.items():
                if late is not here[wait]:
                    self.cp.add(then[wait] >= late).only_enforce_if(p)
        self.clock.append(end)

    # --- the answer ---------------------------------------------------------------

    def solve(self, seconds):
        many = len(self.disturbed) + 1
        total = self.clock[-1] if self.waits else sum(self.price)
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
