"""Laws of the judgement: every must and every aim at its very edge, and the worst cases it asks."""

from dataclasses import fields, replace

import numpy as np
import pytest
from answer_data import kinds_of
from sizing import BAD, CATAMARAN, KETCH, NAMES, edited, load_text, shipped, sized, text_of

from seaflow.base.facts import amount, fact
from seaflow.boat import network
from seaflow.boat.parts.part import NO_KIND
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.first_start import Move
from seaflow.model.operate import operate
from seaflow.studies.design.boats import N_BOATS, DrawnBoats, held_by
from seaflow.studies.design.cautions import cautions
from seaflow.studies.design.certainty.sample import PumpCertainty, UnitCertainty
from seaflow.studies.design.judge import (
    NO,
    TIGHT,
    YES,
    Judgement,
    Ruling,
    Trial,
    judge,
    judge_days,
    judge_season,
)
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import unit_needs
from seaflow.studies.design.start import cure, cures_of, first_start
from seaflow.studies.design.worst_cases import stacked, worst_cases
from seaflow.studies.size.size import size

HAIR = 1e-4  # relative; wider than the slack of a flow, narrower than any tolerance of a limit
SLACK = 1e-6  # of a flow, below which a shortfall is rounding


def trial_of(case, part=None):
    """The pump fitted to the ketch, or another, as it was tried; every number can be replaced."""
    loop = sized(KETCH).loops[0]
    result = next(item for item in loop.pumps if item.fitted)
    (found,) = network.loops(case)
    built = build_loop(case, found, {case.pump[0].name: result.part})
    needs = {need.name: need for need in unit_needs(case, built)}
    start = first_start(case, built, part or result.part, worst_cases(case)[0].conditions)
    return Trial(case, built, part or result.part, case.pump[0], result.at, needs, start)


@pytest.fixture
def trial():
    found = trial_of(shipped(KETCH))
    assert judge(found).grade == YES
    assert kinds_of(judge(found).remarks) == ("design.no_dry_run_protection",)
    return found


def with_unit(trial, name, **values):
    """The trial with the unit's figures replaced in one worst case."""
    return replace(
        trial,
        at=tuple(
            replace(at, units=tuple(replace(unit, **values) for unit in at.units))
            if at.worst_case == name
            else at
            for at in trial.at
        ),
    )


def with_at(trial, name, **values):
    """The trial with the pump's figures replaced in one worst case."""
    return replace(
        trial,
        at=tuple(replace(at, **values) if at.worst_case == name else at for at in trial.at),
    )


def reasons(trial):
    return kinds_of(judge(trial).reasons)


def doubts(trial):
    return kinds_of(judge(trial).doubts)


def remarks(trial):
    return set(kinds_of(judge(trial).remarks)) - {"design.no_dry_run_protection"}


# --------------------------------------------------------------------------------------- musts


HELD = ["design", "strainer blocked", "low voltage", "growth", "port down", "starboard down"]


@pytest.mark.parametrize("name", HELD)
def test_a_flow_short_of_the_least_is_tight_within_its_tolerance_and_no_beyond(trial, name):
    (need,) = trial.needs.values()
    tolerance = limit("must_flow")
    for short, grade in (
        (0.5 * SLACK, YES),
        (2.0 * SLACK, TIGHT),
        (tolerance - HAIR, TIGHT),
        (tolerance + HAIR, NO),
    ):
        # the rise is an aim of its own, and the design point alone is held to it
        found = judge(with_unit(trial, name, flow=need.least * (1.0 - short), state="cooling"))
        rulings = [item for item in found.rulings if item.said.kind == "design.too_little_water"]
        assert [item.grade for item in rulings] == ([] if grade == YES else [grade])
        for item in rulings:
            assert item.said["asked"].value == need.least
            assert item.said["short"] == pytest.approx(short, abs=1e-12)
        assert found.shortfall == pytest.approx(short, abs=1e-12)


def test_less_than_the_need_at_the_design_point_misses_the_rise_and_is_tight(trial):
    (need,) = trial.needs.values()
    for name, kinds in (("design", ("design.misses_rise",)), ("growth", ())):
        found = judge(with_unit(trial, name, flow=need.flow * (1.0 - HAIR)))
        assert kinds_of(found.doubts) == kinds and found.reasons == ()
    assert judge(with_unit(trial, "design", flow=need.flow)).grade == YES


def test_too_little_in_the_cold_is_no_matter(trial):
    cold = with_unit(trial, "cold", flow=0.0)
    assert judge(cold).grade == YES and judge(cold).shortfall == 0.0


def test_a_no_outweighs_a_tight_and_the_worst_counts(trial):
    (need,) = trial.needs.values()
    tight = with_unit(trial, "low voltage", flow=0.98 * need.least)
    both = judge(with_unit(tight, "growth", flow=0.6 * need.least))
    assert both.grade == NO and both.deciding.said["short"] == pytest.approx(0.4)
    assert both.shortfall == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("ending", "state", "kind"),
    [
        ("flowing", "trips", "unit_trips"),
        ("flowing", "no water", "unit_dry"),
        ("no operating point", "no water", "cannot_lift"),
        ("at rest", "no water", "does_not_turn"),
    ],
)
def test_how_it_fails_is_said(trial, ending, state, kind):
    there = with_unit(with_at(trial, "low voltage", ending=ending), "low voltage", state=state)
    assert reasons(there) == (f"design.{kind}",)


def test_more_than_the_maker_allows_breaks_a_must_in_the_cold_alone(trial):
    (need,) = trial.needs.values()
    over = 1.0 + limit("must_flow")
    for flow, grade in (
        (need.most * (1.0 - HAIR), YES),
        (need.most * (1.0 + HAIR), TIGHT),
        (need.most * (over - HAIR), TIGHT),
        (need.most * (over + HAIR), NO),
    ):
        assert judge(with_unit(trial, "cold", flow=flow)).grade == grade
        assert judge(with_unit(trial, "design", flow=flow)).grade == YES


def test_water_too_fast_for_the_alloy_of_the_coil_misses_an_aim(trial):
    unit = trial.case.unit[0]
    _, fastest = trial.case.catalogue.fastest_water(unit.alloy)
    for velocity, kinds in (
        (fastest * (1.0 - HAIR), ()),
        (fastest * (1.0 + HAIR), ("design.too_fast_for_the_coil",)),
    ):
        assert doubts(with_unit(trial, "cold", coil_velocity=velocity)) == kinds
        assert doubts(with_unit(trial, "design", coil_velocity=velocity)) == ()


def test_a_pump_for_short_spells_breaks_a_must(trial):
    brief = replace(trial, part=replace(trial.part, continuous=False))
    assert reasons(brief) == ("design.not_continuous",)


def started(trial, outcome, *said, moves=(), missing=()):
    """The trial with a start that ended so, upright."""
    one = replace(
        trial.start.upright[0], outcome=outcome, reasons=said, moves=moves, missing=missing
    )
    return replace(trial, start=replace(trial.start, upright=(one,), tacks=()))


def test_a_start_decides_and_names_what_to_move(trial):
    move = Move("unit", "lower", 0.301)
    too_high, air = (fact(kind, thing="unit") for kind in ("start.too_high", "start.air_in_dips"))
    for outcome, said, grade in (("no", too_high, NO), ("after bleeding", air, TIGHT)):
        found = judge(started(trial, outcome, said, moves=(move,)))
        assert found.grade == grade and found.deciding.said == said
        assert found.deciding.cure["distance"].value == pytest.approx(0.31)  # whole centimetres, up
    for outcome in ("starts", "primes itself"):
        assert judge(started(trial, outcome)).grade == YES


def test_a_start_that_is_not_known_is_neither_yes_nor_no(trial):
    found = judge(started(trial, "not known", missing=("strainer",)))
    assert found.grade == TIGHT
    assert found.deciding.said == fact("design.start_not_known", things=("strainer",))
    assert found.decides == found.deciding.said
    days = judge_days(found, keeps_running=1.0, keeps_rise=0.69)
    assert days.grade == TIGHT
    assert days.decides["start"] == found.decides
    assert days.decides["also"] == fact("design.seldom_keeps_rise", share=0.69)
    seldom = judge_days(
        found, keeps_running=1.0, keeps_rise=0.005
    )  # a no comes before what is unknown
    assert seldom.decides == fact("design.seldom_keeps_rise", share=0.005)


def test_the_margin_of_npsh_decides_where_the_pump_tells_what_it_requires(trial):
    least = min(at.npsh_available for at in trial.at)
    margin = limit("npsh_margin")
    for required, grade in (
        (least - margin - HAIR, YES),
        (least - margin + HAIR, TIGHT),
        (least - HAIR, TIGHT),
        (least + HAIR, NO),
    ):
        part = replace(trial.part, required_npsh=required)
        # a gauge far too low decides nothing then
        deep = judge(with_at(replace(trial, part=part), "design", inlet_gauge=-50e3))
        assert deep.grade == grade and deep.starved == (grade != YES)


@pytest.mark.parametrize("wired", [True, False])
def test_the_vacuum_that_the_hose_stands_decides_where_it_does_not(trial, wired):
    assert trial.part.required_npsh is None
    lowest = limit("suction_vacuum_wired" if wired else "suction_vacuum")
    if not wired:
        hoses = tuple(replace(hose, kind="smooth-bore rubber") for hose in trial.case.hose)
        trial = replace(trial, case=replace(trial.case, hose=hoses))
    for gauge, grade in (
        (lowest + 1.0, YES),
        (lowest - 1.0, TIGHT),
        (lowest * (1.0 + limit("must_suction")) + 1.0, TIGHT),
        (lowest * (1.0 + limit("must_suction")) - 1.0, NO),
    ):
        for name in ("design", "cold"):
            found = judge(with_at(trial, name, inlet_gauge=gauge))
            assert found.grade == grade
            if grade != YES:  # as deep as the pressure that is missing, 1025 kg/m3
                short = (lowest - gauge) / (1025.0 * 9.80665)
                assert short <= found.deciding.cure["depth"].value < short + 0.0101
    assert judge(with_at(trial, "design", inlet_gauge=None)).grade == YES


def test_a_unit_that_no_flow_cools_is_said_unless_it_is_off(trial):
    (need,) = trial.needs.values()
    hopeless = replace(trial, needs={need.name: replace(need, can_run=False)})
    assert reasons(hopeless) == ("design.no_flow_cools",)
    assert reasons(with_unit(hopeless, "design", state="off")) == ()


def test_a_loop_without_any_unit_to_serve_has_no_need(tmp_path):
    cut_out = 'cut_out = { gauge_pressure = "41 bar" }'
    for key, kind in (("branch_shut", "all_shut"), ("switched_on", "all_off")):
        flag = "true" if key == "branch_shut" else "false"
        text = edited(text_of(KETCH), (cut_out, f"{cut_out}\n{key} = {flag}"))
        assert reasons(trial_of(load_text(tmp_path, text)))[0] == f"design.{kind}"


# ---------------------------------------------------------------------------------------- aims


@pytest.mark.parametrize(
    ("edge", "over", "kinds"),
    [
        ("free_flow_least", -HAIR, {"design.left_on_its_curve"}),
        ("free_flow_least", HAIR, set()),
        ("free_flow_most", -HAIR, set()),
        ("free_flow_most", HAIR, {"design.right_on_its_curve"}),
    ],
)
def test_a_pump_should_run_in_the_middle_of_its_curve(trial, edge, over, kinds):
    assert remarks(with_at(trial, "design", share_of_free_flow=limit(edge) + over)) == kinds
    # only the design point is looked at, and a pump that moves nothing is not on its curve
    assert remarks(with_at(trial, "growth", share_of_free_flow=limit(edge) + over)) == set()
    assert remarks(with_at(trial, "design", share_of_free_flow=0.0, flow=0.0)) == set()


def test_a_pump_that_cannot_prime_should_lie_deep_enough_on_either_tack(trial):
    deep = limit("pump_below_water")
    for depth, kinds in ((deep + HAIR, set()), (deep - HAIR, {"design.shallow_pump"})):
        tack = replace(trial.start.upright[0], depth=depth)
        there = replace(trial, start=replace(trial.start, tacks=(tack,)))
        assert remarks(there) == kinds
        primes = replace(trial.part, self_priming=True)
        assert remarks(replace(there, part=primes)) == set()


def test_dry_run_and_another_frequency_are_remarked(trial):
    safe = replace(trial.part, dry_run_protection=True)
    assert judge(replace(trial, part=safe)).remarks == ()
    other = replace(trial.part, frequency=60.0)
    assert remarks(replace(trial, part=other)) == {"design.frequency_scaled"}


def test_simulated_days_decide_the_aims_and_how_often_it_must_run():
    missed = Judgement((Ruling(TIGHT, fact("design.misses_rise")),), ())
    enough, running = limit("likely_enough"), limit("likely_running")
    for runs, rise, grade in (
        (running, enough, YES),
        (running - HAIR, enough, TIGHT),
        (enough - HAIR, enough, NO),
        (running, enough - HAIR, TIGHT),
        (running, limit("hardly_ever"), TIGHT),
        (running, limit("hardly_ever") - HAIR, NO),
    ):
        found = judge_days(missed, runs, rise)
        assert found.grade == grade
        assert (found.keeps_running, found.keeps_rise) == (runs, rise)
        assert "design.misses_rise" not in kinds_of(found.doubts)


def test_a_coil_that_is_often_too_fast_is_tight():
    fine = Judgement((), ())
    for slow, grade in ((limit("likely_enough"), YES), (limit("likely_enough") - HAIR, TIGHT)):
        unit = UnitCertainty("unit", keeps_below_velocity=slow)
        drawn = PumpCertainty("pump", 512, units=(unit,), keeps_rise=1.0, keeps_running=1.0)
        assert judge_season(fine, drawn).grade == grade


# --------------------------------------------------------------------------------- worst cases


def tacks(case):
    """What the working attitudes change, by name."""
    heel, trim = case.boat.works_to_heel, case.boat.works_to_trim
    found = {}
    for side, turn in (("starboard", heel), ("port", -heel)):
        if trim:
            found[f"{side} and bow down"] = {"heel": turn, "trim": trim}
            found[f"{side} and stern down"] = {"heel": turn, "trim": -trim}
        else:
            found[f"{side} down"] = {"heel": turn}
    return found


@pytest.mark.parametrize("name", NAMES)
def test_each_worst_case_differs_from_the_design_point_by_what_its_name_says(name):
    case = shipped(name)
    design, *others = worst_cases(case)
    changed = {
        "strainer blocked": {"strainer_blockage": case.design.blocked_share, "matted": 1.0},
        "low voltage": {"voltage": case.supply.lowest_voltage},
        "growth": {"growth": case.design.growth},
        "cold": {"sea_temperature": case.sea.coldest, "voltage": case.supply.highest_voltage},
        **tacks(case),
    }
    plain = Conditions(sea_temperature=case.sea.warmest, salinity=case.sea.salinity)
    assert design.conditions == replace(
        plain, voltage=case.supply.voltage, frequency=case.supply.frequency
    )
    for worst in others:
        values = {key: value for key, value in changed[worst.name].items() if value is not None}
        differing = {
            item.name
            for item in fields(Conditions)
            if getattr(worst.conditions, item.name) != getattr(design.conditions, item.name)
        }
        assert differing == set(changed[worst.name])
        assert all(getattr(worst.conditions, key) == value for key, value in values.items())


def test_where_no_volts_are_given_they_lie_within_a_tenth(tmp_path):
    """Lowest and highest voltage: 90 % and 110 % of nominal, common practice, no source."""
    given = 'lowest_voltage = "205 V"\nhighest_voltage = "240 V"\n'
    found = {
        worst.name: worst.conditions.voltage
        for worst in worst_cases(load_text(tmp_path, edited(text_of(KETCH), (given, ""))))
    }
    assert (found["low voltage"], found["cold"]) == pytest.approx((207.0, 253.0))


@pytest.mark.parametrize("name", [KETCH])
def test_worst_cases_together_are_each_alone(name):
    case = shipped(name)
    (found,) = network.loops(case)
    part = case.catalogue.pump(found.pumps[0].fitted)
    built = build_loop(case, found, {found.pumps[0].name: part})
    cases = worst_cases(case)
    volts = [worst.conditions.voltage - 1.0 for worst in cases]
    together = operate(built.loop, stacked(cases, volts)).total_flow()
    for worst, volt, flow in zip(cases, volts, together, strict=True):
        alone = operate(built.loop, replace(worst.conditions, voltage=volt)).total_flow()
        assert np.asarray(alone).item() == pytest.approx(flow, rel=1e-9)


def test_the_shipped_boats_show_every_grade_and_the_tight_one_misses_by_little():
    on_days = {name: size(shipped(name)) for name in (KETCH, CATAMARAN, BAD)}
    assert [found.grade for found in on_days.values()] == [YES, TIGHT, NO]
    (loop,) = (loop for loop in on_days[CATAMARAN].loops if loop.grade == TIGHT)
    kept = loop.chosen.judgement.keeps_rise
    assert limit("likely_enough") - 0.15 < kept < limit("likely_enough") - 0.03


def test_of_several_ways_down_for_one_thing_the_longest_cures_all():
    high = fact("start.crest_above_water", thing="crest", lift=amount("height", 0.3))
    near, far, pump = (
        cure(Move(thing, "lower", way), high)
        for thing, way in (("crest", 0.06), ("crest", 0.29), ("pump", 0.0))
    )
    assert cures_of((near, far, pump, None)) == (far, pump)


def test_a_pump_of_no_kind_may_be_of_any():
    every = {item.title for item in cautions("size")}
    assert {item.title for item in cautions("size", [NO_KIND])} == every
    assert {item.title for item in cautions("size", ["diaphragm"])} < every


def test_of_pumps_that_all_cannot_start_the_nearest_has_the_water(tmp_path):
    old = 'height = "-0.42 m" }\nfitted = "demo-mag-medium-230"'
    high = 'height = "0.42 m" }'
    case = load_text(tmp_path, edited(text_of(KETCH), (old, high)))
    floods = tuple(f"demo-mag-{kind}-230" for kind in ("small", "medium", "large"))
    (loop,) = size(replace(case, design=replace(case.design, pumps=floods))).loops
    assert loop.chosen is not None and loop.chosen.judgement.grade == NO
    same = [
        item.judgement.keeps_rise
        for item in loop.pumps
        if item.judgement.grade == NO
        and item.judgement.shortfall == loop.chosen.judgement.shortfall
    ]
    assert len(same) > 1 and loop.chosen.judgement.keeps_rise >= max(same) - 0.01


@pytest.mark.parametrize(
    ("short", "scant", "grade"),
    [
        *((0, 0, YES), (0, 3, YES), (0, 4, TIGHT), (4, 0, TIGHT), (2, 2, TIGHT)),
        *((16, 0, TIGHT), (17, 0, NO), (17, 15, NO), (3, 0, YES)),
    ],
)
def test_what_boats_hold_against_a_pump_is_counted(short, scant, grade):
    """Of 32 boats: up to one in ten is no ruling, half of them tight, and more of them a no."""
    assert N_BOATS == 32
    falls = Ruling(NO, fact("design.not_continuous"))
    nearly = Ruling(TIGHT, fact("design.not_continuous"))
    boats = DrawnBoats({}, (falls,) * short + (nearly,) * scant + (None,) * (32 - short - scant))
    judged = held_by(Judgement((), ()), boats)
    assert judged.grade == grade
    for ruling in judged.rulings:
        told = short if short > 3 else short + scant  # of what held back too many by itself
        assert (ruling.said["boats"], ruling.said["of"]) == (told, 32)
        assert ruling.said["such_as"] == falls.said
    known = Judgement((falls,), ())
    # what is said of the boat herself is not said again
    assert held_by(known, boats) == replace(known, drawn_boats=N_BOATS)
