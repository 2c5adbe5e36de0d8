"""Whether there is any plan: every state that the unit can get into. Tools, faces and waits
forbid nothing, so they are no part of a state.
"""

import rules
from rules import EASED, FITTED, OFF


def has_plan(job):
    ops = rules.ops(job)
    start = (tuple(job["from"]), tuple(job.get("power", [])), frozenset(range(len(job["tasks"]))))
    known, pending = {start}, [start]
    while pending:
        unit = Unit(job, *pending.pop())
        if unit.is_finished():
            return True
        for op in ops:
            if unit.can_do(op) and unit.is_in_order(op):
                after = unit.after(op)
                if after not in known:
                    known.add(after)
                    pending.append(after)
    return False


class Unit:
    """A unit in one state: of its parts, of its sources, and the tasks that are left."""

    def __init__(self, job, parts, live, left):
        self.job, self.parts, self.live, self.left = job, parts, live, left

    def is_finished(self):
        job = self.job
        parts, sources = range(len(self.parts)), range(len(self.live))
        is_closed = all(
            self.parts[part] == FITTED or self.is_gone(part)
            for part in parts
            if rules.there(job, part)
        )
        is_live = rules.is_out_of_use(job) or all(
            self.live[source] for source in sources if rules.has_source(job, source)
        )
        return not self.left and is_closed and is_live

    def after(self, op):
        parts, live, left = list(self.parts), list(self.live), set(self.left)
        if op.part is not None:
            parts[op.part] = op.end
        if op.source is not None:
            live[op.source] = not op.isolates
        left.discard(op.task)
        return tuple(parts), tuple(live), frozenset(left)

    # --- formulas ---------------------------------------------------------------

    def is_gone(self, part):
        return any(task not in self.left for task in rules.leaving(self.job, part))

    def is_away(self, part):
        carriers = list(rules.carried_by(self.job["parts"], part))[1:]
        return any(self.parts[carrier] == OFF for carrier in carriers)

    def holds(self, formula):
        kind, *rest = formula
        if kind == "all":
            return all(self.holds(one) for one in rest)
        if kind == "any":
            return any(self.holds(one) for one in rest)
        if kind in ("isolated", "live"):
            return self.live[rest[0]] == (kind == "live")
        own = self.parts[rest[0]]
        if kind == "own":
            return own >= rest[1]
        if self.is_gone(rest[0]):
            return True
        away = self.is_away(rest[0])
        if kind == "stay":
            return own == FITTED and not away
        if kind == "clear":
            return own == OFF
        return away or own >= (OFF if kind == "off" else EASED)

    # --- operations -------------------------------------------------------------

    def can_do(self, op):
        """Whether it can be done now, the order of services aside."""
        if op.task is not None:
            placed = op.task in self.left
        elif op.source is not None:
            placed = self.live[op.source] == op.isolates
        else:
            placed = self.parts[op.part] == op.start and self.is_away(op.part) == op.bench
            placed = placed and not self.is_gone(op.part)
        return placed and all(self.holds(formula) for formula in op.needs)

    def is_in_order(self, op):
        """Whether no service has to come before it, and it comes before nothing that it
        has to come after."""
        named = rules.names(op, self.job)
        for number in self.left:
            kind, service = self.job["tasks"][number]
            if kind == "serve":
                service = self.job["services"][service]
                if named in service.get("before", []):
                    return False
                if op.task == number and any(map(self.is_ahead, service.get("after", []))):
                    return False
        return True

    def is_ahead(self, anchor):
        kind, about = anchor
        if kind in ("swap", "service"):
            return rules.task_of(self.job, anchor) in self.left
        if not rules.there(self.job, about) or self.is_gone(about):
            return False
        is_off = self.parts[about] == OFF
        is_wanted = any(task in self.left for task in rules.wants_off(self.job, about))
        return is_off or is_wanted if kind == "put-back" else is_wanted and not is_off
