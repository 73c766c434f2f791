"""What an answer of the diagnosis makes of odds and facts of the boat, at each edge, on paper."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from made import made

from seaflow.base.facts import fact
from seaflow.studies.design.certainty.spreads import spread
from seaflow.studies.diagnose import answer, description
from seaflow.studies.diagnose.answer import LEAST_SHOWN, _alike, _pairs, _told, causes, stands_still
from seaflow.studies.diagnose.description import (
    _About,
    _judged_by,
    _likely,
    _odds_between,
    _rank,
    _tells,
    _thirds,
    _times_as_wide,
)
from seaflow.studies.diagnose.faults import Fault, nothing
from seaflow.studies.diagnose.hypotheses import NONE, Hypotheses
from seaflow.studies.diagnose.infer import Posterior
from seaflow.studies.diagnose.readings import Number, Readings
from seaflow.studies.diagnose.verdict import ACT, NORMAL, STOP, WATCH, Verdict

N = 12


def fault(name, **more):
    told = {"name": name, "weight": 1.0, "title": f"title {name}", "do": f"do {name}"}
    return made(Fault, **told | more)


def posterior(first, weight, second=None, faults="abc", shares=None):
    first, weight = np.asarray(first), np.asarray(weight, dtype=float)
    second = np.full(first.size, NONE) if second is None else np.asarray(second)
    rows = tuple(fault(name) for name in faults)
    hypotheses = made(
        Hypotheses,
        first=first,
        second=second,
        log_prior=np.log(np.full(first.size, 1.0 / first.size)),
    )
    setup = SimpleNamespace(faults=rows)
    flotilla = SimpleNamespace(setup=setup, hypotheses=hypotheses, shares=shares, as_they_come=None)
    return Posterior(flotilla, weight / weight.sum(), 1000.0, 1.0)


# ------------------------------------------------------------------------------ what is told first


def test_causes_come_by_their_odds_and_nothing_is_one_of_them():
    found = posterior([0, 1, 2, NONE], [0.5, 0.3, 0.001, 0.199])
    told = causes(found, Readings())
    assert [one.title for one in told] == ["title a", "title b", nothing().title]
    assert [one.chance for one in told] == pytest.approx([0.5, 0.3, 0.199])
    assert told[0].do == "do a" and told[2].do == nothing().do
    tripped = causes(found, Readings(signs=(("tripped", "yes"),)))
    assert tripped[2].do == nothing().do_after_trip
    edge = causes(
        posterior(
            [0, 1, NONE], [LEAST_SHOWN * 1.001, LEAST_SHOWN * 0.999, 1.0 - 2.0 * LEAST_SHOWN]
        ),
        Readings(),
    )
    assert len(edge) == 2
    ties = causes(posterior([0, 1, NONE], [0.4, 0.4, 0.2]), Readings())
    assert [one.title for one in ties[:2]] == ["title a", "title b"]


def test_pairs_are_told_while_they_are_likely_two_at_most():
    found = posterior([0, 0, 1, NONE], [0.3, 0.2, 0.1, 0.4], [1, 2, 2, NONE])
    one, two = _pairs(found)
    assert (one.titles, one.chance) == (("title a", "title b"), pytest.approx(0.3))
    assert (two.titles, two.chance) == (("title a", "title c"), pytest.approx(0.2))
    assert _pairs(posterior([0, NONE], [LEAST_SHOWN * 0.5, 1.0], [1, NONE])) == ()


def test_causes_that_readings_favour_as_much_are_alike():
    even = posterior([0, 0, 1, NONE], [0.2, 0.2, 0.2, 0.4])
    names = [one.title for one in causes(even, Readings())]
    assert names[0] in (nothing().title, "title a")
    alike = _alike(even, causes(even, Readings()))
    first = causes(even, Readings())[0]
    support = dict(
        zip(["title a", "title b", "title c", nothing().title], even.mean_support(), strict=True)
    )
    near = {title for title in names if abs(support[title] - support[first.title]) < answer.ALIKE}
    assert {title for titles in alike if len(titles) == 1 for title in titles} == (
        near if len(alike) > 1 else set()
    )


def test_that_no_boat_reads_so_is_told_unless_something_is_more_urgent():
    unlike = fact("diagnose.no_boat_reads_so")
    mild, grave = answer.LESS_URGENT[0], "diagnose.no_water"
    for word, told in ((NORMAL, WATCH), (WATCH, WATCH), (ACT, ACT)):
        found = _told(Verdict(word, fact(mild)), unlike, Readings())
        assert (found.word, found.why) == (told, unlike)
    stop = Verdict(STOP, fact(grave))
    assert _told(stop, unlike, Readings()) == stop
    plain = Verdict(NORMAL, fact(mild), unseen=fact("x"))
    assert _told(plain, None, Readings()) == plain
    doubted = Readings(assumed=(fact("diagnose.other"), fact(answer.VOLTS_DOUBTED)))
    found = _told(plain, None, doubted)
    assert (found.word, found.why.kind, found.unseen) == (WATCH, answer.VOLTS_DOUBTED, None)
    assert _told(Verdict(ACT, fact(grave)), None, doubted).word == ACT


def test_a_pump_stands_still_below_the_least_volts_of_any_of_its_kind():
    low = spread("least_volts").low
    setup = SimpleNamespace(part=SimpleNamespace(minimum_voltage=200.0))
    assert stands_still(setup, 200.0 * low - 0.1) and not stands_still(setup, 200.0 * low + 0.1)
    assert not stands_still(SimpleNamespace(part=SimpleNamespace(minimum_voltage=None)), 1.0)
    wet, dry = (("stream", word) for word in ("weak", "none"))
    low_volts = Number("volts", "", 200.0 * low - 0.1)
    readings = Readings((low_volts, Number("sea", "", 20.0)), (wet,))
    believed = answer._believed(setup, readings)
    assert [one.kind for one in believed.numbers] == ["sea"]
    assert believed.assumed[-1].kind == answer.VOLTS_DOUBTED
    assert answer._believed(setup, replace(readings, signs=(dry,))).numbers == readings.numbers
    fine = replace(readings, numbers=(Number("volts", "", 230.0),))
    assert answer._believed(setup, fine) == fine


def reading(kind, running=False, helps=True):
    return SimpleNamespace(kind=kind, running=running, helps=helps)


def test_the_next_reading_suits_the_verdict(monkeypatch):
    rows = [reading("when"), reading("amps", running=True), reading("volts", helps=False)]
    rows += [reading("basket"), reading("load", helps=False)]
    monkeypatch.setattr(answer, "open_readings", lambda *_: rows)
    wants = {"load": False}
    monkeypatch.setattr(answer, "wants_load", lambda *_: wants["load"])

    def following(word):
        setup = SimpleNamespace(faults=())
        nobody = SimpleNamespace(nothing=0.0, flotilla=SimpleNamespace(setup=setup))
        found = answer._next_reading(nobody, Readings(), Verdict(word, fact("x")), ())
        return found and found.kind

    assert following(WATCH) == following(ACT) == following(STOP) == "when"
    assert following(NORMAL) == "amps"
    del rows[0]
    assert following(STOP) == "basket" and following(ACT) == "amps"
    wants["load"] = True
    assert following(ACT) == "load" and following(STOP) == "basket"
    rows[:] = [reading("volts", helps=False), reading("load")]
    wants["load"] = False
    assert following(STOP) == "load"
    rows[:] = [reading("volts", helps=False)]
    assert following(ACT) is None


# ------------------------------------------------------------------------------- what is not known


def test_a_width_is_told_over_what_is_left_of_it_once_a_fact_is_known():
    rng = np.random.default_rng(7)
    shares = rng.random((2, 4000))
    seen = 3.0 * shares[0] + 4.0 * (shares[1] - 0.5) ** 2 + 0.5 * rng.standard_normal(4000)
    known = 9.0 / 12.0 + 16.0 / 180.0
    by_hand = np.sqrt((known + 0.25) / 0.25)
    assert _times_as_wide(shares, seen) == pytest.approx(by_hand, rel=0.03)
    assert _times_as_wide(shares[:1], seen) < 0.98 * by_hand
    assert _times_as_wide(shares, np.zeros(4000)) == 1.0
    assert _times_as_wide(shares, shares[0]) == pytest.approx(10.0)  # no more than that
    assert _times_as_wide(shares, rng.standard_normal(4000)) == pytest.approx(1.0, abs=0.01)
    assert _rank(np.asarray([30.0, 10.0, 20.0])).tolist() == pytest.approx(
        [2.5 / 3, 0.5 / 3, 1.5 / 3]
    )


ABOUT = _About("bore", "measure it", "diagnose.narrows_by_bore", (0, 2))


def test_a_fact_that_parts_the_causes_tells_a_bit_and_a_third():
    """Three causes, each in its own third of what the fact may be."""
    shares = np.zeros((3, N))
    shares[0] = (np.arange(N) + 0.5) / N
    shares[2] = shares[0]
    first = np.repeat([0, 1, 2], 4)
    found = posterior(first, np.ones(N), shares=shares)
    assert ABOUT.total(shares).tolist() == pytest.approx((2.0 * shares[0]).tolist())
    third = _thirds(found, ABOUT, shares)
    assert third.tolist() == first.tolist()
    likely = _likely(found, ABOUT)
    assert sorted(likely.tolist()) == [0, 1, 2]
    assert _tells(found, third, likely) == pytest.approx(np.log2(3.0))
    assert _tells(found, np.tile([0, 1, 2], 4), likely) < 0.1
    odds = _odds_between(found, third, likely)
    assert odds["cause"] in ("title a", "title c")
    assert {odds["if_low"], odds["if_high"]} == {0.0, 1.0}
    assert (odds["if_low"] == 1.0) == (odds["cause"] == "title a")


def test_hoses_and_pumps_tell_of_no_machine():
    found = posterior([0, 1, 2, NONE], [0.5, 0.3, 0.15, 0.05])
    rows = list(found.flotilla.setup.faults)
    rows[0] = replace(rows[0], machine=True)
    found.flotilla.setup.faults = tuple(rows)
    assert _likely(found, ABOUT).tolist() == [1, 2, 3]
    assert _likely(found, replace(ABOUT, of_unit=True)).tolist() == [0, 1, 2]


def test_what_narrows_is_told_by_causes_or_by_the_band_or_not(monkeypatch):
    other = replace(ABOUT, what="length", kind="diagnose.narrows_by_length")
    numbers = {"tells": [0.0, 0.5], "explains": [0.4, 0.1]}
    told = {"tells": iter(()), "explains": iter(())}

    def refill():
        told["tells"], told["explains"] = iter(numbers["tells"]), iter(numbers["explains"])

    monkeypatch.setattr(description, "_tells", lambda *_: next(told["tells"]))
    monkeypatch.setattr(description, "explained_share", lambda *_: next(told["explains"]))
    odds = {"cause": "c", "if_low": 0.1, "if_high": 0.7}
    monkeypatch.setattr(description, "_odds_between", lambda *_: odds)
    shares = np.tile((np.arange(N) + 0.5) / N, (3, 1))
    found = posterior(np.repeat([0, 1, 2], 4), np.ones(N), shares=shares)

    def narrows():
        refill()
        return description._narrows(found, (ABOUT, other), shares, shares[0])

    chance = 2.0 * 3.0 / (2.0 * 1000.0 * np.log(2.0))
    one = narrows()
    assert (one.what, one.says.kind) == ("length", "diagnose.narrows_by_length")
    assert (one.tells, one.explains) == (pytest.approx(0.5 - chance), 0.1)
    assert one.says["if_high"] == 0.7
    for times, kind in ((3.69, "diagnose.narrows_band"), (3.71, "diagnose.narrows_by_length")):
        numbers["tells"] = [0.0, times * chance]
        assert narrows().says.kind == kind
    numbers["tells"] = [0.0, 0.0]
    one = narrows()
    assert (one.what, one.tells, one.explains) == ("bore", 0.0, 0.4)
    assert one.says["explains"] == 0.4
    for share, said in ((0.029, False), (0.03, True)):
        numbers["explains"] = [share, 0.0]
        assert (narrows() is not None) == said


def test_a_boat_is_called_healthy_by_the_first_number_that_is_her_own():
    setup = SimpleNamespace(places=SimpleNamespace(outlets=("port", "starboard")))
    assert _judged_by(setup, Readings()) == Number("flow", "port", 0.0)
    amps = Number("amps", "", 3.0)
    readings = Readings(
        (Number("sea", "", 20.0), Number("volts", "", 12.0), amps, Number("watts", "a", 9.0))
    )
    assert _judged_by(setup, readings) == amps


def test_what_the_answer_rests_on():
    flotilla = SimpleNamespace(
        hypotheses=SimpleNamespace(size=99),
        boats=SimpleNamespace(now=SimpleNamespace(mode="cooling")),
    )
    found = SimpleNamespace(flotilla=flotilla, wider=1.0, is_rough=False)

    def kinds(**more):
        told = {"own": None, "verdict": SimpleNamespace(to_ice=None)} | more
        return [
            one.kind.removeprefix("diagnose.")
            for one in answer._basis(told["own"], told["verdict"], found)
        ]

    assert kinds() == ["simulated"]
    own = SimpleNamespace(n_readings=3, learnt=())
    assert kinds(own=own) == ["simulated", "stored"]
    found.wider = 1.3
    assert kinds() == ["simulated", "coarser"]
    flotilla.boats.now.mode = "heating"
    assert kinds() == ["simulated", "no_heating_plate", "coarser"]
    assert kinds(verdict=SimpleNamespace(to_ice=2.0)) == ["simulated", "coarser"]
    flotilla.boats.now.mode, found.wider, found.is_rough = "cooling", 1.0, True
    assert kinds(verdict=SimpleNamespace(to_ice=None, word=ACT)) == ["simulated", "rough"]
    assert kinds(verdict=SimpleNamespace(to_ice=None, word=STOP)) == ["simulated"]
