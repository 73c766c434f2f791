"""What is said of setting the valves follows from the setting: made settings, each on its own."""

from dataclasses import replace
from functools import cache, partial

import pytest
from made import kinds_of
from sizing import MOTOR, shipped

from seaflow.studies.balance.answer import BranchFlow, Sharing, ValveSetting
from seaflow.studies.balance.study import THIN, _to_set, _water, balance


@cache
def loop():
    return next(one for one in balance(shipped(MOTOR)).loops if one.setting is not None)


def setting_of(margin, settled=True, losses=(0.0, 4.0, 9.0), turns=(None, None, 2.5)):
    """A setting of three branches with these losses, made from that of a shipped boat."""
    rows = tuple(
        ValveSetting(
            branch=f"branch {number}",
            hose=f"hose {number}",
            flow=1e-4,
            margin=margin,
            extra_loss=loss,
            extra_head=0.1 * loss,
            bore=0.016,
            turns=turn,
            loss=0.0,
        )
        for number, (loss, turn) in enumerate(zip(losses, turns, strict=True))
    )
    return replace(
        loop().setting, branches=rows, meets=margin >= 0.0, settled=settled, margin=margin
    )


def shared(*margins):
    rows = tuple(
        BranchFlow(f"branch {number}", 1e-4 * (1.0 + margin), 1e-4, margin)
        for number, margin in enumerate(margins)
    )
    return Sharing("", 3e-4, 60.0, rows)


class Part:
    name = "a pump"


SHORT, ENOUGH = shared(0.3, -0.2, 0.1), shared(0.3, 0.2, 0.1)

kinds = partial(kinds_of, "balance")


def test_valves_that_are_throttled_are_named_and_those_left_wide_apart():
    first = _to_set(setting_of(0.5), Part, helps=True)[0]
    assert [valve["hose"] for valve in first["valves"]] == ["hose 1", "hose 2"]
    assert kinds(first["valves"]) == ["valve", "valve_turns"]
    assert first["valves"][1]["turns"] == 2.5
    assert first["wide"] == ("hose 0",)
    alike = setting_of(0.5, losses=(0.0, 0.0, 0.0))
    assert kinds(_to_set(alike, Part, helps=True)) == ["alike_already"]


@pytest.mark.parametrize(
    ("margin", "settled", "now", "told"),
    [
        (0.5, True, SHORT, ["all_get_it"]),
        (0.5, True, ENOUGH, ["all_get_it_anyway"]),
        (0.5, False, SHORT, ["best_found", "all_get_it"]),
        (THIN, True, SHORT, ["all_get_it"]),
        (0.9 * THIN, True, SHORT, ["all_get_it", "thin"]),
        (-0.2, True, SHORT, ["pump_too_small"]),
        (-0.2, False, SHORT, ["best_found", "pump_too_small_unevenly"]),
    ],
)
def test_what_the_setting_comes_to_is_told_behind_the_valves(margin, settled, now, told):
    said = _to_set(setting_of(margin, settled), Part, helps=now is SHORT)
    assert kinds(said) == ["throttle", *told]
    answer = replace(loop(), to_set=said, setting=setting_of(margin, settled), sharing=(now,))
    assert kinds(answer.outcome) == told
    assert answer.starves is (now is SHORT)
    assert answer.is_met is (margin >= 0.0 or now is ENOUGH)
    last = said[-1] if told[-1] != "thin" else said[-2]
    if margin < 0.0:
        assert last["share"] == pytest.approx(1.0 + margin)
    else:
        assert last["more"] == pytest.approx(margin)


def test_where_nothing_is_set_that_is_the_outcome():
    said = _to_set(setting_of(0.5, losses=(0.0, 0.0, 0.0)), Part, helps=False)
    answer = replace(loop(), to_set=said, setting=None, sharing=(ENOUGH,))
    assert answer.outcome == said
    assert replace(answer, to_set=()).outcome == ()
    assert answer.is_met
    assert not replace(answer, sharing=(SHORT,)).is_met


def test_the_worst_branch_is_told_with_what_it_gets():
    assert [branch.branch for branch in SHORT.starving] == ["branch 1"]
    two = shared(-0.1, -0.3, 0.0)
    assert [branch.branch for branch in two.starving] == ["branch 1", "branch 0"]
    (one,) = _water(shared(0.25))
    assert (one.kind, one["branch"], one["margin"]) == ("balance.only_one", "branch 0", 0.25)
    (none,) = _water(ENOUGH)
    assert (none.kind, none["branch"], none["margin"]) == ("balance.none_starves", "branch 2", 0.1)
    for said in _water(two)[:1]:
        assert said.kind not in ("balance.only_one", "balance.none_starves")
