"""The owner's part of a page: what is normal, where to look, and questions that a script weighs."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.base.facts import amount, fact
from seaflow.boat.network import upstream
from seaflow.present.card import capital
from seaflow.present.diagnose_card import LEAST_TOLD
from seaflow.present.page.both import AMERICAN, METRIC, Two, amount_of, told
from seaflow.present.page.fields import fields
from seaflow.present.page.html import PageSheet
from seaflow.present.page.packed import loop_packed, told_once, weighing
from seaflow.present.page.says import says
from seaflow.studies.design.cautions import named_cautions
from seaflow.studies.design.certainty.sample import LEVELS, weighted_quantiles
from seaflow.studies.design.judge import NO, TIGHT
from seaflow.studies.design.named import pump_named
from seaflow.studies.diagnose.drawn import PackedBoats
from seaflow.studies.diagnose.faults import Fault
from seaflow.studies.diagnose.impossible import volts_of
from seaflow.studies.diagnose.look import (
    LEAST,
    ODDS,
    READ_AGAIN,
    lets_water_in,
    may_be_hot,
    stops_pump,
)
from seaflow.studies.diagnose.readings import BUCKET, US_BUCKET, instruments, signs
from seaflow.studies.diagnose.simulate import FAR_SEA, Setup
from seaflow.studies.diagnose.unseen import shown_by

N_NORMAL = 4  # seas at which it is told what is normal
BUCKETS = (BUCKET, US_BUCKET)  # metric and US
OF_OUTLET = ("discharge", "flow")  # numbers that the script asks for by itself
METERS = {
    "volts": ("V", "V"),
    "amps": ("A", "A"),
    "suction": ("kPa", "psi"),
    "delivery": ("kPa", "psi"),
}  # and what they are read in
PICTURED = ("basket", "handle")  # beside the stream
MORE = (
    "tripped",
    "load",
    "pump",
    "breaker",
    "bilge",
    "bubbles",
    "filter",
    "second_thermometer",
    "lid_open",
    "burp",
)
ENDS = (LEVELS[0], LEVELS[-1])
TITLE = "Why is the water warm?"
FALLS_SHORT = {TIGHT: "dock.pump_is_tight", NO: "dock.pump_will_not_do"}


def dock_sheet(
    name: str,
    loops: Iterable[PackedBoats],
    sizes: Iterable[Two] = (),
    fitted: Mapping[str, str] | None = None,
) -> tuple[PageSheet, Markup]:
    """Return the section for the owner, and the boats that its script weighs.

    With `sizes` the loops are boats of any owner, one for each size of unit. `fitted` is the grade
    of the pump fitted now, by loop, where one is judged.
    """
    every, labels = list(loops), list(sizes)
    short = [_short(boats, fitted or {}) for boats in every]
    text = json.dumps(_weighed(name, every, labels, short), separators=(",", ":"), allow_nan=False)
    given = _given(every, labels, short)
    sheet = PageSheet("dock", TITLE, "dock.html", given, starts=True)
    return sheet, Markup(text.replace("<", "\\u003c"))


def apart_sheet(n_units: int) -> PageSheet:
    """Return the section that says where the owner's part of a boat of so many units is."""
    return PageSheet("dock", TITLE, "apart.html", {"said": told(fact("dock.apart", units=n_units))})


def _given(every: list[PackedBoats], labels: list[Two], short: list[str]) -> dict[str, Any]:
    """Return what the template shows; `short` is what is said of the pump of each loop."""
    loops = [
        {**_asked(number, boats), "short": said}
        for number, (boats, said) in enumerate(zip(every, short, strict=True))
    ]
    several = len(every) > 1
    return {
        "loops": loops,
        "where": list(_sizes(labels) if labels else _where(loops)),
        "labels": labels,
        "order": list(_order(every[0])) if labels else [],
        "several": several,
        # where to look is told once, but for loops that have it each its own way
        "apart": not labels and any(one["order"] != loops[0]["order"] for one in loops),
        "stream": signs()["stream"],
        "pictured": [_question(kind) for kind in PICTURED if _is_told(kind, every)],
        "more": [_question(kind) for kind in MORE if _is_told(kind, every)],
        "by_unit": _by_unit(every),
        "meters": any(boats.numbers for boats in every),
        "kept": METRIC.sentence(fact("dock.kept_for")),
        "draft": METRIC.sentence(fact("dock.draft")),
        "if_several": METRIC.sentence(fact("dock.if_several")) if labels else "",
    }


def _weighed(
    name: str, every: list[PackedBoats], labels: list[Two], short: list[str]
) -> dict[str, Any]:
    """Return what the script is told."""
    by_unit = _by_unit(every)
    return {
        **weighing(every[0]),
        "boat": name,
        "anyBoat": bool(labels),
        "farSea": FAR_SEA,
        "fields": fields(),
        **told_once(
            [
                {**loop_packed(one), **_of_loop(one, by_unit), "short": said}
                for one, said in zip(every, short, strict=True)
            ]
        ),
        "sizes": [one.american for one in labels],
        "says": dict(says()),
        "readAgain": READ_AGAIN,
        "leastTold": LEAST_TOLD,
        "odds": [[least, METRIC.sentence(said)] for least, said in ODDS],
        "titles": {
            **{kind: capital(row.title) for kind, row in instruments().items()},
            **{kind: capital(row.title) for kind, row in signs().items()},
        },
        "asks": {
            **{kind: sign.ask for kind, sign in signs().items()},
            **{kind: instruments()[kind].how for kind in ("sea", *OF_OUTLET)},
        },
        "careful": {kind: _careful(sign.cautions) for kind, sign in signs().items()},
        "after": {kind: _after(sign.cautions) for kind, sign in signs().items()},
    }


def _is_told(kind: str, every: list[PackedBoats]) -> bool:
    return kind == "tripped" or any(kind in boats.chances for boats in every)


def _by_unit(every: list[PackedBoats]) -> bool:
    """Return whether a trip is asked of each unit: where a loop has several."""
    return any(boats.units for boats in every)


def _question(kind: str) -> dict[str, Any]:
    sign = signs()[kind]
    return {
        "kind": kind,
        "ask": sign.ask,
        "words": list(sign.healthy),
        "careful": _careful(sign.cautions),
        "after": _after(sign.cautions),
    }


def _careful(names: Iterable[str], pumps: Iterable[str] = ()) -> str:
    """Return what is to be heeded before a work, in short."""
    return " ".join(one.brief for one in named_cautions(names, pumps) if not one.after)


def _after(names: Iterable[str]) -> str:
    """Return what is to be done when it is done."""
    return " ".join(one.brief for one in named_cautions(names) if one.after)


def _of_loop(boats: PackedBoats, by_unit: bool) -> dict[str, Any]:
    pump, rated = boats.setup.part.kind, boats.setup.places.volts
    shows = fact("dock.shows", by=shown_by(boats.setup.places))
    heading = fact(
        "dock.of_loop",
        loop=capital(boats.setup.built.network.name),
        units=", ".join(boats.setup.places.units),
    )
    return {
        "shows": METRIC.sentence(shows),
        "heading": METRIC.sentence(heading),
        "usualSea": boats.setup.case.sea.typical or boats.setup.case.sea.warmest,
        "volts": None if rated is None else volts_of(rated),
        "faults": [dict(_fault(fault, pump)) for fault in boats.setup.faults],
        "asksAt": boats.setup.places.units if by_unit else (),  # whether it tripped
    }


def _fault(fault: Fault, pump: str) -> Iterator[tuple[str, Any]]:
    yield "name", fault.name
    yield "title", fault.title
    yield "look", fault.look
    yield "act", fault.act
    yield "running", fault.running
    yield "effort", fault.effort
    yield "leaks", lets_water_in(fault)
    yield "hot", may_be_hot(fault)
    yield "stops", stops_pump(fault)
    yield "trips", fault.trips
    yield "caution", _careful(fault.cautions, [pump])
    yield "after", _after(fault.cautions)
    yield "answered", fault.answered
    yield "onlyWhen", fault.only_when


def _short(boats: PackedBoats, fitted: Mapping[str, str]) -> str:
    """Return what to say of a pump that `size` does not pass; "" of one that it does."""
    kind = FALLS_SHORT.get(fitted.get(boats.setup.built.network.name, ""))
    return "" if kind is None else METRIC.sentence(fact(kind))


def _asked(number: int, boats: PackedBoats) -> dict[str, Any]:
    return {
        "number": number,
        "name": boats.setup.built.network.name,
        "spots": [_outlet(boats, number) for number in range(len(boats.spots))],
        "units": boats.setup.places.units,
        "meters": [
            {"kind": kind, "label": _meter(boats.setup, kind), "units": METERS[kind]}
            for kind in boats.numbers
        ],
        "pump": _pump(boats),
        "normal": list(_normal(boats)),
        "order": list(_order(boats)),
    }


def _meter(setup: Setup, kind: str) -> str:
    """Return what a number is called, and of which of several pumps the amps are."""
    first, *others = setup.built.loop.pumps
    if kind == "amps" and first.n_pumps > 1:
        of = fact("dock.amps_together", pumps=first.n_pumps, pump=first.name)
    elif kind == "amps" and others:
        of = fact("dock.amps_of_one", pump=first.name)
    else:
        return capital(instruments()[kind].title)
    return METRIC.sentence(of)


def _outlet(boats: PackedBoats, number: int) -> dict[str, Any]:
    """Return the name of an outlet, and its units where the name does not tell them."""
    outlet, places = boats.spots[number].outlet, boats.setup.places
    passed = upstream(boats.setup.built.network, outlet)
    untold = [unit for unit in places.units if unit in passed and unit not in outlet]
    return {"number": number, "outlet": outlet, "of": ", ".join(untold)}


def _where(loops: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Yield where the owner may read: each outlet, by its loop if that has no other."""
    for loop in loops:
        number, spots = loop["number"], loop["spots"]
        if len(spots) == 1:
            yield {"value": number, "name": capital(loop["name"]), "of": ", ".join(loop["units"])}
            continue
        hull = loop["name"] if len(loops) > 1 else ""
        for spot in spots:
            of = ", ".join(word for word in (spot["of"], hull) if word)
            value = f"{number}-{spot['number']}"
            yield {"value": value, "name": capital(spot["outlet"]), "of": of}


def _sizes(labels: list[Two]) -> Iterator[dict[str, Any]]:
    """Yield the sizes of unit that any owner may have."""
    for number, label in enumerate(labels):
        yield {"value": number, "name": label, "of": ""}


def _pump(boats: PackedBoats) -> Two:
    """Return with which pump all this is worked out, and until when it holds."""
    part, fitted = boats.setup.part, boats.setup.place.fitted is not None
    kind = "dock.with_fitted_pump" if fitted else "dock.with_pump"
    return told(fact(kind, pump=pump_named(part.title, part.name, part.invented)))


def _normal(boats: PackedBoats) -> Iterator[dict[str, Any]]:
    """Yield what leaves each outlet of a healthy boat at a few seas."""
    weight = np.where(boats.healthy, np.exp(boats.log_prior), 0.0)
    for sea in np.round(np.linspace(boats.seas[0], boats.seas[-1], N_NORMAL)):
        for spot in boats.spots:
            rise, flow = (_at(sea, boats.seas, rows) for rows in (spot.rise, spot.flow))
            yield {
                "sea": amount_of("temperature", sea),
                "outlet": spot.outlet,
                "leaves": _range(weighted_quantiles(rise, weight, ENDS), sea),
                "bucket": _seconds(flow, weight),
            }


def _at(sea: float, seas: tuple[float, ...], rows: Array) -> Array:
    """Return each boat's number at a sea, on the line between the two beside it."""
    if len(rows) == 1:
        return np.asarray(rows[0])
    k = min(int(np.searchsorted(seas, sea, side="right")), len(seas) - 1)
    share = (sea - seas[k - 1]) / (seas[k] - seas[k - 1])
    return np.asarray(rows[k - 1] * (1.0 - share) + rows[k] * share)


def _range(band: list[float], sea: float) -> Two:
    low, high = (amount("temperature", sea + rise) for rise in band)
    return told(fact("dock.normal_row", low=low, high=high))


def _seconds(flow: Array, weight: Array) -> Two:
    low, high = weighted_quantiles(flow, weight, ENDS)
    ends = [(bucket / high, bucket / max(low, 1e-9)) for bucket in BUCKETS]
    said = [
        fact("dock.bucket_row", bucket=amount("bucket", bucket), fast=fast, slow=slow)
        for bucket, (fast, slow) in zip(BUCKETS, ends, strict=True)
    ]
    return Two(METRIC.sentence(said[0]), AMERICAN.sentence(said[1]))


def _order(boats: PackedBoats) -> Iterator[dict[str, Any]]:
    """Yield where to look if all that is known is warm or slow water, by odds over effort."""
    faults = boats.setup.faults
    weight = np.where(_warm_or_slow(boats), np.exp(boats.log_prior), 0.0)
    of_pair = np.bincount(boats.pair, weight, len(boats.pairs))
    before = np.zeros(len(faults))
    for pair, share in zip(boats.pairs, of_pair, strict=True):
        before[[one for one in pair if one >= 0]] += share
    pump = boats.setup.part.kind
    chance: dict[str, float] = {}
    first: dict[str, Fault] = {}
    for number in sorted(range(len(faults)), key=lambda one: -before[one]):
        fault = faults[number]
        chance[fault.look] = chance.get(fault.look, 0.0) + float(before[number])
        first.setdefault(fault.look, fault)
    likely = [look for look in chance if chance[look] >= LEAST * sum(chance.values())]
    for look in sorted(likely, key=lambda one: -chance[one] / first[one].effort)[:5]:
        yield dict(_fault(first[look], pump))


def _warm_or_slow(boats: PackedBoats) -> NDArray[np.bool_]:
    """Return which boats show more rise somewhere, or less water, than nine healthy in ten."""
    healthy = np.where(boats.healthy, np.exp(boats.log_prior), 0.0)
    middle = len(boats.seas) // 2
    found = np.zeros(boats.pair.size, dtype=bool)
    for spot in boats.spots:
        rise, flow = (rows[min(middle, len(rows) - 1)] for rows in (spot.rise, spot.flow))
        warm = rise > weighted_quantiles(rise, healthy, ENDS)[1]
        slow = flow < weighted_quantiles(flow, healthy, ENDS)[0]
        found |= (warm | slow) & (flow > 0.0)
    return found & ~boats.healthy
