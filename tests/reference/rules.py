"""What can be done to a unit, and what must hold for it: the rules at the top of
src/planner/lib.rs, read independently.

A *job* is a dictionary as `units.py` draws it and the fixture holds it. A formula
is a list: ["all", …], ["any", …], ["when", condition, formula], or an atom
["off" | "eased" | "clear" | "stay", part], ["isolated" | "live", source] or ["closed"].
A step is a list [time, tool, face, condition, starts, after]; null stands for "none", and
what is null at the end is left out.

A part may be left out by a task ["leave-out", part], or was left out before: "without"
lists those. It and its riders are then as if the unit did not have them, and no source is
made live in the whole job.
"""

from dataclasses import dataclass, field

FITTED, EASED, OFF = 0, 1, 2
ALWAYS = ["all"]
NEVER = ["any"]


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
    # A source that it isolates or makes live.
    source: int | None = None
    isolates: bool = False

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
    """Whether the unit has the part when the job begins."""
    is_left_out = any(one in job.get("without", []) for one in carried_by(job["parts"], part))
    return holds(job, job["parts"][part].get("when")) and not is_left_out


def carried_by(parts, part):
    """The part, its carrier, the carrier of that, and so on."""
    while part is not None:
        yield part
        part = parts[part].get("on")


def leaving(job, part):
    """Numbers of the tasks that leave out this part or one that it rides on."""
    carriers = list(carried_by(job["parts"], part))
    tasks = enumerate(job["tasks"])
    return [number for number, (kind, at) in tasks if kind == "leave-out" and at in carriers]


def is_out_of_use(job):
    """Whether the unit is closed without a part, so that nothing is made live any more."""
    return bool(job.get("without")) or any(kind == "leave-out" for kind, _ in job["tasks"])


def has_source(job, source):
    return holds(job, job["sources"][source].get("when"))


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
    if kind == "closed":
        return simple(job, ["all", *(["stay", part] for part in range(len(job["parts"])))])
    is_there = has_source if kind in ("isolated", "live") else there
    if not is_there(job, rest[0]):
        return True
    return NEVER if kind == "live" and is_out_of_use(job) else [kind, *rest]


def isolated(job, part, *exceptions):
    """The formula that every source that reaches the part is isolated, but for those that
    these entries list under "may_be_live". A source that lists what it reaches does not
    reach a service, which is done on no part."""
    spared = {source for entry in exceptions for source in entry.get("may_be_live", [])}
    asked = []
    for at, source in enumerate(job.get("sources", [])):
        reaches = "reach" not in source or part in source["reach"]
        if reaches and at not in spared:
            asked.append(["isolated", at])
    return ["all", *asked]


def ops(job):
    """Everything that can be done."""
    made = []
    for at, part in enumerate(job["parts"]):
        if there(job, at):
            made += legs(job, at, part)
    for at in range(len(job.get("sources", []))):
        if has_source(job, at):
            made += switches(job, at)
    for number, task in enumerate(job["tasks"]):
        made.append(task_op(job, number, task))
    return made


def legs(job, at, part):
    made = []
    fitted = EASED if "ease" in part else FITTED
    offered = [
        ("ease", part.get("ease"), FITTED, EASED, False),
        ("off", part.get("off"), fitted, OFF, False),
        *(("other", other, fitted, OFF, False) for other in part.get("others", [])),
        ("bench", part.get("bench"), FITTED, OFF, True),
    ]
    for leg, said, start, end, bench in offered:
        if said is None:
            continue
        needs = simple(job, ["all", said.get("needs", ALWAYS), isolated(job, at, part, said)])
        refit = simple(job, said.get("refit", ALWAYS))
        for way, start, end, asked in [
            ("out", start, end, [needs]),
            ("back", end, start, [needs, refit]),
        ]:
            asked = [one for one in asked if one is not True]
            name = f"{leg} {way} {at}"
            made.append(Op(name, steps(job, said[way]), asked, at, start, end, bench))
    return made


def switches(job, at):
    """The ways to isolate a source and to make it live, unless the unit goes out of use."""
    source = job["sources"][at]
    fed_by = [["isolated", feeder] for feeder in source.get("fed_by", [])]
    feeds = [
        ["live", other]
        for other, fed in enumerate(job["sources"])
        if at in fed.get("fed_by", [])
    ]
    made = []
    for said in source["ways"]:
        needs = simple(job, ["all", said.get("needs", ALWAYS), *fed_by])
        back = simple(job, ["all", said.get("refit", ALWAYS), *feeds])
        for way, asked in [("out", [needs]), ("back", [needs, back])]:
            if way == "back" and is_out_of_use(job):
                continue
            asked = [one for one in asked if one is not True]
            name = f"{'isolate' if way == 'out' else 'energise'} {at}"
            done = steps(job, said[way])
            made.append(Op(name, done, asked, source=at, isolates=way == "out"))
    return made


def task_op(job, number, task):
    kind, at = task
    if kind == "serve":
        service = job["services"][at]
        said = service["steps"]
        live = service.get("live", [])
        asked = [service.get("needs", ALWAYS), *(["live", source] for source in live)]
        power = isolated(job, None, service, {"may_be_live": live})
    else:
        part = job["parts"][at]
        said = part[kind]["steps"]
        if kind == "replace":
            over = [["clear", rider] for rider in part[kind].get("moves", [])]
            asked = [["clear", at], *over]
        elif kind == "reseat":
            # The part's own state: being away does not count.
            asked = [["own", at, OFF if part[kind]["at"] == "off" else EASED]]
        elif kind == "leave-out":
            asked = [["own", at, OFF]]
        else:
            asked = [part[kind].get("needs", ALWAYS)]
        power = isolated(job, at, part)
        # No other task is done to what is left out, before or after.
        asked += [NEVER for leaves in leaving(job, at) if leaves != number]
    asked = simple(job, ["all", *asked, power])
    return Op(f"{kind} {at}", steps(job, said), [] if asked is True else [asked], task=number)


def wants_off(job, part):
    """Numbers of the tasks that need the part off by its own leg."""
    wanting = []
    for number, (kind, at) in enumerate(job["tasks"]):
        if kind == "replace":
            moves = job["parts"][at]["replace"].get("moves", [])
            if part == at or part in moves:
                wanting.append(number)
        elif kind == "leave-out" and part == at:
            wanting.append(number)
        elif kind == "reseat" and part == at and job["parts"][at]["reseat"]["at"] == "off":
            wanting.append(number)
    return wanting


def names(op, job):
    """How a service's before and after name this operation; None where they
    cannot."""
    if op.source is not None:
        return None
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
