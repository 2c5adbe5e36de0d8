"""Jobs on units made at random.

Part n asks for nothing but parts before it, and every formula is drawn round a way
for those to lie that makes it true (their *lie*), so that there is a way to
everything but where services, energy sources or parts left out forbid it. `random()` is
the only source of chance: Python promises that it stays the same for a seed.
"""

import random

import rules
import states
from rules import EASED, FITTED, OFF


class Draw:
    def __init__(self, seed):
        self.random = random.Random(seed).random

    def below(self, n):
        return int(self.random() * n)

    def between(self, low, high):
        return low + self.below(high - low + 1)

    def chance(self, percent):
        return self.random() * 100 < percent

    def pick(self, of):
        return of[self.below(len(of))]


# What each kind of job has, and how much of it; percentages but for pairs, which
# are fewest and most.
KINDS = {
    # Bigger units on which using each leg once is no loss: see once.py.
    "once": dict(parts=(6, 12), time=(20, 200), change=(0, 120), step=(1, 2), tasks=(1, 3)),
    # The same where changes are most of the cost.
    "changes": dict(parts=(5, 8), time=(10, 90), change=(60, 250), step=(1, 2), tasks=(1, 2)),
    # Small ones with everything: see slots.py. Times lie close together, so that
    # few slots are enough.
    "everything": dict(
        parts=(4, 6), time=(60, 90), change=(0, 60), step=(1, 1), tasks=(1, 2), rides=40, stays=15
    ),
    "waits": dict(
        parts=(3, 5), time=(60, 90), change=(0, 60), step=(1, 1), tasks=(1, 2), rides=25, waits=1
    ),
    # Energy sources and parts with two ways off.
    "power": dict(
        parts=(3, 4), time=(70, 90), change=(0, 40), step=(1, 1), tasks=(1, 2), stays=10, power=1
    ),
    # The same with riders, closed without some part.
    "left-out": dict(
        parts=(3, 5), time=(70, 90), change=(0, 40), step=(1, 1), tasks=(1, 2), rides=35, stays=10,
        power=1, leaves=60,
    ),
}


def job(kind, number):
    """The job of that kind and number: always the same one."""
    return Maker(KINDS[kind], Draw(f"{kind} {number}")).job()


class Maker:
    def __init__(self, kind, draw):
        self.kind = kind
        self.draw = draw
        self.parts = []
        # As far out as each part goes.
        self.most = []
        # Conditions under which that is there which is being drawn.
        self.within = []
        # The part whose replacement comes after a service that needs a source live.
        self.after_power = None

    def job(self):
        draw, kind = self.draw, self.kind
        self.waits = [draw.between(5, 40)] if "waits" in kind else []
        for _ in range(draw.between(*kind["parts"])):
            self.part()
        self.sources = self.draw_sources() if "power" in kind else []
        services = [self.service()] if draw.chance(70 if self.sources else 40) else []
        job = {
            "tool_change": draw.between(*kind["change"]),
            "face_change": draw.between(*kind["change"]),
            "tool": None,
            "face": 0,
            "fitted": [draw.chance(60), draw.chance(60)],
            "parts": self.parts,
            "from": [FITTED] * len(self.parts),
        }
        if self.waits:
            job["waits"] = self.waits
        if self.sources:
            job["sources"] = self.sources
            job["power"] = [True] * len(self.sources)
        if services:
            job["services"] = services
        job["tasks"] = self.tasks(job, services)
        if "leaves" in kind:
            self.leave_out(job)
        elif self.after_power is not None and rules.there(job, self.after_power):
            # The job is under way with that source isolated: it must be made live in mid-job.
            job["tasks"] = [["serve", 0], ["replace", self.after_power]]
            job["power"][0] = not rules.has_source(job, 0)
            self.wander(job)
        elif draw.chance(30):
            self.wander(job)
        return job

    # --- steps ------------------------------------------------------------------

    def steps(self, fewest=0):
        many = max(fewest, self.draw.between(*self.kind["step"]))
        return [self.step(certain=nth == 0) for nth in range(many)]

    def step(self, certain):
        draw = self.draw
        step = [
            draw.between(*self.kind["time"]),
            draw.pick([None, 0, 0, 1, 2]),
            draw.pick([None, None, 0, 1, 2]),
            None if certain else self.perhaps(15),
        ]
        if self.waits:
            starts = 0 if draw.chance(25) else None
            after = 0 if draw.chance(25) else None
            step += [starts, after]
        while step[-1] is None:
            step.pop()
        return step

    def condition(self):
        one = ["fitted", self.draw.below(2)]
        return self.draw.pick([one, ["not", one], one, ["any", ["fitted", 0], ["fitted", 1]]])

    def perhaps(self, percent, within=()):
        """A condition now and then, if it ever holds where these do: the checker
        refuses one that never does."""
        if not self.draw.chance(percent):
            return None
        condition = self.condition()
        asked = [condition, *within, *self.within]
        worlds = [{"fitted": [one, other]} for one in (False, True) for other in (False, True)]
        ever = any(all(rules.holds(world, one) for one in asked) for world in worlds)
        return condition if ever else None

    # --- formulas ---------------------------------------------------------------

    def carriers(self, part):
        return list(rules.carried_by(self.parts, part))[1:]

    def lie(self, on=(), off=None):
        lie = [
            FITTED if self.draw.chance(self.kind.get("stays", 0)) else most for most in self.most
        ]
        for part in on:
            lie[part] = FITTED
        if off is not None:
            lie[off] = OFF
        return lie

    def true_atoms(self, lie):
        atoms = []
        for part, is_at in enumerate(lie):
            away = any(lie[carrier] == OFF for carrier in self.carriers(part))
            if is_at == OFF or away:
                atoms += [["off", part]] * 2
            if is_at == OFF:
                atoms.append(["clear", part])
            if is_at != FITTED and "ease" in self.parts[part]:
                atoms += [["eased", part]] * 2
            if is_at == FITTED and not away and "stays" in self.kind:
                atoms.append(["stay", part])
        return atoms

    def other_atom(self, on):
        """An atom that may be true one day."""
        parts = [p for p in range(len(self.parts)) if p not in on]
        if not parts:
            return None
        part = self.draw.pick(parts)
        atoms = [["eased", part]] if "ease" in self.parts[part] else []
        if self.most[part] == OFF:
            atoms += [["off", part], ["clear", part]]
        return self.draw.pick(atoms)

    def formula(self, lie, on, depth=2):
        atoms = self.true_atoms(lie)
        asked = []
        for _ in range(self.draw.pick([0, 1, 1, 2, 2, 3] if depth == 2 else [1, 1, 2])):
            if not atoms:
                break
            asked.append(self.clause(atoms, lie, on, depth))
        return asked[0] if len(asked) == 1 else ["all", *asked]

    def clause(self, atoms, lie, on, depth):
        draw = self.draw
        sure = draw.pick(atoms)
        if draw.chance(40):
            if depth > 0 and draw.chance(40):
                sure = self.formula(lie, on, depth - 1)
            ways = [sure]
            for _ in range(draw.between(1, 2)):
                other = [atom for _ in range(draw.pick([1, 1, 2])) if (atom := self.other_atom(on))]
                if other:
                    other = other[0] if len(other) == 1 else ["all", *other]
                    ways.insert(draw.below(len(ways) + 1), other)
            return ["any", *ways]
        condition = self.perhaps(15)
        return ["when", condition, sure] if condition else sure

    # --- parts ------------------------------------------------------------------

    def part(self):
        draw = self.draw
        part = {}
        carrier = None
        able = [at for at, most in enumerate(self.most) if most == OFF]
        if able and draw.chance(self.kind.get("rides", 0)):
            carrier = part["on"] = draw.pick(able)
        # A rider is there only where its carrier is.
        when = [one["when"] for one in [self.parts[carrier]] if "when" in one] if carrier is not None else []
        own = self.perhaps(12, when)
        when += [own] if own else []
        if when:
            part["when"] = when[0] if len(when) == 1 else ["all", *when]
        self.within = when
        ways = ["off"]
        if carrier is not None:
            ways = draw.pick([["off"], ["bench"], ["off", "bench"]])
        if draw.chance(35):
            ways.insert(0, "ease")
            if carrier is None and draw.chance(15):
                ways.remove("off")
        on = [] if carrier is None else [carrier, *self.carriers(carrier)]
        for way in ways:
            bench = way == "bench"
            lie = self.lie(on=[] if bench else on, off=carrier if bench else None)
            leg = {"needs": self.formula(lie, [] if bench else on)}
            if draw.chance(15):
                leg["refit"] = self.formula(lie, [] if bench else on)
            leg = {key: needs for key, needs in leg.items() if needs != ["all"]}
            part[way] = {**leg, "out": self.steps(), "back": self.steps()}
        if "power" in self.kind and "off" in part and draw.chance(40):
            needs = self.formula(self.lie(on=on), on)
            part["others"] = [{"needs": needs, "out": self.steps(), "back": self.steps()}]
        comes_off = "off" in ways or "bench" in ways
        if comes_off and draw.chance(70):
            part["replace"] = {"steps": self.steps()}
        if "leaves" in self.kind and comes_off and draw.chance(self.kind["leaves"]):
            part["leave-out"] = {"steps": self.steps()}
        if draw.chance(25):
            at = "off" if comes_off and draw.chance(50) else "eased"
            at = at if "ease" in ways else "off"
            part["reseat"] = {"at": at, "steps": self.steps(1)}
        if draw.chance(25):
            part["inspect"] = {"needs": self.formula(self.lie(), []), "steps": self.steps(1)}
        if carrier is not None and comes_off and "replace" in self.parts[carrier] and draw.chance(30):
            self.parts[carrier]["replace"].setdefault("moves", []).append(len(self.parts))
        self.parts.append(part)
        self.most.append(OFF if comes_off else EASED)
        self.within = []

    # --- sources ------------------------------------------------------------------

    def draw_sources(self):
        """One outside, perhaps one that it feeds, perhaps one behind a part."""
        draw, parts = self.draw, self.parts
        outer = self.source()
        if (asks := draw.below(10)) < 5:
            outer["ways"][0]["refit"] = ["closed"]
        elif asks < 7:
            outer["ways"][0]["refit"] = ["stay", draw.below(len(parts))]
        sources = [outer]
        for part in parts:
            if draw.chance(35):
                part["may_be_live"] = [0]
        if draw.chance(50):
            fed = self.source()
            fed["fed_by"] = [0]
            if draw.chance(60):
                fed["reach"] = [at for at in range(len(parts)) if draw.chance(50)]
            sources.append(fed)
        if draw.chance(70):
            sources.append(self.inner(len(sources)))
        return sources

    def inner(self, number):
        """What lies on the way to it may be done while it is live."""
        draw = self.draw
        source = self.source()
        ways = source["ways"]
        if draw.chance(50):
            ways.append(self.way())
        behind = [draw.below(len(self.parts)) for _ in ways]
        for way, part in zip(ways, behind):
            way["needs"] = ["off" if self.most[part] == OFF else "eased", part]
        if draw.chance(25):
            source["fed_by"] = [0]
        for part in self.parts[: max(behind) + 1]:
            legs = [part[leg] for leg in ("ease", "off") if leg in part] + part.get("others", [])
            # For the whole part, or for its legs: its tasks then need the source isolated.
            for entry in [part] if draw.chance(50) else legs:
                entry["may_be_live"] = [*entry.get("may_be_live", []), number]
        return source

    def source(self):
        source = {"ways": [self.way()]}
        own = self.perhaps(15)
        return {"when": own, **source} if own else source

    def way(self):
        return {"out": self.steps(), "back": self.steps()}

    def power_service(self, service):
        """It may run while sources are live, or needs one live."""
        draw = self.draw
        every = list(range(len(self.sources)))
        if draw.chance(30):
            service["may_be_live"] = [draw.pick(every)]
        elif draw.chance(80):
            service["may_be_live"] = every
            if "leaves" in self.kind and draw.chance(80):
                return
            service["live"] = [draw.pick([0, *every])]
            if draw.chance(60):
                service["needs"] = draw.pick([["closed"], ["all"]])

    def service(self):
        draw = self.draw
        lie = self.lie()
        service = {"needs": self.formula(lie, []), "steps": self.steps(1)}
        if self.sources:
            self.power_service(service)
        first = draw.chance(50)
        named = []
        for at, part in enumerate(self.parts):
            if "replace" in part and draw.chance(30):
                named.append(["swap", at])
            if self.most[at] == OFF and draw.chance(20):
                named.append(["take-off", at])
            if self.most[at] == OFF and draw.chance(20) and (first or "stays" in self.kind):
                named.append(["put-back", at])
        able = [at for at, part in enumerate(self.parts) if "replace" in part]
        if 0 in service.get("live", []) and able and draw.chance(60):
            self.after_power = draw.pick(able)
            service["before"] = [["swap", self.after_power]]
        elif named:
            service["before" if first else "after"] = named
        return service

    # --- the job ------------------------------------------------------------------

    def tasks(self, job, services):
        draw = self.draw
        offered = [
            [kind, at]
            for at, part in enumerate(self.parts)
            for kind in ("replace", "reseat", "inspect", "leave-out")
            # Deep parts are worth more.
            if kind in part and rules.there(job, at) and draw.chance(100 * (at + 1) // len(self.parts))
        ]
        offered += [["serve", at] for at in range(len(services)) for _ in range(2)]
        tasks = []
        for _ in range(draw.between(*self.kind["tasks"])):
            if offered and (task := draw.pick(offered)) not in tasks:
                tasks.append(task)
        return tasks

    def leave_out(self, job):
        """Asks for a part to be left out, or begins after that."""
        draw, parts = self.draw, job["parts"]
        able = [at for at, part in enumerate(parts) if "leave-out" in part and rules.there(job, at)]
        if not able:
            return
        left = draw.pick(able)

        def is_free(task):
            return task[0] == "serve" or left not in rules.carried_by(parts, task[1])

        was_left_out = draw.chance(25)
        # Seldom more than one thing is asked of what is left out: that is refused.
        if was_left_out or draw.chance(90):
            job["tasks"] = [task for task in job["tasks"] if is_free(task)]
        if not was_left_out and ["leave-out", left] not in job["tasks"]:
            job["tasks"].insert(draw.below(len(job["tasks"]) + 1), ["leave-out", left])
        if was_left_out or draw.chance(40):
            self.wander(job)
        if was_left_out:
            job["from"][left] = OFF
            job["without"] = [left]

    def wander(self, job):
        """The job as it stands after some parts have come out."""
        state = job["from"]
        ops = rules.ops(job)
        every = [op for op in ops if op.isolates or op.part is not None and op.end > op.start]
        for _ in range(self.draw.between(1, 4)):
            unit = states.Unit(job, state, job.get("power", []), range(len(job["tasks"])))
            legal = [op for op in every if unit.can_do(op)]
            if not legal:
                break
            op = self.draw.pick(legal)
            if op.isolates:
                job["power"][op.source] = False
            else:
                state[op.part] = op.end
            for kind in ("tool", "face"):
                job[kind] = op.uses(kind)[-1] if op.uses(kind) else job[kind]
        if self.waits and self.draw.chance(50):
            job["running"] = [self.draw.below(10 * wait + 1) for wait in self.waits]
