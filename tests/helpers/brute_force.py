"""Changes of a boat made in her case file, one and two at a time, and what each of them does.

Written a second time, so that `improve` can be held against it: nothing here is changed, searched
or rated by what `improve` does that with. A boat is raw data of a case; each change edits that, the
whole is written, read and run again on simulated days.
"""

import copy
from dataclasses import dataclass, replace
from functools import cached_property, partial
from itertools import chain, combinations

import numpy as np
from disguise import written

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.model.build import build_loop
from seaflow.model.operate import operate
from seaflow.studies.balance.study import balance
from seaflow.studies.design.certainty.sample import sample, verdicts
from seaflow.studies.design.choose import candidates, rank_pumps
from seaflow.studies.design.duties import duties_of
from seaflow.studies.design.judge import worst_of
from seaflow.studies.design.kinds import DRAWN
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import unit_needs
from seaflow.studies.design.speed import speeds_for_need
from seaflow.studies.design.supply import supply_of
from seaflow.studies.design.takes import energy_of_day
from seaflow.studies.design.which_pump import full_supply, picked_loop
from seaflow.studies.design.worst_cases import worst_cases
from seaflow.studies.size.size import size

SIZES = 2  # usual bores above what is there
SAME_SIZE = 1.04  # 16 mm and 5/8 in are sold as one size
KEEPS = ("unit", "manifold", "tee")  # the tail it has
IN_LINE = ("check_valve", "vented_loop", "flush_tee")  # ports of their own bore
THINGS = (
    *("through_hull", "sea_chest", "strainer", "pump", "manifold", "tee", "check_valve"),
    *("vented_loop", "flush_tee", "reducer", "unit", "outlet"),
)


@dataclass(frozen=True)
class Edit:
    """One change: what it belongs to, its name, the raw data with it, and how many things it is."""

    group: str
    name: tuple
    make: object
    things: int = 1


class Done:
    """A boat with some changes; each of what it does is found when it is asked for first."""

    def __init__(self, yard, edits):
        self.yard, self.edits = yard, edits

    @property
    def things(self):
        return sum(edit.things for edit in self.edits)

    @property
    def name(self):
        return " and ".join(str(edit.name) for edit in self.edits) or "as it is"

    @cached_property
    def laid(self):
        """The case so changed, the loop built of it, and its pump."""
        return self.yard.laid(self.edits)

    @cached_property
    def flow(self):
        """What its worst unit gets over its need, all clean."""
        return self.yard.flow(*self.laid)

    @cached_property
    def takes_water(self):
        """Whether its worst unit gets less than now, or than with a weaker pump alone."""
        now = self.yard.boat().flow
        pump = [edit for edit in self.edits if edit.group == "pump"]
        alone = self.yard.boat(*pump).flow if pump and now > 0.0 else now
        return self.flow + SEEN < (max(min(alone, now), 0.0) if now > 0.0 else now)

    @cached_property
    def energy(self):
        return self.yard.energy(*self.laid)

    @cached_property
    def too_much(self):
        return self.yard.too_much(*self.laid[:2])

    @cached_property
    def days(self):
        """On which share of simulated days it keeps the rise, and keeps running."""
        return self.yard.on_days(*self.laid)

    @cached_property
    def at_best(self):
        """The grade that the days alone leave it, by the limits that are told of them."""
        rise, running = self.days
        if rise < limit("hardly_ever") or running < limit("likely_enough"):
            return "no"
        fine = rise >= limit("likely_enough") and running >= limit("likely_running")
        return "yes" if fine else "tight"

    @cached_property
    def without_days(self):
        """The grade that its start and the worst cases leave it, but for what days judge anew."""
        return self.yard.without_days(*self.laid)

    @cached_property
    def grade(self):
        return self.yard.grade(*self.laid)


class Yard:
    """One loop of a boat, and everything that may be changed on it."""

    def __init__(self, folder, raw, loop=0, days=(64, 20)):
        self.folder, self.raw, self.days = folder, raw, days
        self.case = self.read(raw)
        self.found = network.loops(self.case)[loop]
        self.built, self.part, _ = picked_loop(self.case, self.found, None)
        self.needs = {need.name: need for need in unit_needs(self.case, self.built)}
        self.catalogue = self.case.catalogue
        point = operate(self.built.loop, full_supply(self.case, self.found, self.part))
        share = {
            name: point.units[name].volume_flow[0] / need.flow
            for name, need in self.needs.items()
            if need.flow
        }
        self.worst = min(share, key=share.get)

    def read(self, raw):
        file = self.folder / "boat.toml"
        file.write_text(written(raw), encoding="utf-8")
        return load_case(str(file)).case

    # ------------------------------------------------------------------------- what may be edited

    def edits(self):
        """Every change of one thing, or of one group."""
        yield from self._pumps()
        yield from self._strainers()
        yield from self._holes()
        yield from self._hoses()
        yield from self._valves()

    def _pumps(self):
        place = self.found.pumps[0]
        for part in candidates(self.case, place):
            if part.continuous and part.name != self.part.name:
                things = 0 if place.fitted is None else len(self.found.pumps)
                make = partial(self._pump, part=part)
                yield Edit("pump", ("pump", part.name), make, things)

    def _pump(self, raw, part):
        """Write another pump, with a cable as thick as is due."""
        for place in self.found.pumps:
            row = next(row for row in raw["pump"] if row["name"] == place.name)
            row["fitted"] = part.name
            row.pop("port", None)
            supply = supply_of(self.case, place, part, 0.0)
            if supply.conductor_is_enough is False and supply.conductor_metric:
                row["cable"]["conductor"] = f"{1e6 * supply.conductor_metric.area!r} mm2"

    def _strainers(self):
        (row, *others) = [
            row for row in self.raw.get("strainer", []) if row["name"] in self.found.things
        ]
        if others:
            return
        port = self._port("strainer", row, True, self.raw)
        sheets = [self.catalogue.strainer(name) for name in self.catalogue.rows("strainers")]
        wider = sorted({sheet.port for sheet in sheets if sheet.port > port + 1e-6})[:SIZES]
        for sheet in sheets:
            if sheet.port in wider:
                yield Edit(
                    "strainer",
                    ("strainer", sheet.name),
                    lambda raw, name=row["name"], model=sheet.name: self._strainer(
                        raw, name, model
                    ),
                )

    def _strainer(self, raw, name, model):
        for number, row in enumerate(raw["strainer"]):
            if row["name"] == name:
                kept = {key: row[key] for key in ("name", "at", "height", "seen") if key in row}
                raw["strainer"][number] = {**kept, "model": model}

    def _above(self, bore):
        usual, common = self.catalogue.standard_bores(), self.catalogue.common_bores()
        last = [wide for wide in usual if wide > SAME_SIZE * bore][:SIZES][-1:]
        near = [wide for wide in common if SAME_SIZE * bore < wide and [wide] <= last]
        return near or [wide for wide in common if wide > SAME_SIZE * bore][:1]

    def _holes(self):
        """A single through-hull, and the outlet of the worst unit, with the seacocks on them."""
        holes = [
            row for row in self.raw.get("through_hull", []) if row["name"] in self.found.things
        ]
        outs = [row for row in self.raw["outlet"] if row["name"] in self._after(self.worst)]
        for table, rows in (("through_hull", holes), ("outlet", outs)):
            if len(rows) != 1:
                continue
            for bore in self._above(self._size(rows[0]["bore"])):
                cock = self._cock(rows[0]["name"], self.raw)
                more = cock is not None and SAME_SIZE * self._size(cock["bore"]) < bore
                yield Edit(
                    table,
                    (table, round(bore, 5)),
                    lambda raw, table=table, name=rows[0]["name"], bore=bore: self._hole(
                        raw, table, name, bore
                    ),
                    1 + more,
                )

    def _hole(self, raw, table, name, bore):
        next(row for row in raw[table] if row["name"] == name)["bore"] = f"{1000 * bore} mm"
        cock = self._cock(name, raw)
        if cock is not None and self._size(cock["bore"]) < bore:
            cock["bore"] = f"{1000 * bore} mm"

    def _cock(self, name, raw):
        return next((row for row in raw.get("seacock", []) if row["on"] == name), None)

    def _hoses(self):
        sides = self._sides()
        for side, rows in sides.items():
            group = "branch" if side == "every" else side
            if not rows:
                continue
            if side == "every":
                if len(rows) > len(sides["branch"]):
                    wide = {self._label(row): self._above(self._size(row["bore"])) for row in rows}
                    if all(wide.values()):
                        each = {label: bores[0] for label, bores in wide.items()}
                        yield Edit(
                            group,
                            ("each", tuple(each)),
                            lambda raw, each=each: self._widen(raw, each),
                            len(rows),
                        )
                continue
            for bore in self._above(min(self._size(row["bore"]) for row in rows)):
                narrow = {
                    self._label(row): bore
                    for row in rows
                    if SAME_SIZE * self._size(row["bore"]) < bore
                }
                yield Edit(
                    group,
                    ("hoses", tuple(narrow), round(bore, 5)),
                    lambda raw, to=narrow: self._widen(raw, to),
                    len(narrow),
                )
            for row in rows if len(rows) > 1 else ():
                for bore in self._above(self._size(row["bore"])):
                    to = {self._label(row): bore}
                    yield Edit(
                        group,
                        ("hoses", tuple(to), round(bore, 5)),
                        lambda raw, to=to: self._widen(raw, to),
                    )

    def _sides(self):
        """Hoses before the pump, of all units, of the worst unit, and of every branch."""
        rows = [row for row in self.raw["hose"] if self._end(row["from"]) in self.found.things]
        units, pumps = [unit.name for unit in self.found.units], [x.name for x in self.found.pumps]
        found = {"suction": [], "shared": [], "branch": [], "every": []}
        for row in rows:
            start, end = self._end(row["from"]), self._end(row["to"])
            after, before = self._after(end) | {end}, self._before(start) | {start}
            mine = [unit for unit in units if unit in after | before]
            if set(pumps) & after:
                found["suction"].append(row)
            elif len(units) == 1 or len(mine) == len(units):
                found["shared"].append(row)
            else:
                found["every"].append(row)
                if self.worst in mine:
                    found["branch"].append(row)
        return found

    def _end(self, name):
        """The thing a hose ends at: a seacock stands for what it sits on."""
        return next((row["on"] for row in self.raw.get("seacock", []) if row["name"] == name), name)

    def _after(self, name):
        return self._reach(name, "from", "to")

    def _before(self, name):
        return self._reach(name, "to", "from")

    def _reach(self, name, here, there):
        found, waiting = set(), [name]
        while waiting:
            now = waiting.pop()
            ahead = {
                self._end(r[there]) for r in self.raw["hose"] if self._end(r[here]) == now
            } - found
            found |= ahead
            waiting += ahead
        return found

    def _label(self, row):
        return row.get("name") or f"hose {row['from']} to {row['to']}"

    def _valves(self):
        setting = next(x for x in balance(self.case).loops if x.name == self.found.name).setting
        rows = [row for row in (setting.branches if setting else ()) if row.extra_loss > 0.05]
        if rows:
            yield Edit("valves", ("valves",), lambda raw: self._throttle(raw, rows), len(rows))

    def _throttle(self, raw, rows):
        for row in raw["hose"]:
            for branch in rows:
                if self._label(row) == branch.hose:
                    own = row.get("balancing_valve")
                    wide = min(float(p["loss"]) for p in own["points"]) if own else 0.0
                    at = self._size(own["bore"]) if own else branch.bore
                    loss = branch.extra_loss + wide * (branch.bore / at) ** 4
                    points = [
                        {"turns": "1", "loss": f"{loss:.9g}"},
                        {"turns": "2", "loss": f"{loss * 1e-3:.9g}"},
                    ]
                    row["balancing_valve"] = {"bore": row["bore"], "set_to": "1", "points": points}

    # ----------------------------------------------------------------------- what a wide hose takes

    def _widen(self, raw, to):
        """Write wider hoses, with tails in ports, adapters to tails that stay, reducers to fit."""
        for row in raw["hose"]:
            bore = to.get(self._label(row))
            if bore is None:
                continue
            old = self._size(row["bore"])
            usual = self.catalogue.usual_barb_bore(bore)
            row.setdefault("name", self._label(row))
            both = row.pop("barb_bore", None)
            for end in ("from", "to"):
                key, tail = f"adapter_{end}", row.pop(f"barb_bore_{end}", both)
                table, thing = self._thing(row[end], raw)
                if table == "reducer":
                    side = "bore" if end == "to" else "second_bore"
                    thing.setdefault("second_bore", thing["bore"])
                    thing[side] = f"{1000 * bore} mm"
                    continue
                port = self._port(table, thing, end == "to", raw)
                if table in KEEPS or (table in IN_LINE and SAME_SIZE * port < bore):
                    kept = {} if tail is None else {"barb_bore": tail}
                    row.setdefault(key, {"bore": row["bore"], **kept})
                elif port is not None:
                    was = self.catalogue.usual_barb_bore(old) if tail is None else self._size(tail)
                    if max(port, was) < usual:
                        row[f"barb_bore_{end}"] = f"{1000 * max(port, was)!r} mm"
            row["bore"] = f"{1000 * bore} mm"

    def _thing(self, name, raw):
        name = self._end(name)
        return next((t, row) for t in THINGS for row in raw.get(t, []) if row["name"] == name)

    def _port(self, table, thing, arriving, raw):
        if table in ("through_hull", "sea_chest", "outlet"):
            cock = self._cock(thing["name"], raw)
            return self._size((cock or thing)["bore"])
        if table == "pump":
            if arriving and "port" in thing:
                return self._size(thing["port"])
            if "fitted" not in thing:
                return None
            sheet = self.catalogue.sheet("pumps", thing["fitted"])
            return sheet.inlet if arriving else sheet.outlet
        if table == "strainer":
            if "port" in thing:
                return self._size(thing["port"])
            return self.catalogue.strainer(thing["model"]).port
        return self._size(thing["bore"]) if "bore" in thing else None

    def _size(self, text):
        from seaflow.base.units import read_quantity

        return read_quantity(text.split("+/-")[0], "m")

    # ------------------------------------------------------------------------------ what it does

    def boat(self, *edits):
        """The boat with some changes."""
        return Done(self, edits)

    def flow(self, case, built, part):
        """What the worst unit gets over its need, all clean."""
        point = operate(built.loop, full_supply(case, built.network, part))
        shares = [
            point.units[name].volume_flow[0] / need.flow
            for name, need in self.needs.items()
            if need.flow
        ]
        return float(min(shares)) - 1.0

    def laid(self, edits):
        """The case with some changes, the loop built of it, and its pump."""
        raw = copy.deepcopy(self.raw)
        part = self.part
        order = ("pump", "strainer")  # ports first, then what is laid to them
        for edit in sorted(edits, key=lambda one: (one.group not in order, one.group == "valves")):
            edit.make(raw)
            if edit.group == "pump":
                part = self.catalogue.pump(edit.name[1])
        case = self.read(raw)
        found = next(x for x in network.loops(case) if x.name == self.found.name)
        return case, build_loop(case, found, {place.name: part for place in found.pumps}), part

    def on_days(self, case, built, part):
        """The share of simulated days on which the rise is kept, and that on which all runs."""
        drawn = sample(case, built, full_supply(case, built.network, part), *self.days)
        held = verdicts(case, drawn.built, drawn.point)
        return float(held.keeps_rise.mean()), float(held.keeps_running.mean())

    def energy(self, case, built, part):
        """What it takes for the duties of a day."""
        now = full_supply(case, built.network, part)
        duties = duties_of(case)[0]
        full = float(np.ravel(energy_of_day(case, built, now, duties))[0])
        if part.least_speed is None:
            return full
        (setting,) = speeds_for_need([(built, part, now)], [self.needs])
        slow = replace(now, pump_speed=np.asarray([1.0 if setting is None else setting.speed]))
        return min(full, float(np.ravel(energy_of_day(case, built, slow, duties))[0]))

    def too_much(self, case, built):
        """Whether a coil gets more than its maker or its alloy stands, in the cold."""
        cold = next(worst for worst in worst_cases(case) if worst.asks == "most").conditions
        point = operate(built.loop, cold)
        for unit in case.unit:
            if unit.name not in point.units:
                continue
            flow = point.units[unit.name].volume_flow[0]
            most = unit.water_flow.most if unit.water_flow else None
            if most is not None and flow > most:
                return True
            coil = next(coil for coil in built.loop.coils if coil.unit == unit.name)
            fastest = case.catalogue.fastest_water(unit.alloy)[1] if unit.alloy else None
            speed = coil.velocity(np.asarray([flow]))
            if fastest is not None and speed is not None and speed[0] > fastest:
                return True
        return False

    def warnings(self, pump):
        """How many warnings `size` has of a pump in the loop as it is."""
        part = self.catalogue.pump(pump)
        ranked = rank_pumps(_alone(self.case, part), self.built, self.needs)
        return sum(len(one.result.judgement.remarks) for one in ranked)

    def without_days(self, case, built, part):
        """The worst of what is held against a pump before any day is simulated."""
        ranked = rank_pumps(_alone(case, part), built, self.needs)
        rulings = ranked[0].result.judgement.rulings if ranked else ()
        return worst_of(item.grade for item in rulings if item.said.kind not in DRAWN)

    def grade(self, case, built, part):
        """The grade that `size` gives a boat with this pump."""
        case = _alone(case, part)
        answer = next(one for one in size(case, *self.days).loops if one.name == self.found.name)
        return "no" if answer.chosen is None else answer.chosen.judgement.grade


def _alone(case, part):
    """The case with one pump to choose from, and none fitted."""
    return replace(
        case,
        design=replace(case.design, pumps=(part.name,)),
        pump=tuple(replace(place, fitted=None) for place in case.pump),
    )


def name_of(choice_fact):
    """The name of a change of `improve`, as an edit has it."""
    values = dict(choice_fact.values)
    kind = choice_fact.kind.partition(".")[2]
    if kind in ("pump", "strainer"):
        return (kind, values[kind])
    if kind.startswith(("hull", "outlet")):
        table = "through_hull" if kind.startswith("hull") else "outlet"
        return (table, round(values["bore"].value, 5))
    if kind == "valves":
        return ("valves",)
    if kind == "branch_hoses":
        return ("each", values["names"])
    return (
        ("hoses", values["names"], round(values["bore"].value, 5)) if "names" in values else (kind,)
    )


def complaints(yard, answer, pairs=True):
    """What the brute force finds against an answer of `improve` about one loop."""
    edits = list(yard.edits())
    singles = {edit.name: yard.boat(edit) for edit in edits}
    yield from _about_singles(yard, answer, singles)
    for taken, others in _taken(yard, answer):
        yield from _about_taken(yard, taken, singles)
        two = combinations(edits, 2) if pairs else ()
        two = (yard.boat(*pair) for pair in two if pair[0].group != pair[1].group)
        for done in chain(others, singles.values(), two):
            if _is_ahead(yard, done, taken):
                rise, energy = done.days[0], done.energy
                yield f"{done.name}: {done.things} changes, on {rise:.3f}, {energy:.4g} J"


def _about_singles(yard, answer, singles):
    told = {name_of(choice.changes[-1]): choice for choice in answer.singles}
    for name, choice in told.items():
        if name in singles:  # else a seacock or a cable alone, which are held by hand
            yield from _differ(yard, choice, singles[name])
    for name, done in singles.items():
        if name not in told and done.flow - answer.now.margin > GAINS:
            yield f"{name}: not looked at, and brings {done.flow - answer.now.margin:+.4f}"


def _taken(yard, answer):
    """What is taken, and what else there is beside changes: where the boat is left, the next."""
    if answer.leave is None:
        yield answer.winner, [yard.boat()]
        return
    for said in answer.why:
        if said.kind == "improve.otherwise":
            yield next(one for one in answer.front if one.changes == said["changes"]), []


def _about_taken(yard, taken, singles):
    """Its own figures and its grade, if it is made of changes that are known here."""
    names = [name_of(change) for change in taken.changes]
    if all(name in singles for name in names):
        done = yard.boat(*(edit for name in names for edit in singles[name].edits))
        yield from _differ(yard, taken, done)
        if done.grade != taken.grade:
            yield f"{done.name}: graded {taken.grade}, by size {done.grade}"


def _differ(yard, choice, done):
    """Where a choice of `improve` does otherwise than the case so changed."""
    free = any(edit.group in ("pump", "strainer") for edit in done.edits)  # so other draws
    rise, _ = done.days
    if abs(choice.keeps_rise - rise) > (_error(yard) if free else 1e-9):
        yield f"{done.name}: enough on {choice.keeps_rise:.3f}, by brute force {rise:.3f}"
    if abs(choice.margin - done.flow) > CLOSE:
        yield f"{done.name}: {choice.margin:+.5f} over need, by brute force {done.flow:+.5f}"
    if abs(choice.energy_per_day / done.energy - 1.0) > CLOSE:
        yield f"{done.name}: {choice.energy_per_day:.0f} J a day, by brute force {done.energy:.0f}"


def _error(yard):
    return 3.0 * 0.5 / yard.days[0] ** 0.5


def _is_ahead(yard, done, taken):
    """Whether a boat comes before the choice taken; what is found soonest is asked first."""
    better = GRADES.index(taken.grade)  # so many grades are better
    is_fair = taken.keeps_rise >= ENOUGH and taken.grade != "no" and not taken.takes_water
    if is_fair and done.takes_water:
        return False
    if not is_fair and taken.keeps_rise >= ENOUGH and not done.takes_water:
        better = GRADES.index("no")  # all that will do comes before what takes water
    if taken.keeps_rise < ENOUGH:
        equal = done.days[0] > taken.keeps_rise + _error(yard)
    else:
        fewer = done.things - taken.n_changes
        warned = yard.warnings(done.laid[2].name) - yard.warnings(taken.pump)
        saved = {0: SAME, 1: WORTH + SAME}
        equal = fewer < -1 or (fewer == 0 and warned < 0)
        equal |= fewer in saved and warned <= 0 and _saves(done, taken, saved[fewer])
        # one change more than here was taken for what it saves
        saves = taken.energy_per_day <= (1.0 - WORTH + SAME) * done.energy
        equal |= fewer == -1 and (warned < 0 or not saves)
        if not (equal or better):
            return False
        if done.days[0] < ENOUGH + SURE or done.days[1] < RUNNING:
            return False
    for way in ("at_best", "without_days", "grade"):  # no grade is better than those before
        rank = GRADES.index(getattr(done, way))
        if rank > better or (rank == better and not equal):
            return False
    return not (done.too_much and done.edits)


def _saves(done, taken, least):
    is_seen = round(done.energy / STEP) < round(taken.energy_per_day / STEP)
    return is_seen and 1.0 - done.energy / taken.energy_per_day > least


GRADES = ("yes", "tight", "no")
ENOUGH, RUNNING = 0.9, 0.95  # of days
CLOSE = 1e-4  # relative; the flow is settled to 1e-9 m of head, barbs are written with all digits
GAINS = 0.012  # of need; what takes less than 2 % of friction brings less than a hundredth
SAME, WORTH = 0.004, 0.02  # of a day's energy: half a step of 50 Wh; what one more change must save
STEP = 180e3  # J; 50 Wh a day, less is not seen on board
SEEN = 0.01  # of need; no unit is the worse for less
SURE = 0.03  # of days; a boat just at nine in ten may fall on either side
