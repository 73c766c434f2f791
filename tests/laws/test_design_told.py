"""What the shared floor of design makes of numbers, at each edge, with several units and pumps."""

from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
from made import L, made
from sizing import CATAMARAN, KETCH, MOTOR, shipped

from seaflow.base.facts import amount, fact
from seaflow.boat.tables.supply import Cable
from seaflow.boat.tables.use import Battery
from seaflow.model.conditions import Conditions
from seaflow.model.first_start import BLEED, NO, NOT_KNOWN, PRIMES, STARTS, Move, Start
from seaflow.studies.design import judge as judging
from seaflow.studies.design import turns as turns_module
from seaflow.studies.design.boats import DrawnBoats, _names_in, finds_of
from seaflow.studies.design.certainty.find_out import FindOut, from_words, next_of, words_of
from seaflow.studies.design.choose import _off_supply, _order
from seaflow.studies.design.cured import left_by_cures
from seaflow.studies.design.duties import bank_of, duties_of, has_battery
from seaflow.studies.design.judge import TIGHT, YES, Judgement, Ruling
from seaflow.studies.design.limits import limit
from seaflow.studies.design.named import pump_named
from seaflow.studies.design.need import Criterion, _beside_the_rules, _Need
from seaflow.studies.design.start import (
    FirstStart,
    _after,
    attitude,
    attitudes,
    cure,
    on_tacks,
    reason_of,
    told,
    up,
)
from seaflow.studies.design.supply import _is_enough, cable_drop, fits, panel_volts, supply_of
from seaflow.studies.design.turns import (
    Turn,
    _is_hopeless,
    _is_worse,
    _may_beat,
    _tight_at,
    _turn,
    choice,
)
from seaflow.studies.design.worst_cases import stacked, worst_cases

# ----------------------------------------------------------------------------------- the judgement


def rulings(*rows):
    return tuple(Ruling(grade, fact(f"design.{kind}"), cured) for grade, kind, cured in rows)


DEEPER, VOLTS = fact("design.deeper"), fact("design.volts")


def test_a_judgement_is_its_worst_ruling_and_the_first_of_them_decides():
    found = Judgement(rulings((TIGHT, "misses_rise", None), ("no", "unit_dry", None)), ())
    assert (found.grade, found.recommended, found.starved) == ("no", False, False)
    assert found.deciding.said.kind == "design.unit_dry"
    assert [one.kind for one in found.reasons] == ["design.unit_dry"]
    assert [one.kind for one in found.doubts] == ["design.misses_rise"]
    two = Judgement(rulings((TIGHT, "misses_rise", None), (TIGHT, "cavitates", None)), ())
    assert two.deciding.said.kind == "design.misses_rise" and two.starved and two.recommended
    assert two.of(("design.cavitates", "design.x")).said.kind == "design.cavitates"
    assert two.of(("design.x",)) is None
    worse = Judgement((*two.rulings, *rulings(("no", "cavitates", DEEPER))), ())
    assert worse.of(("design.cavitates", "design.misses_rise")).grade == "no"
    none = Judgement((), ())
    assert (none.grade, none.deciding, none.cure, none.reasons) == (YES, None, None, ())


def test_cures_are_of_what_decides_and_would_make_a_yes_only_if_nothing_else_is_wrong():
    both = Judgement(rulings(("no", "cavitates", DEEPER), ("no", "does_not_turn", VOLTS)), ())
    assert both.cure == fact("design.cures", cures=(DEEPER, VOLTS)) == both.keeps_with
    one = Judgement(rulings(("no", "cavitates", DEEPER), (TIGHT, "does_not_turn", VOLTS)), ())
    assert one.cure == DEEPER and one.keeps_with is None
    uncured = Judgement(rulings(("no", "unit_dry", None), ("no", "cavitates", DEEPER)), ())
    assert uncured.cure is None and uncured.keeps_with is None
    later = Judgement(rulings(("no", "cavitates", DEEPER), ("no", "unit_dry", None)), ())
    assert later.cure == DEEPER and later.keeps_with is None


def test_what_no_cure_helps_is_told_beside_the_cures():
    start = ("no", "cavitates", DEEPER)
    for others, said in (
        ([], None),
        ([("no", "seldom_keeps_rise", None)], ("even_then_no", "seldom_keeps_rise")),
        ([(TIGHT, "seldom_keeps_rise", None)], ("even_then_tight", "seldom_keeps_rise")),
        ([(TIGHT, "misses_rise", None), ("no", "unit_dry", None)], ("even_then_no", "unit_dry")),
        ([("no", "does_not_turn", VOLTS)], None),
    ):
        left = left_by_cures(rulings(start, *others))
        found = None if left is None else (left.kind, left["said"].kind)
        assert found == (None if said is None else tuple(f"design.{one}" for one in said))
    assert left_by_cures(rulings(("no", "unit_dry", None))) is None
    assert left_by_cures(rulings((TIGHT, "cavitates", DEEPER), ("no", "unit_dry", None))) is None
    assert left_by_cures(()) is None


def unit(name, flow, state="cooling", **more):
    return SimpleNamespace(name=name, flow=flow * L, state=state, coil_velocity=None, **more)


def where(name, *units, asks="least", ending="flowing", **more):
    told_ = {"worst_case": name, "where": fact(f"where.{name}"), "asks": asks, "ending": ending}
    told_ |= {"voltage": 11.0, "npsh_available": None, "inlet_gauge": None, "flow": 1.0}
    return SimpleNamespace(units=units, **told_ | more)


def trial(*at, least=10.0, **more):
    need = SimpleNamespace(least=least * L, flow=12.0 * L, most=None, can_run=True)
    coils = [SimpleNamespace(branch_shut=False, switched_on=True)]
    built = SimpleNamespace(loop=SimpleNamespace(coils=coils))
    part = SimpleNamespace(minimum_voltage=10.5, continuous=True, required_npsh=None)
    told_ = {"built": built, "part": part, "needs": dict.fromkeys("abc", need)}
    return SimpleNamespace(at=at, **told_ | more)


def running(*at, **more):
    return list(judging._keeps_running(trial(*at, **more)))


def test_of_units_short_of_water_the_one_that_lacks_most_in_the_first_case_is_told():
    first = where("low", unit("a", 9.99), unit("b", 9.95), unit("c", 11.0))
    second = where("growth", unit("a", 9.6), unit("b", 10.0), unit("c", 10.0))
    (said,) = running(first, second)
    assert (said.grade, said.said["unit"], said.said["where"].kind) == (TIGHT, "b", "where.low")
    assert said.said["short"] == pytest.approx(0.005)
    assert (said.said["flow"].value, said.said["asked"].value) == (9.95 * L, 10.0 * L)
    third = where("dirty", unit("a", 7.0), unit("b", 5.0), unit("c", 6.0, "off"))
    (said,) = running(first, second, third)
    assert (said.grade, said.said["unit"], said.said["where"].kind) == ("no", "b", "where.dirty")
    most = where("cold", unit("a", 0.0), asks="most")
    assert running(most) == [] == running(where("low", unit("a", 10.0)))
    assert running(where("low", unit("a", 1.0, "off"))) == []


def test_a_unit_that_trips_or_gets_no_water_is_told_so_whatever_flows():
    (said,) = running(where("low", unit("a", 20.0, "trips"), unit("b", 20.0)))
    assert (said.said.kind, said.said["unit"], said.grade) == ("design.unit_trips", "a", "no")
    (said,) = running(where("low", unit("a", 9.9), unit("b", 9.0, "no water")))
    assert (said.said.kind, said.said["unit"]) == ("design.unit_dry", "b")
    (said,) = running(where("low", unit("a", 0.0), ending="at rest"))
    assert (said.said["volts"].value, said.cure["least"].value) == (11.0, 10.5)
    any_ = SimpleNamespace(minimum_voltage=None)
    (said,) = running(where("low", unit("a", 0.0), ending="at rest"), part=any_)
    assert said.cure is None
    (said,) = running(where("low", unit("a", 0.0), ending="no operating point"))
    assert said.said.kind == "design.cannot_lift"


def test_all_shut_comes_before_all_off_and_one_of_several_is_enough():
    def loop(*coils):
        rows = [SimpleNamespace(branch_shut=shut, switched_on=on) for shut, on in coils]
        return SimpleNamespace(loop=SimpleNamespace(coils=rows))

    def kind(*coils):
        found = running(where("low", unit("a", 20.0)), built=loop(*coils))
        return found[0].said.kind.removeprefix("design.") if found else ""

    assert kind((True, False), (True, True)) == "all_shut"
    assert kind((True, False), (False, False)) == "all_off"
    assert kind((True, False), (False, True)) == ""


def test_a_shortfall_is_of_the_least_flow_and_whole_without_water():
    one = trial()
    assert judging._short_of(one, None, unit("a", 7.5)) == pytest.approx(0.25)
    assert judging._short_of(one, None, unit("a", 12.0)) == 0.0
    assert judging._short_of(one, None, unit("a", 12.0, "no water")) == 1.0
    assert judging._short_of(trial(least=0.0), None, unit("a", 0.0)) == 0.0


def test_the_rise_is_missed_unit_by_unit_at_the_design_point():
    rows = (unit("a", 11.0), unit("b", 12.0), unit("c", 6.0))
    found = list(judging._keeps_rise(trial(where("design", *rows), where("x", unit("b", 1.0)))))
    assert [one.said["unit"] for one in found] == ["a", "c"]
    assert [one.said["short"] for one in found] == pytest.approx([1.0 / 12.0, 0.5])
    off = where("design", unit("a", 1.0, "off"), unit("b", 1.0, "trips"))
    assert not list(judging._keeps_rise(trial(off)))


def test_the_suction_is_told_of_the_worst_case_that_fails_most(monkeypatch):
    monkeypatch.setattr(judging, "_suction_hose", lambda _: True)
    low = limit("suction_vacuum_wired")
    far = low * (1.0 + limit("must_suction")) - 1.0
    rows = (where("a", inlet_gauge=low - 5.0), where("b", inlet_gauge=far))
    (said,) = judging._suction(trial(*rows))
    assert (said.grade, said.said["where"].kind) == ("no", "where.b")
    assert said.said["gauge"].value == far and said.said["least"].value == low
    (said,) = judging._suction(trial(where("c", inlet_gauge=low - 1.0), rows[0]))
    assert said.said["where"].kind == "where.c"
    assert not list(judging._suction(trial(where("a", inlet_gauge=low))))


# --------------------------------------------------------------------------------------- the start


def start(outcome, *reasons, thing="pump", way=0.3, **more):
    told_ = {"outcome": outcome, "reasons": tuple(fact(f"start.{kind}") for kind in reasons)}
    told_ |= {"moves": tuple(Move(thing, "lower", way) for _ in reasons), "depth": 0.5}
    bleed = more.pop("bleed_at", ())
    shut = tuple(SimpleNamespace(crest=crest, clears=False) for crest in bleed)
    clear = (SimpleNamespace(crest="clears by itself", clears=True),)
    return made(Start, pockets=(*clear, *shut), **told_ | more)


def test_the_worst_pump_decides_how_a_loop_starts():
    order = (NO, NOT_KNOWN, BLEED, PRIMES, STARTS)
    for number, worst in enumerate(order):
        some = tuple(start(one) for one in reversed(order[number:]))
        assert FirstStart(some, ()).outcome == worst
    both = FirstStart((start(BLEED, bleed_at=("a", "b")), start(BLEED, bleed_at=("b", "c"))), ())
    assert both.bleed_at == ("a", "b", "c")
    assert FirstStart(
        (start(NOT_KNOWN, missing=("x",)), start(NOT_KNOWN, missing=("x",))), ()
    ).missing == ("x",)


def test_a_move_cures_a_hindrance_on_all_tacks():
    upright = start(NO, "too_high", way=0.2)
    tacks = (
        start(NO, "too_high", way=0.5, heel=0.2),
        start(NO, "too_high", way=0.4, heel=-0.2),
        start(NO, "too_high", way=0.9, thing="other", heel=-0.2),
        start(NO, "air_in_dips", way=0.9, heel=-0.2),
    )
    found = FirstStart((upright,), tacks)
    ((said, move),) = found.hindrances
    assert (said.kind, move.distance) == ("start.too_high", 0.5)
    assert found.refused == found.hindrances and found.reasons == (said,)
    ((said, move),) = found.on_a_tack
    assert (move.thing, move.distance) == ("other", 0.9)
    assert reason_of(said).kind == "start.too_high" and said["where"] == attitude(-0.2, 0.0)
    air = FirstStart((start(BLEED, "air_in_dips", way=0.1),), tacks)
    assert air.hindrances[0][1].distance == 0.1 and air.refused == ()
    worst = {move.thing: (move.distance, said["where"]) for said, move in air.on_a_tack}
    assert worst == {"pump": (0.5, attitude(0.2, 0.0)), "other": (0.9, attitude(-0.2, 0.0))}
    assert on_tacks(air)[0]["cure"] == cure(Move("pump", "lower", 0.5), said)


def test_the_shallowest_pump_is_looked_for_on_every_tack():
    rows = (start(STARTS, depth=0.5), start(STARTS, depth=None))
    assert FirstStart(rows, (start(STARTS, depth=0.1),)).shallowest == 0.1
    assert FirstStart(rows, ()).shallowest == 0.5
    assert FirstStart(rows[1:], ()).shallowest is None


def test_a_start_is_told_by_its_outcome():
    def kinds(*starts):
        return [one.kind.removeprefix("start.") for one in told(FirstStart(starts, ()))]

    assert kinds(start(STARTS)) == ["as_it_is"] and kinds(start(PRIMES, "draws_up")) == ["primes"]
    assert kinds(start(BLEED, "air_in_dips", bleed_at=("lid",))) == ["bleed"]
    assert kinds(start(NOT_KNOWN, missing=("x",))) == ["not_known"]
    assert kinds(start(NO, "too_high", "air_in_dips")) == ["will_not"]
    (bleed,) = told(FirstStart((start(BLEED, "air_in_dips", bleed_at=("lid",)),), ()))
    assert bleed["at"] == ("lid",) and bleed["reasons"][0].kind == "start.air_in_dips"


def test_after_a_tack_that_drew_air():
    out, dry = start(NO, "intake_out", heel=0.2), start(NO, "too_high", heel=0.2)
    for outcome, after in (
        (STARTS, "refills itself"),
        (PRIMES, "refills itself"),
        (BLEED, "after bleeding"),
        (NO, "after bleeding"),
        (NOT_KNOWN, "not known"),
    ):
        assert _after((start(outcome),), (dry, out)) == after
        assert _after((start(STARTS), start(outcome)), (out,)) == after
        assert _after((start(outcome),), (dry,)) == "stays primed"


def test_a_move_is_told_in_whole_centimetres_up_and_a_pump_goes_as_deep_as_it_should():
    assert [up(way) for way in (0.001, 0.01, 0.010001, 0.29, 0.291)] == pytest.approx(
        [0.01, 0.01, 0.02, 0.29, 0.30]
    )
    assert cure(Move("top", "vent"), fact("start.x")).kind == "start.vent"
    said = cure(Move("coil", "lower", 0.123), fact("start.too_high"))
    assert (said.kind, said["thing"], said["distance"].value) == ("start.lower", "coil", 0.13)
    above = fact("start.on_a_tack", reason=fact("start.pump_above_water"))
    deep = limit("pump_below_water")
    for reason in (above, above["reason"]):
        said = cure(Move("pump", "lower", 0.123), reason)
        assert (said.kind, said["depth"].value) == ("start.lower_pump", deep)
        assert (said["least"].value, said["distance"].value) == (0.13, up(0.123 + deep))


def test_heel_and_trim_are_told_by_the_side_and_the_end_that_are_down():
    def words(heel, trim, **more):
        said = attitude(heel, trim, **more)
        return [(one.kind, dict(one.values)) for one in said["by"]] if said.values else []

    def angle(value):
        return amount("angle", value)

    assert words(0.0, 0.0) == []
    assert words(0.2, 0.0) == [("start.heel_down", {"heel": angle(0.2), "side": "starboard"})]
    assert words(-0.2, 0.0)[0][1]["side"] == "port"
    assert words(0.0, 0.1) == [("start.trim_down", {"trim": angle(0.1), "end": "bow"})]
    assert words(0.0, -0.1)[0][1]["end"] == "stern"
    either = words(-0.2, -0.1, either_way=True)
    assert either == [("start.heel", {"heel": angle(0.2)}), ("start.trim", {"trim": angle(0.1)})]


def test_working_attitudes_are_either_way_of_heel_and_of_trim():
    case = shipped(KETCH)

    def at(heel, trim, length=10.0):
        more = {"works_to_heel": heel, "works_to_trim": trim, "waterline_length": length}
        return set(attitudes(replace(case, boat=replace(case.boat, **more))))

    assert at(0.2, 0.1) == {(0.2, 0.1), (0.2, -0.1), (-0.2, 0.1), (-0.2, -0.1)}
    assert at(0.2, None) == at(0.2, 0.1, None) == {(0.2, 0.0), (-0.2, 0.0)}
    assert at(None, 0.1) == {(0.0, 0.1), (0.0, -0.1)}
    assert at(None, None) == at(0.0, 0.0) == set()


def test_a_worst_case_is_named_by_what_is_down():
    case = shipped(KETCH)
    boat = replace(case.boat, works_to_heel=0.2, works_to_trim=0.1, waterline_length=10.0)
    found = {one.name: one.conditions for one in worst_cases(replace(case, boat=boat))}
    for side, heel in (("starboard", 0.2), ("port", -0.2)):
        for end, trim in (("bow", 0.1), ("stern", -0.1)):
            here = found[f"{side} and {end} down"]
            assert (here.heel, here.trim) == (heel, trim)
    assert worst_cases(case)[0].asks == "need"
    assert worst_cases(case)[-1].asks == "most" and worst_cases(case)[-1].name == "cold"


def test_worst_cases_stacked_keep_each_its_own():
    found = worst_cases(shipped(CATAMARAN))
    volts = [100.0 + number for number in range(len(found))]
    now = stacked(found, volts)
    assert now.voltage.tolist() == volts
    for name in ("sea_temperature", "strainer_blockage", "matted", "growth", "heel", "trim"):
        assert getattr(now, name).tolist() == [getattr(one.conditions, name) for one in found]


# ------------------------------------------------------------------------------------- the choice


def result(name="p", grade=YES, remarks=0, rise=None, short=0.0, energy=None, power=50.0, **more):
    kinds = tuple(fact(f"design.remark_{number}") for number in range(remarks))
    said = () if grade == YES else rulings((grade, "misses_rise", None))
    told_ = {"invented": True, "name": name, "continuous": True}
    part = SimpleNamespace(**{key: more.pop(key, value) for key, value in told_.items()})
    units = (
        SimpleNamespace(margin=None),
        *(SimpleNamespace(margin=m) for m in more.pop("margins", ())),
    )
    return SimpleNamespace(
        part=part,
        judgement=Judgement(said, kinds, short, rise),
        design=SimpleNamespace(power=power, units=units),
        energy_per_day=energy,
        fitted=more.get("fitted", False),
    )


def test_pumps_come_in_order():
    """Each before the next: by grade; a yes by remarks, then by the day; a no by what it lacks."""
    order = [
        result("a", energy=5e6),
        result("b", energy=6e6),
        result("c", energy=6e6),
        result("d", remarks=1, energy=1e6),
        result("e", TIGHT, remarks=3, rise=0.85, energy=9e6),
        result("f", TIGHT, rise=0.80, energy=1e6),
        result("g", TIGHT, rise=0.801, energy=2e6),
        result("h", "no", rise=0.1, short=0.1),
        result("i", "no", rise=0.3, short=0.2),
        result("j", "no", rise=0.1, short=0.2, power=10.0),
        result("k", "no", rise=0.1, short=0.2, power=11.0),
    ]
    for one, other in pairwise(order):
        assert _order(one, False) < _order(other, False), (one.part.name, other.part.name)
    near, far = (result("m", TIGHT, margins=(0.5, margin)) for margin in (-0.05, -0.2))
    assert _order(near, False) < _order(far, False)
    assert _order(near, False) < _order(result("m", TIGHT), False)  # of no unit nothing is near


def test_own_pumps_come_before_the_fitted_and_that_before_invented_ones_of_one_grade():
    """A yes stands before all that is tight, whosever it is: it shows what to ask for."""
    order = [
        result(f"{name} {grade}", grade, rise=0.1, **kind)
        for grade in (YES, TIGHT, "no")
        for name, kind in (
            ("own", {"invented": False, "energy": 9e6}),
            ("fitted", {"fitted": True, "energy": 8e6}),
            ("other", {"energy": 1e6}),
        )
    ]
    for one, other in pairwise(order):
        assert _order(one, True) < _order(other, True)
    assert _order(order[2], False) < _order(order[0], False)


def test_of_curves_of_one_pump_hertz_count_before_volts():
    case = shipped(KETCH)
    supply = replace(case.supply, voltage=230.0, frequency=50.0)
    case = replace(case, supply=supply)

    def off(hertz, volts):
        return _off_supply(case, SimpleNamespace(frequency=hertz, voltage=volts))

    assert off(50.0, 230.0) == (0.0, 0.0)
    assert off(50.0, 115.0) < off(60.0, 230.0) and off(50.0, 220.0) < off(50.0, 200.0)
    assert off(50.0, 240.0)[1] == pytest.approx(off(50.0, 220.0)[1])
    assert off(None, 230.0) == (50.0, 0.0) and off(60.0, 230.0)[0] == 10.0


def ranked(*given, **more):
    return SimpleNamespace(result=result(*given, **more))


def test_a_turn_names_the_pump_at_each_end():
    first, other = ranked("a", remarks=1), ranked("b", remarks=2)
    about = SimpleNamespace(measure="measure it", source="print")
    worse, tight, out = ranked("a", remarks=3), ranked("a", TIGHT), ranked("a", "no")
    pairs = [(first, {"x": (worse, first)}), (other, {})]
    assert _turn("x", about, pairs) == Turn("x", "measure it", "print", "b", "a", "")
    pairs = [(first, {"x": (first, out)}), (other, {"x": (other, ranked("b", "no"))})]
    assert (_turn("x", about, pairs).low, _turn("x", about, pairs).high) == ("a", "")
    alone = [(first, {"x": (first, tight)})]
    assert (_turn("x", about, alone).low, _turn("x", about, alone).tight) == ("a", "high")
    assert _turn("y", about, alone).tight == ""
    assert choice(tight) == "a" and choice(out) == ""
    for pair, ends in (((tight, first), "low"), ((first, first), ""), ((tight, tight), "both")):
        assert _tight_at(first, pair) == ends
    assert _tight_at(tight, (tight, tight)) == ""
    assert _is_worse(tight, first) and _is_worse(worse, first)
    assert not _is_worse(first, worse) and not _is_worse(first, first)


def test_inputs_that_turn_the_choice_stand_first_and_those_that_do_not_nowhere(monkeypatch):
    a, b, weak = ranked("a"), ranked("b", remarks=2), ranked("weak", "no", short=0.9)
    gone, tight = ranked("a", "no"), ranked("a", TIGHT)
    of_a = {
        "tight": (a, tight),
        "printed": (gone, a),
        "assumed": (gone, a),
        "both ends": (gone, gone),
        "nothing": (a, a),
    }
    of_b = {"of b": (b, b), "tight": (b, ranked("b", "no"))}
    asked = {}

    def asked_of(case, item, drawn, inputs=None):
        name = item.result.part.name
        asked[name] = inputs
        assert drawn == f"days of {name}"
        return SimpleNamespace(item=item)

    def pairs_of(trials, asks):
        for one in asks:
            rows = of_a if one.item.result.part.name == "a" else of_b
            yield [
                (
                    label,
                    SimpleNamespace(assumed=label == "assumed", measure=label, source="s"),
                    pair,
                )
                for label, pair in rows.items()
            ]

    monkeypatch.setattr(turns_module, "AskedAtEnds", SimpleNamespace(of=asked_of))
    monkeypatch.setattr(turns_module, "pairs_of", pairs_of)
    drawn = {name: f"days of {name}" for name in ("a", "b", "weak")}
    found = turns_module.turns(None, [a, b, weak], None, drawn)
    assert [one.label for one in found] == ["assumed", "both ends", "printed", "tight"]
    ends = {one.label: (one.low, one.high, one.tight) for one in found}
    assert ends["assumed"] == ends["printed"] == ("b", "a", "")
    assert ends["both ends"] == ("b", "b", "") and ends["tight"] == ("a", "a", "high")
    falls = {"tight", "printed", "assumed", "both ends"}
    assert asked["a"] is None and "weak" not in asked
    assert asked["b"].labels == asked["b"].always == falls
    turns_module.turns(None, [tight, b], None, drawn)
    assert asked["b"].labels == asked["b"].always == set(of_a)
    lean = ranked("b", energy=1e6)
    turns_module.turns(None, [ranked("a", energy=2e6), lean], None, drawn)
    assert (asked["b"].labels, asked["b"].always) == (set(of_a), falls)


def test_what_may_come_before_the_chosen_pump_is_tried_at_the_ends():
    chosen = result(remarks=1, energy=5e6)
    assert _may_beat(result(remarks=0, energy=9e6), chosen)
    assert _may_beat(result(remarks=1, energy=4.9e6), chosen)
    assert _may_beat(result(remarks=1), chosen) and _may_beat(result(remarks=1), result(remarks=1))
    assert not _may_beat(result(remarks=1, energy=5e6), chosen)
    assert not _may_beat(result(remarks=2, energy=1e6), chosen)
    assert _may_beat(result(remarks=2), result(grade=TIGHT))
    curve = result(remarks=1)
    said = (fact("design.left_on_its_curve"), fact("design.right_on_its_curve"))
    curve.judgement = replace(curve.judgement, remarks=(*curve.judgement.remarks, *said))
    assert _may_beat(curve, chosen)  # where it runs on its curve may change
    assert _is_hopeless(result(grade="no", short=0.51)) and not _is_hopeless(
        result(grade="no", short=0.5)
    )
    assert _is_hopeless(result(grade="no", continuous=False))
    assert not _is_hopeless(result(grade=TIGHT, short=0.9, continuous=False))


# ------------------------------------------------------------------------------ what to find out


def find(of_chance, of_flow, path=("a",), name="x"):
    return FindOut(name, "", "", of_chance, of_flow, path=path)


def test_what_decides_comes_before_what_moves_the_flow():
    assert find(0.03, 0.0).tells and find(0.0, 0.03).tells and not find(0.029, 0.029).tells
    order = [find(0.5, 0.0), find(0.03, 0.9), find(0.029, 0.95), find(0.0, 0.9), find(0.0, 0.1)]
    for one, other in pairwise(order):
        assert one.rank < other.rank
    assert find(0.0301, 0.5).rank == find(0.0304, 0.5).rank
    hoses = [find(0.5, 0.0, ("hose", str(i), "bore")) for i in range(3)]
    lengths = [find(0.4, 0.0, ("hose", str(i), "length")) for i in range(3)]
    silent = find(0.0, 0.0)
    assert next_of((silent, *hoses, *lengths)) == (hoses[0], *lengths[:2])
    port = find(0.5, 0.0, ("pump", "1", "bore"))
    assert next_of((port, port, hoses[0])) == (port, port, hoses[0])
    path = ("hose", 0, "via", 11, "height")
    assert (
        words_of(path) == ("hose", "1", "via", "12", "height")
        and from_words(words_of(path)) == path
    )


def test_names_in_what_holds_a_pump_back_are_found_at_any_depth():
    inner = fact("x", thing="coil", of=("hose", fact("y", name="outlet")), by=amount("height", 1.0))
    assert set(_names_in(fact("z", reason=inner))) == {"coil", "hose", "outlet"}


def test_the_height_that_decides_is_found_and_one_that_is_not_named_is_not():
    case = shipped(KETCH)
    row = next(i for i, one in enumerate(case.unit))
    path, other = ("unit", row, "at", "height"), ("pump", 0, "at", "height")
    rng = np.random.default_rng(5)
    heights, others = rng.permutation(32) / 32.0, rng.permutation(32) / 32.0
    held = heights > 0.5
    ruling = Ruling("no", fact("start.too_high", thing=case.unit[row].name))
    boats = DrawnBoats(
        {path: heights, other: others}, tuple(ruling if one else None for one in held)
    )
    typical = replace(case, typical={path: 0.0, other: 0.0}, spreads={path: 0.1, other: 0.1})
    assert boats.share("no") == held.mean() and boats.share("tight") == 0.0
    found = finds_of(typical, boats)
    assert [one.path for one in found] == [words_of(path)]
    assert found[0].enough[0] > 0.9 and found[0].enough[1] < 0.1
    every = replace(boats, rulings=(ruling,) * 32)
    assert finds_of(typical, every) == ()


# ----------------------------------------------------------------------------------------- needs


def test_a_need_is_the_largest_of_its_criteria_and_its_least_leaves_out_the_rise():
    def need(rise, condensing, least):
        rows = tuple(
            Criterion(fact(name), flow)
            for name, flow in (("rise", rise), ("condensing", condensing), ("maker", least))
        )
        return _Need(None, (least, None), rows, True)

    for flows, flow, kept, by in (
        ((9.0, 5.0, 4.0), 9.0, 5.0, "rise"),
        ((9.0, 5.0, 6.0), 9.0, 6.0, "rise"),
        ((4.0, 8.0, 6.0), 8.0, 8.0, "condensing"),
        ((None, 3.0, None), 3.0, 3.0, "condensing"),
        ((3.0, None, None), 3.0, 0.0, "rise"),
        ((None, None, 2.0), 2.0, 2.0, "maker"),
        ((None, None, None), 0.0, 0.0, "rise"),
    ):
        found = need(*flows)
        assert (found.flow, found.least, found.set_by.what.kind) == (flow, kept, by)


def test_rules_of_thumb_are_held_to_flow_per_ton():
    fail, least, aim = (limit(f"rule_{name}") for name in ("fail", "least", "aim"))
    assert fail < least < aim
    for flow, kind in (
        (fail * 0.999, "below_any_rating"),
        (fail, "below_the_rules"),
        (least * 0.999, "below_the_rules"),
        (least, "between_the_rules"),
        (aim * 0.999, "between_the_rules"),
        (aim, "above_the_rules"),
    ):
        assert _beside_the_rules(flow).kind == f"design.{kind}"


# ------------------------------------------------------------------------------------- the supply


def test_volts_at_the_panel_lie_between_their_ends():
    case = shipped(KETCH)

    def at(volts, low, high):
        more = {"voltage": volts, "lowest_voltage": low, "highest_voltage": high}
        return panel_volts(replace(case, supply=replace(case.supply, **more)))

    assert at(230.0, 205.0, 240.0) == (205.0, 230.0, 240.0)
    assert at(230.0, 235.0, 240.0) == (235.0, 235.0, 240.0)
    assert at(230.0, 205.0, 225.0) == (205.0, 225.0, 225.0)
    assert at(200.0, None, None) == pytest.approx((180.0, 200.0, 220.0))


def test_a_conductor_of_the_size_due_is_enough():
    due = SimpleNamespace(area=2.5e-6)
    assert _is_enough(2.5e-6, due) and _is_enough(4e-6, due) and not _is_enough(2.4e-6, due)
    assert _is_enough(None, due) is None and _is_enough(16e-6, None) is False
    assert _is_enough(2.5e-6 * 0.9995, due) and not _is_enough(2.5e-6 * 0.998, due)


def test_what_a_cable_loses_by_hand():
    """Copper: 1.724e-8 ohm m at 20 degC and 0.393 % more for each kelvin, out and back."""
    case = shipped(MOTOR)
    part = case.catalogue.pump("demo-mag-large-230")
    place = next(one for one in case.pump)
    cable = (
        replace(place.cable, length=12.0, conductor=1.5e-6, hot_space=False)
        if place.cable
        else None
    )
    cable = made(Cable, length=12.0, conductor=1.5e-6, hot_space=False)
    now = Conditions(sea_temperature=20.0, voltage=230.0, frequency=50.0)
    watts = part.power[-1][1]

    def drop(place, **more):
        return 230.0 - cable_drop(case, replace(place, cable=replace(cable, **more)), part, now)

    one = replace(place, in_parallel=None)
    ratio = (1.0 + 0.00393 * 40.0) / (1.0 + 0.00393 * 10.0)
    assert drop(one, hot_space=True) / drop(one) == pytest.approx(ratio, rel=0.01)
    assert drop(replace(place, in_parallel=2)) == pytest.approx(2.0 * drop(one))
    assert drop(one, length=24.0) == pytest.approx(2.0 * drop(one))
    assert drop(one, conductor=None) == pytest.approx(drop(one, conductor=1e-6))
    asked = 230.0 * limit("supply_drop")
    assert drop(one, conductor=None, length=2000.0) == pytest.approx(asked)
    assert drop(one, conductor=1e-6, length=2000.0) > asked
    assert cable_drop(case, replace(place, cable=None), part, now) == 230.0
    supply = supply_of(case, replace(one, cable=cable), part, 0.0)
    assert supply.voltage_drop == pytest.approx(drop(one), rel=0.02)
    assert supply.drop_share == pytest.approx(supply.voltage_drop / case.supply.voltage)
    assert supply.current == pytest.approx(supply_of(case, one, part, watts).current)
    assert supply_of(case, one, part, 2.0 * watts).current > 1.5 * supply.current
    assert supply.cable_length == 12.0 and supply.conductor_fitted == 1.5e-6
    far = replace(one, cable=replace(cable, length=1e5))
    assert supply_of(case, far, part, 0.0).conductor_metric is None
    assert supply_of(case, far, part, 0.0).conductor_is_enough is False
    assert fits(case, part) and not fits(case, case.catalogue.pump("demo-dc-small-12"))


def test_a_pump_is_named_once():
    assert pump_named("A", "a", False) == fact("design.pump_titled", title="A", name="a")
    assert pump_named("A", "a", True).kind == "design.pump_titled_invented"
    assert pump_named("a", "a", False) == fact("design.pump_untitled", name="a")
    assert pump_named("a", "a", True).kind == "design.pump_untitled_invented"


# -------------------------------------------------------------------------------------- the battery


@pytest.mark.parametrize(
    ("battery", "source", "current", "has"),
    [
        (None, "shore", "ac", False),
        (object(), "shore", "ac", True),
        (None, "battery", "ac", True),
        (None, "shore", "dc", True),
    ],
)
def test_a_battery_is_told_by_its_table_by_a_duty_or_by_the_supply(battery, source, current, has):
    duty, supply = SimpleNamespace(source=source), SimpleNamespace(current=current)
    assert has_battery(SimpleNamespace(battery=battery, duty=[duty], units_on=supply)) == has
    assert has_battery(SimpleNamespace(battery=battery, duty=(), units_on=supply)) == (
        has and source != "battery"
    )


def test_a_battery_is_counted_as_told_and_its_rest_as_usual():
    case = replace(shipped(MOTOR), battery=None, duty=())
    assert not has_battery(case) and bank_of(case) == (None, ())
    told_ = made(Battery, voltage=25.6, capacity=300.0 * 3600.0, charger=500.0, house_load=40.0)
    bank, _ = bank_of(replace(case, battery=told_))
    assert bank.energy == pytest.approx(25.6 * 300.0 * 3600.0) and bank.given and bank.house_given
    assert (bank.voltage, bank.charger, bank.house, bank.sun) == (25.6, 500.0, 40.0, 0.0)
    assert bank.efficiency == bank.to_the_pump < 1.0 and bank.idle > 0.0  # both on AC
    assert bank.drawn(90.0, 45.0) == pytest.approx(135.0 / bank.efficiency)
    direct = replace(
        case, battery=told_, supply=replace(case.supply, current="dc"), unit_supply=None
    )
    bank, _ = bank_of(direct)
    assert (bank.efficiency, bank.to_the_pump, bank.idle) == (1.0, 1.0, 0.0)
    open_, notes = bank_of(replace(case, battery=made(Battery, solar=200.0)))
    assert not open_.given and open_.solar == 200.0 and open_.sun > 0.0
    assert open_.energy == pytest.approx(open_.voltage * open_.capacity)
    assert {note.subject for note in notes} == {"battery"}
    sails = replace(shipped(KETCH), battery=None, duty=())
    assert all(one.source != "battery" for one in duties_of(sails)[0])
    assert any(one.source == "battery" for one in duties_of(replace(sails, battery=told_))[0])
    assert len(duties_of(sails)[0]) == len(duties_of(sails)[1]) == 2


@pytest.mark.parametrize(("name", "battery"), [(MOTOR, "generator"), (KETCH, "shore")])
def test_the_usual_night_is_on_the_battery_that_was_told_of(name, battery):
    case = replace(shipped(name), battery=None, duty=())
    nights = [duties_of(one)[0][1] for one in (case, replace(case, battery=made(Battery)))]
    assert [one.source for one in nights] == [battery, "battery"]
    assert nights[0].load == nights[1].load and nights[0].hours == nights[1].hours
