"""A pump judged at either end of an input, and a boat better left: which counts, on paper."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from made import made

from seaflow.base.facts import fact
from seaflow.model.conditions import Conditions
from seaflow.model.point import COOLING, OFF, TRIPS
from seaflow.studies.design import at_ends, days_at_ends
from seaflow.studies.design.at_ends import pairs_of
from seaflow.studies.design.certainty.inputs import Input
from seaflow.studies.design.certainty.sample import PumpCertainty
from seaflow.studies.design.choose import PumpResult, Ranked
from seaflow.studies.design.days_at_ends import AskedAtEnds, AskedInputs
from seaflow.studies.design.judge import Judgement
from seaflow.studies.design.limits import limit
from seaflow.studies.design.start import FirstStart
from seaflow.studies.improve import leave
from seaflow.studies.improve.answer import Choice
from seaflow.studies.improve.search import _worth
from seaflow.studies.improve.space import Pick
from seaflow.studies.improve.study import _fairly


def ranked(name):
    judgement = Judgement((), (fact(f"design.{name}"),))
    return made(Ranked, result=made(PumpResult, place="p", judgement=judgement))


def test_where_the_worst_cases_know_nothing_of_an_input_those_of_the_pump_as_it_is_hold(
    monkeypatch,
):
    monkeypatch.setattr(at_ends, "judge_season", lambda found, days: (found, days))
    as_it_is, at_end, alone = ranked("now"), ranked("end"), Judgement((), ())
    trials = SimpleNamespace(at_worst=lambda item: alone)
    assert at_ends._judged(trials, as_it_is, as_it_is, "days").result.judgement == (alone, "days")
    found = at_ends._judged(trials, as_it_is, at_end, "days").result.judgement
    assert found == (at_end.result.judgement, "days")


def one_input(name, path=None, varies=False, assumed=False, shape="factor", label=None):
    spread = SimpleNamespace(name=name, varies=varies, assumed=assumed, shape=shape, meaning=name)
    return SimpleNamespace(label=label or name, path=path, spread=spread)


@pytest.fixture
def asked(monkeypatch):
    """What the worst cases are asked at, with days that keep the rise at high ends alone."""
    seen = SimpleNamespace(known=None, ends=None)

    def days(case, asked):
        (one,) = asked
        seen.known = [one.drawn.inputs[number].label for number in one.known]
        rise = [0.0, 1.0] * len(one.known) + [0.5] * len(one.seasons)
        return [[made(PumpCertainty, pump="p", n_samples=1, keeps_rise=share) for share in rise]]

    def worst(trials, asked, ends):
        seen.ends = [(one.label, end) for one, end in ends[0]]
        return [{("head", 1.0): "worst at the high end"}]

    monkeypatch.setattr(at_ends, "days_at_ends", days)
    monkeypatch.setattr(at_ends, "_worst", worst)
    monkeypatch.setattr(at_ends, "_judged", lambda trials, item, end, day: (end, day.keeps_rise))
    monkeypatch.setattr(at_ends, "_kinds", lambda trials, item: iter([("kind", seen.kind, "pair")]))
    monkeypatch.setattr(days_at_ends, "other_seasons", lambda case, about: ("south", "north"))
    for module in (at_ends, days_at_ends):
        monkeypatch.setattr(module, "spread", lambda name: one_input(name).spread)
    seen.kind = one_input("hose_kind").spread
    return seen


INPUTS = (
    one_input("head"),
    one_input("path", path=("hose", 0, "bore")),
    one_input("season", varies=True),
    one_input("barbs"),
    one_input("pump_head"),
)


def pairs(asked_inputs):
    drawn = SimpleNamespace(inputs=INPUTS)
    trials = SimpleNamespace(case=None)
    asked = AskedAtEnds.of(None, "as it is", drawn, asked_inputs)
    (found,) = pairs_of(trials, [asked])
    return {label: pair for label, _, pair in found}


def test_of_the_chosen_pump_every_known_input_is_asked_at_both_ends(asked):
    found = pairs(None)
    assert asked.known == ["head", "barbs", "pump_head"]
    assert asked.ends == [(name, end) for name in asked.known for end in (0.0, 1.0)]
    assert found["head"] == (("as it is", 0.0), ("worst at the high end", 1.0))
    assert found["barbs"] == (("as it is", 0.0), ("as it is", 1.0))
    assert found["season_assumed"] == (("as it is", 0.5), ("as it is", 0.5))
    assert found["kind"] == "pair"


def test_of_another_pump_what_is_asked_where_it_is_likely_or_always(asked):
    found = pairs(AskedInputs(frozenset({"head", "pump_head"}), frozenset()))
    assert asked.known == ["head"] and set(found) == {"head"}  # not the figures of the pump itself
    assert asked.ends == [("head", 1.0)]
    pairs(AskedInputs(frozenset({"head", "barbs"}), frozenset({"barbs"})))
    assert asked.ends == [("head", 1.0), ("barbs", 0.0), ("barbs", 1.0)]
    asked.kind = one_input("priming_lift").spread
    found = pairs(AskedInputs(frozenset(), frozenset()))
    assert set(found) == {"kind"} and asked.ends == []


def test_what_leaves_a_loop_as_it_is():
    for shape, value in (("factor", 1.0), ("offset", 0.0), ("share", 0.5)):
        one = Input("x", one_input("x", shape=shape).spread, apply=None)
        assert one.neutral(3).tolist() == [value] * 3
        assert replace(one, still=7.0).neutral(2).tolist() == [7.0, 7.0]
    now = Conditions(sea_temperature=np.asarray([1.0, 2.0]), voltage=np.asarray([9.0]))
    tiled = at_ends._tiled(now, 2, 3)
    assert tiled.sea_temperature.tolist() == [1.0, 2.0] * 3 and tiled.voltage.tolist() == [9.0]


def start(head, shut_off, bled=None):
    one = SimpleNamespace(head=head, head_bled=head if bled is None else bled, shut_off=shut_off)
    return FirstStart((one,), ())


def test_a_start_is_near_where_a_head_or_a_height_may_turn_it():
    def near(found, *levels):
        return at_ends._start_is_near(
            SimpleNamespace(outlet=[SimpleNamespace(level=one) for one in levels]), found
        )

    # within a quarter of a metre below, and a fifth above that
    assert near(start(2.0, 1.76)) and not near(start(2.0, 1.74))
    assert near(start(2.0, 2.69)) and not near(start(2.0, 2.71))
    assert near(start(2.0, 1.3, bled=1.5)) and not near(start(2.0, 1.2, bled=1.5))
    far = start(1.0, 9.0)
    assert near(far, 0.119) and near(far, -0.119) and not near(far, 0.121) and not near(far, None)
    tack = replace(far, tacks=start(2.0, 2.0).upright)
    assert near(tack)


# -------------------------------------------------------------------------------- better left alone


def unit(margins, rises, states=COOLING):
    return SimpleNamespace(
        state=np.broadcast_to(states, 100),
        cut_out_margin=np.broadcast_to(margins, 100),
        temperature_rise=np.broadcast_to(rises, 100),
        volume_flow=np.full(100, 1e-4),
    )


@pytest.fixture
def left(monkeypatch):
    """Why to leave a boat whose rise is permitted up to 7 K, with units and days as given."""

    def found(rise=0.5, running=1.0, **units):
        held = SimpleNamespace(
            keeps_rise=np.arange(100) < 100.0 * rise, keeps_running=np.arange(100) < 100.0 * running
        )
        monkeypatch.setattr(leave, "verdicts", lambda *_: held)
        monkeypatch.setattr(leave, "permitted_rise", lambda *_: 7.0)
        best = SimpleNamespace(
            label="bore", swing=0.4, enough_low=0.1, enough_high=0.9, measure="m"
        )
        less = SimpleNamespace(
            label="length", swing=0.2, enough_low=0.4, enough_high=0.6, measure="n"
        )
        monkeypatch.setattr(leave, "dominants", lambda *_: [less, best])
        coils = [SimpleNamespace(unit=name) for name in units]
        built = SimpleNamespace(loop=SimpleNamespace(coils=coils))
        drawn = SimpleNamespace(built=built, point=SimpleNamespace(units=units))
        needs = {name: SimpleNamespace(flow=1e-4) for name in units}
        return leave.leave_it(None, drawn, needs, "p")

    return found


FAR, LITTLE = limit("far_from_cut_out"), limit("rise_hardly_missed")


def test_a_boat_that_misses_its_rise_by_little_and_is_far_from_its_cut_out_is_left(left):
    found = left(a=unit(FAR + 1.0, 7.0 + 0.5 * LITTLE), b=unit(FAR + 2.0, 7.0))
    assert found.margin == pytest.approx(FAR + 1.0) and found.over == pytest.approx(0.5 * LITTLE)
    assert (found.first["input"], found.first["pump"]) == ("bore", "p")
    assert (found.first["low"], found.first["high"], found.first["measure"]) == (0.1, 0.9, "m")


def test_what_speaks_against_leaving_it(left):
    fine = unit(FAR + 1.0, 7.0)
    enough, runs = limit("likely_enough"), limit("likely_running")
    assert left(a=fine) is not None
    assert left(rise=enough, a=fine) is None and left(rise=enough - 0.01, a=fine) is not None
    assert left(running=runs - 0.01, a=fine) is None
    assert left(a=unit(FAR, 7.0)) is not None and left(a=unit(FAR - 0.01, 7.0)) is None
    assert left(a=unit(FAR, 7.0 + LITTLE)) is not None
    assert left(a=unit(FAR, 7.01 + LITTLE)) is None
    assert left(a=fine, b=unit(FAR - 1.0, 7.0)) is None  # one of two is enough
    assert left(a=fine, b=unit(FAR, 8.0 + LITTLE)) is None
    assert left(a=fine, b=unit(-9.0, 99.0, OFF)) is not None  # one that is off is not asked
    assert left(a=unit(-9.0, 99.0, OFF)) is None  # nor is there anything to leave
    # on one day in ten either may fail, and a unit that trips then has neither room nor rise
    n_bad = round(100.0 * (1.0 - enough))
    for bad, leaves in ((n_bad - 1, True), (n_bad + 1, False)):
        states = np.where(np.arange(100) < bad, TRIPS, COOLING)
        assert (left(a=unit(FAR + 1.0, 7.0, states)) is not None) == leaves


def test_a_choice_takes_water_where_the_worst_unit_has_less_than_now_or_than_the_pump_leaves_it():
    none, hose, pump, both = (Pick(p, 0, (b,)) for p, b in ((0, 0), (0, 1), (1, 0), (1, 1)))

    def takes(now, *margins):
        picks = dict(zip((none, hose, pump, both), (now, *margins), strict=True))
        rated = {
            pick: made(Choice, changes=(), n_changes=0, pump="p", margin=m)
            for pick, m in picks.items()
        }
        return [one.takes_water for one in _fairly(rated, none).values()]

    assert takes(0.2, 0.191, 0.3, 0.191) == [False, False, False, False]
    assert takes(0.2, 0.189, 0.3, 0.189) == [False, True, False, True]
    # another pump may leave less, as long as the need is met
    assert takes(0.2, 0.2, 0.05, 0.041) == [False, False, False, False]
    assert takes(0.2, 0.2, 0.05, 0.039) == [False, False, False, True]
    assert takes(-0.2, -0.2, -0.3, -0.209) == [False, False, True, False]
    assert takes(-0.2, -0.211, -0.2, -0.211) == [False, True, False, True]
    assert takes(0.2, 0.2, -0.05, 0.2) == [False, False, True, False]


def test_boats_worth_a_look_bring_a_hundredth_more_than_with_fewer_changes():
    ways = np.asarray([[0], [1], [2], [3], [4], [5], [6]])
    changes = np.asarray([0, 1, 1, 2, 3, 4, 5])

    def worth(*shares):
        return [way[0] for way in _worth(ways, changes, np.asarray(shares))]

    assert worth(0.7, 0.8, 0.9, 0.905, 0.95, 0.959, 1.0) == [0, 2, 4, 6]
    assert worth(0.59, 0.5, 0.61, 0.7, 0.8, 0.9, 1.0) == [2, 3, 4, 5, 6]
    assert worth(0.7, 0.8, 1.61, 1.7, 1.8, 1.9, 2.0) == [0, 2]
    assert worth(0.7, 0.8, 1.59, 1.7, 1.8, 1.9, 2.0) == [0, 2, 3]
