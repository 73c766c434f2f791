"""Laws of the judgement: every must and every aim at its very edge, and the worst cases it asks."""

from dataclasses import fields, replace

import numpy as np
import pytest
from sizing import KETCH, NAMES, edited, load_text, shipped, sized, text_of

from seaflow.base.facts import kinds_of
from seaflow.boat import network
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.studies.design.judge import Judgement, Trial, judge, judge_season
from seaflow.studies.design.limits import limit
from seaflow.studies.design.need import unit_needs
from seaflow.studies.design.worst_cases import stacked, worst_cases

HAIR = 1e-4  # relative; wider than the slack of a flow, narrower than any tolerance of a limit
SLACK = 1e-6  # of a flow, below which a shortfall is rounding


def trial_of(case, part=None):
    """The pump fitted to the ketch, or another, as it was tried; every number can be replaced."""
    loop = sized(KETCH).loops[0]
    result = next(item for item in loop.pumps if item.fitted)
    (found,) = network.loops(case)
    built = build_loop(case, found, {case.pump[0].name: result.part})
    needs = {need.name: need for need in unit_needs(case, built)}
    return Trial(case, built, part or result.part, case.pump[0], result.at, needs)


@pytest.fixture
def trial():
    found = trial_of(shipped(KETCH))
    assert judge(found).reasons == ()
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


def remarks(trial):
    return set(kinds_of(judge(trial).remarks)) - {"design.no_dry_run_protection"}


# --------------------------------------------------------------------------------------- musts


@pytest.mark.parametrize("name", ["design", "strainer blocked", "low voltage", "growth"])
def test_a_flow_short_of_what_is_asked_breaks_a_must_and_rounding_does_not(trial, name):
    asks = next(at.asks for at in trial.at if at.worst_case == name)
    assert asks == ("need" if name == "design" else "least")
    assert reasons(with_unit(trial, name, margin=-0.5 * SLACK)) == ()
    short = with_unit(trial, name, margin=-2.0 * SLACK)
    (said,) = judge(short).reasons
    (need,) = trial.needs.values()
    assert said.kind == "design.too_little_water"
    assert said["asked"].value == (need.flow if asks == "need" else need.least)
    assert said["short"] == 2.0 * SLACK
    assert judge(short).shortfall == 2.0 * SLACK


def test_too_little_in_the_cold_is_no_matter(trial):
    cold = with_unit(trial, "cold", margin=-0.3)
    assert reasons(cold) == () and judge(cold).shortfall == 0.0


def test_of_several_failings_the_first_worst_case_is_said_and_the_worst_counts(trial):
    both = with_unit(with_unit(trial, "design", margin=-0.1), "growth", margin=-0.4)
    (said,) = judge(both).reasons
    assert said["short"] == 0.1 and said["where"] == trial.at[0].where
    assert judge(both).shortfall == 0.4


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
    for name in ("design", "cold"):
        for flow, kinds in (
            (need.most * (1.0 - HAIR), ()),
            (need.most * (1.0 + HAIR), ("design.too_much_water",)),
        ):
            assert reasons(with_unit(trial, name, flow=flow)) == (kinds if name == "cold" else ())


def test_water_too_fast_for_the_alloy_of_the_coil_breaks_a_must(trial):
    unit = trial.case.unit[0]
    _, fastest = trial.case.catalogue.fastest_water(unit.alloy)
    for velocity, kinds in (
        (fastest * (1.0 - HAIR), ()),
        (fastest * (1.0 + HAIR), ("design.too_fast_for_the_coil",)),
    ):
        assert reasons(with_unit(trial, "cold", coil_velocity=velocity)) == kinds
        assert reasons(with_unit(trial, "design", coil_velocity=velocity)) == ()


def test_a_pump_for_short_spells_or_too_high_to_prime_breaks_a_must(trial):
    brief = replace(trial, part=replace(trial.part, continuous=False))
    assert reasons(brief) == ("design.not_continuous",)
    for height, kinds in ((-0.01, ()), (0.0, ("design.cannot_prime",))):
        place = replace(trial.place, at=None, height=height)
        assert reasons(replace(trial, place=place)) == kinds
        primes = replace(trial.part, self_priming=True)
        assert reasons(replace(trial, place=place, part=primes)) == ()


def test_the_margin_of_npsh_decides_where_the_pump_tells_what_it_requires(trial):
    least = min(at.npsh_available for at in trial.at)
    for over, kinds in ((-HAIR, ()), (HAIR, ("design.cavitates",))):
        required = least - limit("npsh_margin") + over
        part = replace(trial.part, required_npsh=required)
        # a gauge far too low decides nothing then
        deep = with_at(replace(trial, part=part), "design", inlet_gauge=-50e3)
        assert reasons(deep) == kinds


def test_the_vacuum_decides_where_it_does_not(trial):
    assert trial.part.required_npsh is None
    for gauge, kinds in (
        (limit("suction_vacuum") + 1.0, ()),
        (limit("suction_vacuum") - 1.0, ("design.narrow_suction",)),
    ):
        for name in ("design", "cold"):
            assert reasons(with_at(trial, name, inlet_gauge=gauge)) == kinds
    assert reasons(with_at(trial, "design", inlet_gauge=None)) == ()


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


def test_a_pump_that_cannot_prime_should_lie_deep_enough(trial):
    deep = limit("pump_below_water")
    for depth, kinds in ((deep + HAIR, set()), (deep - HAIR, {"design.shallow_pump"})):
        place = replace(trial.place, at=None, height=-depth)
        assert remarks(replace(trial, place=place)) == kinds
        primes = replace(trial.part, self_priming=True)
        assert remarks(replace(trial, place=place, part=primes)) == set()


def test_dry_run_and_another_frequency_are_remarked(trial):
    safe = replace(trial.part, dry_run_protection=True)
    assert judge(replace(trial, part=safe)).remarks == ()
    other = replace(trial.part, frequency=60.0)
    assert remarks(replace(trial, part=other)) == {"design.frequency_scaled"}


def test_a_weak_start_is_remarked_below_the_factor(trial):
    crest = 0.35  # m, the unit of the ketch, its highest point
    pump = trial.built.loop.pumps[0]
    for over, kinds in ((HAIR, set()), (-HAIR, {"design.weak_start"})):
        curve = replace(pump.curve, shut_off_head=limit("starting_factor") * crest + over)
        loop = trial.built.loop.changed(pump.name, curve=curve)
        weak = replace(trial, built=replace(trial.built, loop=loop))
        assert remarks(weak) == kinds


def test_the_season_adds_to_a_judgement_only_below_its_limits():
    fine = Judgement((), ())
    running, rise = limit("likely_running"), limit("likely_rise")
    assert judge_season(fine, running, rise) == fine
    seldom = judge_season(fine, running - HAIR, 0.0)
    assert kinds_of(seldom.reasons) == ("design.seldom_runs",) and seldom.remarks == ()
    warm = judge_season(fine, running, rise - HAIR)
    assert kinds_of(warm.remarks) == ("design.seldom_keeps_rise",) and warm.recommended
    # a pump that breaks a must anyway is not remarked on as well
    assert judge_season(seldom, running, 0.0) == seldom


# --------------------------------------------------------------------------------- worst cases


@pytest.mark.parametrize("name", NAMES)
def test_each_worst_case_differs_from_the_design_point_in_one_thing(name):
    case = shipped(name)
    design, *others = worst_cases(case)
    changed = {
        "strainer blocked": {"strainer_blockage": case.design.blocked_share, "matted": 1.0},
        "low voltage": {"voltage": case.supply.lowest_voltage},
        "growth": {"growth": case.design.growth},
        "cold": {"sea_temperature": case.sea.coldest, "voltage": case.supply.highest_voltage},
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
