"""The page of a boat, section by section, from the answers of all commands."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from markupsafe import Markup

from seaflow.base.facts import Fact, amount, fact
from seaflow.boat.case import Case
from seaflow.present.baseline_text import BLANK
from seaflow.present.faces import faces_of
from seaflow.present.notes import named_once
from seaflow.present.page.answer import answers_of
from seaflow.present.page.behind import Behind, behind, found
from seaflow.present.page.both import Two, amount_of, both, said, told
from seaflow.present.page.card import WholeCard, whole_card
from seaflow.present.page.curve import chart_of
from seaflow.present.page.dock import apart_sheet, dock_sheet
from seaflow.present.page.html import PageSheet, filled
from seaflow.present.page.parts import item_notes, item_rows
from seaflow.present.page.pictures import pictures
from seaflow.present.page.place import place_sheet
from seaflow.present.page.profile import profile_picture
from seaflow.present.page.rows import run_rows
from seaflow.present.page.shared import cautions_sheet, survey_sheet
from seaflow.present.quantities import Show, with_degrees
from seaflow.present.size.card import PRIME
from seaflow.present.size.text import lines_without_curves
from seaflow.studies.design.named import pump_named
from seaflow.studies.diagnose.drawn import PackedBoats
from seaflow.studies.page.run import RunOfLoop
from seaflow.studies.page.study import BoatPage, carries_owners_part
from seaflow.studies.size.demand import Demand
from seaflow.studies.size.heads import LEAST_LOST, HeadList
from seaflow.studies.size.size import LoopSize
from seaflow.studies.size.to_buy import UNEVEN, ToBuy

UNITS_ON_A_SHEET = 2  # of a loop, whose owner's part fills one sheet of paper
IN_SHORT = ("answer", "buy", "place", "parts", "start", "cautions")  # what a customer keeps


def page_html(case: Case, page: BoatPage, system: str, boats: Sequence[PackedBoats] = ()) -> str:
    """Return the page of a boat as HTML; `system` is that of the units shown first.

    Without `boats` the page has no questions for the owner.
    """
    loops = page.asked.size.loops
    dock, packed = None, Markup("")
    if boats:
        dock, packed = dock_sheet(case.boat.name, boats, fitted=_fitted(loops))
    elif not carries_owners_part(case):
        dock = apart_sheet(sum(len(loop.needs) for loop in loops))
    parts = _Parts(case, page, whole_card("size", case, page.asked.size), dock)
    sheets = list(parts.sheets())
    more = {
        "title": parts.card.title,
        "invented": page.asked.size.invented_parts,
        "boats": packed,
    }
    return filled(page.boat, sheets, system, more)


def size_html(case: Case, page: BoatPage, system: str) -> str:
    """Return a page of what `size` answers alone; `system` is that of the units shown first."""
    parts = _Parts(case, page, whole_card("size", case, page.asked.size))
    more = {
        "title": parts.card.title,
        "invented": page.asked.size.invented_parts,
        "boats": Markup(""),
    }
    return filled(page.boat, parts.of_size(), system, more)


@dataclass(frozen=True, slots=True)
class _Parts:
    """The sections of one page. `card` is that of `size`; `dock` the owner's section, if any."""

    case: Case
    page: BoatPage
    card: WholeCard
    dock: PageSheet | None = None

    def sheets(self) -> Iterator[PageSheet]:
        """Yield the sections in the order in which they are read."""
        for sheet in self._every():
            yield replace(sheet, detail=sheet.mark not in IN_SHORT)

    def _every(self) -> Iterator[PageSheet]:
        size = behind(partial(lines_without_curves, self.page.asked.size))
        yield self._answer()
        yield self._buy(size)
        yield self._curves(size)
        yield self._run(size)
        yield self._profiles()
        yield place_sheet(self.case, self.page.asked.place, self.page.lacking("place"))
        yield self._heads(size)
        yield self._energy()
        yield self._materials(size)
        yield self._first_start()
        if self.dock is not None:
            yield self.dock
        yield self._survey()
        yield self._basis(size)
        yield self._cautions()

    def of_size(self) -> Iterator[PageSheet]:
        """Yield the sections that the answer of `size` gives by itself."""
        size = behind(partial(lines_without_curves, self.page.asked.size))
        yield self._answer()
        yield self._buy(size)
        yield self._curves(size)
        yield self._heads(size)
        yield self._materials(size)
        yield self._basis(size)
        yield self._cautions()

    def _answer(self) -> PageSheet:
        given = {"answers": answers_of(self.page, self.card), "hazard": self.card.hazard}
        return PageSheet("answer", "The answer", "answer.html", given)

    def _behind(self, command: str, answer: Any) -> list[Behind]:
        return behind(partial(faces_of(command, self.case).lines, answer))

    def _name(self, loop: str) -> str:
        """Return the name of a loop where there are several."""
        return loop if len(self.page.asked.size.loops) > 1 else ""

    def _buy(self, size: list[Behind]) -> PageSheet:
        loops = [
            {
                "name": self._name(loop.name),
                "rows": list(_asked(loop.asks)) if loop.asks else [],
            }
            for loop in self.page.asked.size.loops
        ]
        given = {
            "loops": loops,
            "pumps": found(size, "Pumps"),
            "details": found(size, "What each unit needs", "Supply"),
        }
        return PageSheet("buy", "What to buy", "buy.html", given)

    def _curves(self, size: list[Behind]) -> PageSheet:
        charts = [chart_of(one, self._name(one.loop)) for one in self.page.asked.curves]
        given = {"charts": charts, "details": found(size, "Worst cases")}
        aside = "where the two lines cross, the pump runs"
        return PageSheet("curve", "Pump and loop", "curve.html", given, aside)

    def _run(self, size: list[Behind]) -> PageSheet:
        loops = [
            {"name": self._name(run.name), "pump": _pump(run), "stretches": list(run_rows(run))}
            for run in self.page.runs
        ]
        given = {"loops": loops, "details": found(size, "Suction", "Bores")}
        return PageSheet("run", "The loop, from sea to sea", "run.html", given)

    def _profiles(self) -> PageSheet:
        loops = [
            {"name": self._name(run.name), "profiles": _profiles(run), "air": _air(run)}
            for run in self.page.runs
        ]
        aside = "height and head"
        spots = [spot for run in self.page.runs for one in run.profiles for spot in one.spots]
        heeled = any(spot.port_down is not None for spot in spots)
        given = {"loops": loops, "heeled": heeled}
        return PageSheet("profile", "Along the run", "profile.html", given, aside)

    def _heads(self, size: list[Behind]) -> PageSheet:
        curves = {item.loop: item.asked for item in self.page.asked.curves}
        loops = [
            {
                "name": self._name(loop.name),
                "bars": _bars(loop.heads),
                "said": said(_head_said(loop.heads, len(loop.needs), curves.get(loop.name)), "."),
            }
            for loop in self.page.asked.size.loops
            if loop.heads is not None
        ]
        given = {"loops": loops, "details": found(size, "Where the head goes")}
        return PageSheet("head", "What costs head", "head.html", given)

    def _energy(self) -> PageSheet:
        title, answer = "Energy of a day", self.page.asked.energy
        if answer is None:
            given: dict[str, Any] = {"lacks": self.page.lacking("energy")}
            return PageSheet("energy", title, "energy.html", given)
        details = self._behind("energy", answer)
        given = {
            "lacks": (),
            "card": whole_card("energy", self.case, answer),
            "typical": not answer.day_given,
            "duties": found(details, "By duty"),
            "details": found(details, "Best speed", "Shut-off"),
        }
        return PageSheet("energy", title, "energy.html", given)

    def _materials(self, size: list[Behind]) -> PageSheet:
        lists = [
            {
                "name": self._name(one.loop),
                "rows": list(item_rows(one.items)),
                "notes": item_notes(one.items),
            }
            for one in self.page.asked.materials
        ]
        given = {"lists": lists, "lacks": self.page.lacking("materials")}
        return PageSheet("parts", "Parts", "parts.html", given)

    def _first_start(self) -> PageSheet:
        sheets: list[dict[str, Any]] = []
        for answer in self.page.asked.first_start:
            parts = [part for part in self._behind("baseline", answer) if part.pieces]
            sheets.append(
                {
                    "name": self._name(answer.loop),
                    "pump": self._sheet_of(answer.loop),
                    "other": self._is_other(answer.loop),
                    "card": whole_card("baseline", self.case, answer),
                    "fill": found(parts, "First fill"),
                    "rows": len(answer.expected),
                    "astray": found(parts, "If a reading"),
                    "form": found(parts, "What it should read", "Also to note", "What this rests"),
                }
            )
        alike = all(one["fill"] == sheets[0]["fill"] for one in sheets)
        given: dict[str, Any] = {"sheets": sheets, "alike": alike, "blank": BLANK}
        given["lacks"] = self.page.lacking("first_start")
        return PageSheet("start", "First start", "start.html", given)

    def _sheet_of(self, loop: str) -> Two:
        """Return which pump the readings of a loop are of, beside those of the owner's part."""
        run = next(one for one in self.page.runs if one.name == loop)
        kind = "page.sheet_of_fitted" if run.fitted else "page.sheet_of"
        kind = "page.sheet_of_first" if self._is_other(loop) else kind
        return said(fact(kind, pump=pump_named(run.title, run.pump, run.invented)), ".")

    def _is_other(self, loop: str) -> bool:
        """Tell whether the owner's part is of a pump other than the one that is put first."""
        run = next(one for one in self.page.runs if one.name == loop)
        fitted = _fitted(self.page.asked.size.loops)
        return self.dock is not None and loop in fitted and not run.fitted

    def _survey(self) -> PageSheet:
        answer = self.page.asked.survey
        sheet = survey_sheet(self.case, answer, self.page.lacking("survey"))
        # what an owner of several loops or units reads takes more than a sheet: the survey fills it
        few = [len(loop.needs) <= UNITS_ON_A_SHEET for loop in self.page.asked.size.loops]
        return replace(sheet, starts=sheet.starts and few == [True])

    def _basis(self, size: list[Behind]) -> PageSheet:
        given = {
            "measure": list(self._measure()),
            "assumed": _assumed(self._every_assumption()),
            "details": found(size, "How sure", "Outside"),
            "sources": _sources(),
        }
        title = "What this rests on"
        return PageSheet("basis", title, "basis.html", given)

    def _measure(self) -> Iterator[Two]:
        for loop in self.page.asked.size.loops:
            if loop.verdict is not None and loop.verdict.measure is not None:
                yield said(loop.verdict.measure, ".")
            if loop.certainty is not None:
                for one in loop.certainty.find_out:
                    yield said(fact("design.find_out", what=one.what, how=one.how), ".")

    def _every_assumption(self) -> Iterator[Any]:
        asked = self.page.asked
        for answer in (asked.size, asked.place, asked.energy, asked.survey):
            yield from () if answer is None else answer.assumptions

    def _cautions(self) -> PageSheet:
        asked = self.page.asked
        every = (asked.size, asked.place, *asked.first_start, asked.energy, asked.survey)
        return cautions_sheet(answer for answer in every if answer is not None)


def _fitted(loops: Iterable[LoopSize]) -> dict[str, str]:
    """Return the grade of the pump fitted now, by loop."""
    return {loop.name: item.judgement.grade for loop in loops for item in loop.pumps if item.fitted}


def _asked(asked: ToBuy) -> Iterator[tuple[str, Two]]:
    """Yield what to ask of a pump, whoever makes it."""
    if not asked.in_reach:
        yield "Pump", told(fact("page.no_pump_alone"))
    if asked.n_pumps > 1:
        yield "Pumps", told(fact("page.each_of", pumps=asked.n_pumps))
    if asked.supply is not None:
        yield "Supply, continuous duty", told(asked.supply)
    yield "Water, at least", told(fact("page.at_least", amount=amount("flow", asked.flow)))
    yield "at a head of", told(fact("page.at_least", amount=amount("head", asked.head)))
    if asked.most is not None:
        most = told(fact("page.at_most", amount=amount("flow", asked.most)))
        yield "Water in this loop, at most", most
    if asked.port is not None:
        yield "Ports", told(fact("page.in_both", amount=amount("bore", asked.port)))
    yield "Priming", told(fact(PRIME[asked.must_prime]))
    yield "Protection", told(fact("page.dry_run_protection"))
    if asked.ignition_protected:
        yield "Petrol", told(fact("page.ignition_protected"))
    if asked.days is not None:
        yield "That is enough", told(fact("page.enough_on", days=asked.days))


def _pump(run: RunOfLoop) -> Two:
    named = pump_named(run.title, run.pump, run.invented)
    kind = "page.with_fitted_pump" if run.fitted else "page.with_pump"
    kind = "page.with_asked_pump" if run.asked_for else kind
    return said(fact(kind, pump=named), ".")


def _profiles(run: RunOfLoop) -> list[dict[str, Any]]:
    crests = [pocket.crest for pocket in run.air]
    return [
        {
            "units": both(lambda show, one=one: ", ".join(one.units)),  # type: ignore[misc]
            "missing": tuple(spot.label for spot in one.spots if spot.height is None),
            "pictures": pictures("profile", partial(profile_picture, one, crests)),
        }
        for one in run.profiles
    ]


def _air(run: RunOfLoop) -> list[Two]:
    kinds = {True: "page.air_clears", False: "page.air_remains", None: "page.air_stays"}
    return [
        said(
            fact(
                kinds[pocket.clears],
                crest=pocket.crest,
                dip=pocket.dip,
                fall=amount("height", pocket.fall),
                flow=amount("flow", pocket.clears_at),
            ),
            ".",
        )
        for pocket in run.air
    ]


def _head_said(heads: HeadList, n_units: int, asked: Demand | None) -> Fact:
    """Return what head the needs cost, and what the loop asks if it shares its water unevenly."""
    flow, head = amount("flow", heads.flow), amount("head", heads.head)
    if not heads.to_unit or n_units < 2:
        return fact("page.head_of_one", flow=flow, head=head)
    many = fact("page.head_of_many", flow=flow, head=head, unit=heads.to_unit)
    if asked is None or asked.flow <= UNEVEN * heads.flow:
        return many
    at = {"asked": amount("flow", asked.flow), "at": amount("head", asked.head)}
    return fact("page.head_shared", head=many, **at)


def _bars(heads: HeadList) -> list[tuple[str, Two, float, str]]:
    """Return what each thing costs: its name, its head, its share of the most, and its kind.

    The sum comes after what it is made of, and what only the first start asks after the sum.
    """
    costs = [
        (item.thing, item.head, "coil" if item.item == "coil" else "") for item in heads.by_thing
    ]
    rows = [(fact("page.lift"), heads.static_running, "lift")]
    if heads.crest and heads.not_given_back > LEAST_LOST:
        rows.append((fact("page.not_given_back"), heads.not_given_back, "lift"))
    rows.append((fact("page.in_all"), heads.head, "sum"))
    if heads.crest and heads.leg_runs_full and heads.static_starting > heads.static_running:
        to_crest = fact("page.lift_to_crest", crest=heads.crest)
        rows.append((to_crest, heads.static_starting, "lift"))
    costs += ((Show().sentence(name), head, kind) for name, head, kind in rows)
    most = max([*(head for _, head, kind in costs if kind != "sum"), 1e-9])
    return [
        (name, amount_of("head", head), 0.0 if kind == "sum" else max(head, 0.0) / most, kind)
        for name, head, kind in costs
    ]


def _assumed(every: Iterable[Any]) -> list[tuple[str, Two, str]]:
    """Return every assumption once: of what, its value, and where it is from."""
    return [
        (f"{who}{meaning}", both(lambda show, value=value: show.typed(value)), with_degrees(source))  # type: ignore[misc]
        for who, meaning, value, source in named_once(every)
    ]


def _sources() -> list[str]:
    from seaflow.base.sources import CITATIONS, source

    keys = {one.source for one in CITATIONS.values()} - {"own"}
    return sorted({source(key).text for key in keys})
