"""What can be done to a unit, and what must hold for it: the rules at the top of
src/planner/lib.rs, read independently.

A *job* is a dictionary as `units.py` draws it and the fixture holds it. A formula
is a list: ["all", …], ["any", …], ["when", condition, formula], or an atom
["off" | "eased" | "clear" | "stay", part]. A step is a list [time, tool, face, condition,
starts, after]; null stands for "none", and what is null at the end is left out.
"""

from dataclasses import dataclass, field

FITTED, EASED, OFF = 0, 1, 2
ALWAYS = ["all"]


@dataclass
class Step:
    time: int
    tool: int | None
    face: int | None
    starts: int | None
    after: int | None


@dataclass
class Op:
    """An operation: what it moves or does, what must be true, and its steps."""

    name: str
    steps: list[Step]
    needs: list = field(default_factory=list)
    part: int | None = None
    start: int | None = None
    end: int | None = None
    # Done in the unit (False), or on the bench (True).
    bench: bool = False
    task: int | None = None

    @property
    def work(self):
        return sum(step.time for step in self.steps)

    def uses(self, kind):
        """What it uses of "tool" or "face", in order; none twice in a row."""
        used = []
        for step in self.steps:
            want = getattr(step, kind)
            if want is not None and (not used or used[-1] != want):
                used.append(want)
        return used

    @property
    def has_wait(self):
        return any(s.starts is not None or s.after is not None for s in self.steps)


def holds(job, condition):
    """Whether a condition on options is true of this unit."""
    if condition is None:
        return True
    kind, *rest = condition
    if kind == "fitted":
        return job["fitted"][rest[0]]
    if kind == "not":
        return not holds(job, rest[0])
    if kind == "all":
        return all(holds(job, one) for one in rest)
    assert kind == "any", kind
    return any(holds(job, one) for one in rest)


def there(job, part):
    return holds(job, job["parts"][part].get("when"))


def steps(job, said):
    made = []
    for step in said:
        time, tool, face, when, starts, after = step + [None] * (6 - len(step))
        if holds(job, when):
            made.append(Step(time, tool, face, starts, after))
    return made


def simple(job, formula):
    """The formula on this unit, without conditions and parts that are not there;
    True where it asks for nothing."""
    kind, *rest = formula
    if kind == "when":
        return simple(job, rest[1]) if holds(job, rest[0]) else True
    if kind in ("all", "any"):
        made = [simple(job, one) for one in rest]
        if kind == "all":
            made = [one for one in made if one is not True]
            return ["all", *made] if made else True
        return True if any(one is True for one in made) else ["any", *made]
    return [kind, rest[0]] if there(job, rest[0]) else True


def ops(job):
    """Everything that can be done."""
    made = []
    for at, part in enumerate(job["parts"]):
        if there(job, at):
            made += legs(job, at, part)
    for number, task in enumerate(job["tasks"]):
        made.append(task_op(job, number, task))
    return made


def legs(job, at, part):
    made = []
    fitted = EASED if "ease" in part else FITTED
    for leg, start, end, bench in [
        ("ease", FITTED, EASED, False),
        ("off", fitted, OFF, False),
        ("bench", FITTED, OFF, True),
    ]:
        if leg not in part:
            continue
        said = part[leg]
        needs = simple(job, said.get("needs", ALWAYS))
        refit = simple(job, said.get("refit", ALWAYS))
        for way, start, end, asked in [
            ("out", start, end, [needs]),
            ("back", end, start, [needs, refit]),
        ]:
            asked = [one for one in asked if one is not True]
            name = f"{leg} {way} {at}"
            made.append(Op(name, steps(job, said[way]), asked, at, start, end, bench))
    return made


def task_op(job, number, task):
    kind, at = task
    asked = True
    if kind == "serve":
        service = job["services"][at]
        said = service["steps"]
        asked = simple(job, service.get("needs", ALWAYS))
    else:
        part = job["parts"][at]
        said = part[kind]["steps"]
        if kind == "replace":
            over = [["clear", rider] for rider in part[kind].get("moves", [])]
            asked = simple(job, ["all", ["clear", at], *over])
        elif kind == "reseat":
            # The part's own state: being away does not count.
            asked = ["own", at, OFF if part[kind]["at"] == "off" else EASED]
        else:
            asked = simple(job, part[kind].get("needs", ALWAYS))
    needs = [] if asked is True else [asked]
    return Op(f"{kind} {at}", steps(job, said), needs, task=number)


def wants_off(job, part):
    """Numbers of the tasks that need the part off by its own leg."""
    wanting = []
    for number, (kind, at) in enumerate(job["tasks"]):
        if kind == "replace":
            moves = job["parts"][at]["replace"].get("moves", [])
            if part == at or part in moves:
                wanting.append(number)
        elif kind == "reseat" and part == at and job["parts"][at]["reseat"]["at"] == "off":
            wanting.append(number)
    return wanting


def names(op, job):
    """How a service's before and after name this operation; None where they
    cannot."""
    if op.task is not None:
        kind, at = job["tasks"][op.task]
        return {"replace": ["swap", at], "serve": ["service", at]}.get(kind)
    if op.end == OFF:
        return ["take-off", op.part]
    if op.start == OFF:
        return ["put-back", op.part]
    return None


def task_of(job, reference):
    """The task that a service's before or after is about; None where nobody asked
    for it."""
    kind, at = reference
    task = ["replace", at] if kind == "swap" else ["serve", at]
    return job["tasks"].index(task) if task in job["tasks"] else None
