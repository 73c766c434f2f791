"""What a table of an answer lists: steps that are even, from the state that is named first."""

import re
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from sizing import KETCH, MOTOR, SLOOP, shipped
from survey_boats import sound_case

from seaflow.base.facts import fact
from seaflow.model.first_start import Move, Start
from seaflow.studies.balance.study import balance
from seaflow.studies.balance.warm import SHARES, TOLD_SHARE
from seaflow.studies.design.start import FirstStart
from seaflow.studies.diagnose.look import in_words
from seaflow.studies.energy.optimum import LOADS, Bound, _set_by
from seaflow.studies.energy.study import energy
from seaflow.studies.survey.findings import survey

DOCS = Path(__file__).parents[2] / "docs"
TENTH = 0.1


@pytest.mark.parametrize("name", [KETCH, SLOOP])
def test_heads_at_no_flow_are_listed_by_tenths_of_full_speed_and_go_with_its_square(name):
    for loop in energy(shipped(name)).loops:
        rows = loop.starting.speeds
        tenths = [1.0 - TENTH * number for number in range(len(rows))]
        assert [row.speed for row in rows] == pytest.approx(tenths)
        assert 0.3 <= rows[-1].speed < 0.3 + TENTH or loop.least_setting is not None
        for row in rows:
            head = loop.starting.shut_off_head * row.speed**2
            assert row.shut_off_head == pytest.approx(head)


def test_a_strainer_is_listed_from_clean_to_nearly_blocked():
    (strainer,) = survey(sound_case()).strainers
    blocked = [row.blocked for row in strainer.at]
    assert blocked[0] == 0.0
    assert np.all(np.diff(blocked) > 0.0)
    assert all(100.0 * share % 5.0 == pytest.approx(0.0, abs=1e-9) for share in blocked)
    assert 0.95 <= blocked[-1] < 0.99


def test_warm_water_is_told_from_none_at_all_in_shares_that_at_least_double():
    assert SHARES[0] == 0.0
    assert TOLD_SHARE in SHARES
    assert all(more == pytest.approx(2.0 * less) for less, more in pairwise(SHARES[1:]))
    for loop in balance(shipped(MOTOR)).loops:
        assert [item.share for item in loop.recirculation] == list(SHARES)
        assert loop.recirculation[0].intake_warmer == 0.0


def test_loads_go_up_to_full_by_quarters():
    assert list(LOADS) == [0.25 * number for number in range(1, 5)]


JUST_BELOW = 0.0051  # a word goes by the whole per cent that is printed beside it


def test_odds_have_the_words_that_the_page_gives_them():
    page = (DOCS / "diagnosis.md").read_text(encoding="utf-8").replace("\n", " ")
    (listed,) = re.findall(r"The odds have the same words everywhere: (.*?)\.", page)
    edges = [
        (word.strip(), int(least)) for word, least in re.findall(r"([a-z ]+) \((\d+) %", listed)
    ]
    assert len(edges) == 6
    for word, least in edges:
        kind = f"diagnose.{word.replace(' ', '_')}"
        assert in_words(least / 100.0).kind == kind
        assert in_words(least / 100.0 - JUST_BELOW).kind != kind
    assert (
        in_words(0.0).kind
        == in_words(edges[-1][1] / 100.0 - JUST_BELOW).kind
        == "diagnose.very_unlikely"
    )


# ------------------------------------------------------------------------- why it is this setting


def test_a_setting_is_set_by_the_limit_that_the_next_slower_one_breaks():
    settings = np.linspace(0.4, 1.0, 4)
    flow = Bound(fact("energy.least_setting"), np.array([False, False, True, True]))
    rise = Bound(fact("energy.not_all_limits"), np.array([False, True, True, True]))
    assert _set_by(2, settings, (flow, rise)) is flow.says
    assert _set_by(1, settings, (rise,)) is rise.says
    assert _set_by(2, settings, (rise,)).kind == "energy.least_power"
    assert _set_by(3, settings, (rise,)).kind == "energy.full_speed"
    assert _set_by(0, settings, (flow,)).kind == "energy.least_setting"
    never = Bound(fact("energy.full_speed"), np.zeros(4, dtype=bool))
    assert _set_by(-1, settings, (rise, never))["limit"] is never.says
    assert _set_by(-1, settings, (rise,)).kind == "energy.not_all_limits"


# --------------------------------------------------------------------------- a start on either tack


def start_at(heel, *said):
    """A start that is refused for these reasons: kind, thing and how far to move it."""
    return Start(
        pump="pump",
        heel=heel,
        depth=0.4 - abs(heel),
        reasons=tuple(fact(kind) for kind, _, _ in said),
        moves=tuple(Move(thing, "lower", distance) for _, thing, distance in said),
    )


CREST, OUT, BLEED = "start.crest_above_water", "start.intake_out", "start.bleed_dip"


def test_each_hindrance_is_told_once_in_the_attitude_that_asks_for_most():
    upright = start_at(0.0, (CREST, "elbow", 0.1))
    port = start_at(-0.2, (CREST, "elbow", 0.3), (OUT, "intake", 0.2), (BLEED, "dip", 0.5))
    starboard = start_at(0.25, (CREST, "elbow", 0.2), (OUT, "intake", 0.4), (CREST, "tee", 0.1))
    for tacks in ((port, starboard), (starboard, port)):
        start = FirstStart((upright,), tacks)
        ((said, move),) = start.hindrances
        assert (said.kind, move.thing, move.distance) == (CREST, "elbow", 0.3)
        told = {
            (said["reason"].kind, move.thing): (move.distance, said["where"]["by"][0]["heel"].value)
            for said, move in start.on_a_tack
        }
        assert told == {(OUT, "intake"): (0.4, 0.25), (CREST, "tee"): (0.1, 0.25)}
        assert start.shallowest == pytest.approx(0.15)
