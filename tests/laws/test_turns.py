"""Laws of what turns the choice of pump: each end of each assumption, entered in the case itself.

"No single measurement would change the choice" may only stand where that is so.
"""

from dataclasses import replace

import numpy as np
import pytest
from sizing import BAD, CATAMARAN, KETCH, NAMES, SLOOP, shipped, written

from seaflow.base.tables import read_table
from seaflow.boat.defaults import default
from seaflow.boat.parts.own_parts import load_parts
from seaflow.boat.tables.plates import CutOut, LossPoint
from seaflow.studies.design.certainty.spreads import ASSUMED, spread
from seaflow.studies.size.size import size

NOTHING = "design.no_measurement_decides"


def with_unit(case, change):
    """The case with every unit changed."""
    return replace(case, unit=tuple(change(unit) for unit in case.unit))


def one_by_one(case, entered):
    """Each unit entered by itself, or the whole where no unit was changed."""
    if entered.unit == case.unit:
        return [entered] if entered != case else []
    pairs = zip(case.unit, entered.unit, strict=True)
    changed = [row for row, (was, now) in enumerate(pairs) if was != now]
    return [
        replace(case, unit=(*case.unit[:row], entered.unit[row], *case.unit[row + 1 :]))
        for row in changed
    ]


def coil_loss(case, end):
    """A loss at 3 gpm per ton as far from the assumed one as its range goes."""
    share, usual = at_end("coil_generic", end), default("unit.coil_loss").value
    per_kilowatt = default("unit.flow_per_cooling").value

    def enter(unit):
        flow = per_kilowatt * unit.cooling / 1000.0
        point = LossPoint(at=flow, head=share * usual)
        known = unit.water_loss or unit.tube
        return unit if known else replace(unit, water_loss=(point,))

    return with_unit(case, enter)


def power(case, end):
    """Watts that make 1.25 or 1.4 times the cooling."""
    share = (0.25, 0.40)[end]
    return with_unit(
        case, lambda unit: replace(unit, input_power=unit.input_power or share * unit.cooling)
    )


def cut_out(case, end):
    """A switch some degrees beside the usual one."""
    usual = default("unit.cut_out_temperature").value
    switch = CutOut(temperature=usual + at_end("cut_out", end))
    return with_unit(case, lambda unit: replace(unit, cut_out=unit.cut_out or switch))


def hose_kind(case, end):
    """Smooth rubber without wire in the place of hose whose kind is open."""
    kind = ("smooth-bore rubber", default("hose.kind").text)[end]
    meaning = default("hose.kind").meaning
    kinds = {item.subject for item in case.assumptions if item.meaning == meaning}
    hoses = tuple(
        replace(hose, kind=kind)
        if any(f'"{hose.from_}"' in subject and f'"{hose.to}"' in subject for subject in kinds)
        else hose
        for hose in case.hose
    )
    return replace(case, hose=hoses)


def strainer_loss(case, end):
    """A clean loss at either end, where neither a model nor a loss is given."""
    loss = default("strainer.clean_loss").value * at_end("strainer", end)
    strainers = tuple(
        replace(item, clean_loss=loss) if item.model is None and item.clean_loss is None else item
        for item in case.strainer
    )
    return replace(case, strainer=strainers)


def season(case, end):
    """A typical sea at either end, where neither months nor season nor such a sea are given."""
    usual = default("sea.below_warmest").value
    sea = case.sea
    typical = max(sea.warmest - usual + at_end("season_assumed", end), sea.coldest)
    known = sea.typical is not None or sea.season is not None or sea.months
    return case if known else replace(case, sea=replace(sea, typical=typical))


def choice(loop):
    """The pump to take, or none where no pump will do."""
    return loop.chosen.part.name if loop.chosen.judgement.recommended else ""


def at_end(name, end):
    return float(spread(name).at(np.asarray([float(end)]))[0])


ENTRIES = (coil_loss, power, cut_out, hose_kind, strainer_loss, season)


def without(case, *keys):
    """The boat with these keys of every unit left open, and its tube, which would tell the loss."""
    empty = {"water_loss": (), "input_power": None, "cut_out": None, "tube": None}
    keys += ("tube",) if "water_loss" in keys else ()
    return with_unit(case, lambda unit: replace(unit, **{key: empty[key] for key in keys}))


def lifted(height, suction):
    """The ketch with her pump so high above the water and so much hose before it [m]."""
    case = shipped(KETCH)
    (pump,), (first, second, *rest) = case.pump, case.hose
    there = replace(pump, at=replace(pump.at, height=height))
    return replace(case, pump=(there,), hose=(first, replace(second, length=suction), *rest))


BOATS = {
    **{name: shipped(name) for name in (KETCH, SLOOP, BAD)},
    "no loss": without(shipped(KETCH), "water_loss"),
    "no power": without(shipped(KETCH), "input_power"),
    "no cut-out": without(shipped(SLOOP), "cut_out"),
    "no loss in the sloop": without(shipped(SLOOP), "water_loss"),
    "nothing of the catamaran": without(shipped(CATAMARAN), "water_loss", "input_power", "cut_out"),
    "no power in a bad boat": without(shipped(BAD), "input_power"),
    "lifted": lifted(1.0, 12.0),
    "lifted beyond": lifted(2.2, 12.0),
}


@pytest.mark.parametrize("name", BOATS)
def test_no_measurement_decides_only_where_either_end_of_every_assumption_leaves_the_choice(name):
    case = BOATS[name]
    now = {loop.name: loop for loop in size(case).loops}
    for enter in ENTRIES:
        for end in (0, 1):
            found = (size(one) for one in one_by_one(case, enter(case, end)))
            for loop in (loop for answer in found for loop in answer.loops):
                was = now[loop.name]
                loosened = was.grade == "yes" and loop.grade != "yes"
                if choice(loop) != choice(was) or loosened:
                    assert was.certainty.decides.kind != NOTHING, (enter.__name__, end)
                    assert was.certainty.turns, (enter.__name__, end)


def test_a_ketch_without_a_coil_loss_is_told_that_it_decides_and_how_to_settle_it():
    case = BOATS["no loss"]
    (loop,) = size(case).loops
    said, chosen = loop.certainty.decides, loop.chosen.part.name
    first = loop.certainty.turns[0]
    assert said["input"] == first.label == spread("coil_generic").meaning
    assert said["measure"] == spread("coil_generic").measure
    ends = [size(coil_loss(case, end)).loops[0].chosen.part.name for end in (0, 1)]
    assert [first.low, first.high] == ends
    assert ends != [chosen, chosen]


@pytest.mark.parametrize("name", NAMES)
def test_what_turns_a_choice_names_another_pump_and_the_sentence_follows(name):
    for loop in size(shipped(name)).loops:
        chosen, found = choice(loop), loop.certainty
        tried = {item.part.name for item in loop.pumps} | {""}
        for turn in found.turns:
            assert {turn.low, turn.high} <= tried
            assert bool(turn.tight) == ({turn.low, turn.high} == {chosen})
            assert not turn.tight or loop.grade == "yes"
        assert (found.decides.kind == NOTHING) <= (not found.turns)


def test_every_assumption_has_a_spread_that_says_how_to_settle_it():
    for name in ASSUMED:
        assert spread(name).measure and spread(name).assumed


OWN_PUMP = """
[[pump]]
name = "own-self-priming-230"
title = "self-priming pump without a figure for its lift"
source = "a test"
type = "self-priming centrifugal"
supply = "ac"
voltage = "230 V"
frequency = "50 Hz"
inlet = "25 mm"
shut_off_head = "6.25 m"
free_flow = "37.5 L/min"
power = "156 W"
duty = "continuous"
self_priming = true
"""


@pytest.mark.parametrize(
    ("name", "boat"),
    [
        ("priming_air_share", (1.0, 12.0)),
        ("priming_air_share", (0.4, 12.0)),
        ("priming_time", (1.0, 12.0)),
        ("priming_time", (0.4, 24.0)),
        ("priming_lift", (1.2, 0.8)),
        ("priming_lift", (2.5, 0.8)),
        ("priming_lift", (4.0, 0.8)),
    ],
)
def test_how_a_pump_draws_water_up_is_entered_at_either_end_too(name, boat, tmp_path, monkeypatch):
    """With a pump of one's own whose sheet does not tell how high it draws."""
    sheet = str(written(tmp_path, OWN_PUMP, "own.toml"))
    case = replace(lifted(*boat), catalogue=load_parts([sheet]).catalogue)
    (was,) = size(case).loops
    usual, about = default(f"pump.{name}"), spread(name)
    turned = {turn.label: (turn.low, turn.high) for turn in was.certainty.turns}
    expected = turned.get(about.meaning, (choice(was), choice(was)))
    for end in (0, 1):
        share = (about.low, about.high)[end]
        row = dict(read_table("defaults.toml")[f"pump.{name}"])
        value = usual.value * share
        row["value"] = f"{100.0 * value} %" if usual.unit == "-" else f"{value} {usual.unit}"
        monkeypatch.setitem(read_table("defaults.toml"), f"pump.{name}", row)
        again = load_parts([sheet]).catalogue
        (loop,) = size(replace(case, catalogue=again)).loops
        assert choice(loop) == expected[end]
        monkeypatch.undo()
