"""What may never get better or worse at a first start, over random runs; all invented."""

from dataclasses import replace

import gsw
import numpy as np
import pytest
from answer_data import kinds_of
from hypothesis import example, given, settings
from hypothesis import strategies as st
from layouts import entry, hose, outlet, point, pump
from sizing import KETCH, edited, load_text, text_of

from seaflow.boat import network
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Fixed
from seaflow.model.first_fill import Spot, Way, climb, reaches_pump
from seaflow.model.first_start import NO, NOT_KNOWN, STARTS, WORST_FIRST, Primer, first_starts
from seaflow.model.loop import SEA, Link, Loop
from seaflow.physics.flow.priming import lift_in_time, priming_time
from seaflow.physics.pumping.pump import curve_from_ends
from seaflow.studies.design.start import BLED, REFUSED, STAYS, cure, first_start, up
from seaflow.studies.design.which_pump import full_supply, picked_loop
from seaflow.studies.diagnose.answer import diagnose, setup_of
from seaflow.studies.diagnose.readings import Readings

NOW = Conditions(sea_temperature=20.0, salinity=35.0, voltage=24.0)
LEVELS = st.integers(-9, 12).map(lambda tenth: tenth / 10.0)
UNDER = st.integers(-9, -1).map(lambda tenth: tenth / 10.0)
OVER = st.integers(1, 9).map(lambda tenth: tenth / 10.0)
MILLIMETRE = 1e-3  # more than any rounding, less than any height here
PRIMERS = st.sampled_from((Primer(False), Primer(True, 1.0)))


def loop_of(heights, pump_at, shut_off=1.5):
    """A row of points by height: the first the intake, one the pump, the last the outlet."""
    parts = [entry("0", heights[0]), hose("h0", 1.0)]
    for place, height in enumerate(heights[1:-1], 1):
        at = point(str(place), height)
        if place == pump_at:
            parts.append(replace(pump("pump", curve_from_ends(shut_off, 5e-4, 1.8)), point=at))
        else:
            parts.append(
                Fixed(name=str(place), item="bend", bore=0.019, point=at, loss_coefficient=0.0)
            )
        parts.append(hose(f"h{place}", 1.0))
    parts.append(outlet(str(len(heights) - 1), heights[-1]))
    return Loop("row", (Link(SEA, SEA, tuple(parts)),))


def start_of(heights, pump_at, primer, **more):
    (found,) = first_starts(loop_of(heights, pump_at, **more), NOW, {"pump": primer})
    return found


def grade(start):
    return WORST_FIRST.index(start.outcome)


@st.composite
def rows(draw):
    middle = draw(st.lists(LEVELS, min_size=2, max_size=6))
    pump_at = draw(st.integers(1, len(middle)))
    return [draw(UNDER), *middle, draw(OVER)], pump_at


@settings(max_examples=300, deadline=None)
@given(rows(), PRIMERS, st.integers(0, 6), st.integers(1, 10))
def test_lowering_a_point_never_makes_a_start_worse_unless_it_makes_or_deepens_a_dip(
    row, primer, which, tenths
):
    heights, pump_at = row
    place = which % (len(heights) - 1)  # the outlet stays above the water
    lower = [*heights]
    lower[place] -= tenths / 10.0
    if place > 0 and lower[place] < min(lower[place - 1], lower[place + 1]):
        return  # it is a dip now
    before, after = (start_of(each, pump_at, primer) for each in (heights, lower))
    assert grade(after) >= grade(before)
    assert after.head <= before.head + 1e-9


def is_dip(levels, place):
    """Whether what lies here, or level with it on either side, lies lower than what is around."""
    before = [level for level in levels[:place] if level != levels[place]]
    after = [level for level in levels[place:] if level != levels[place]]
    return bool(before and after) and levels[place] < min(before[-1], after[0])


@settings(max_examples=400, deadline=None)
@given(rows(), PRIMERS)
@example(([-0.1, 1.0, 0.0, 0.1, 0.1, 0.0, 0.1], 5), Primer(True, 1.0))
def test_all_that_is_told_to_be_lowered_together_cures_a_start_and_each_of_it_is_needed(
    row, primer
):
    heights, pump_at = row
    start = start_of(heights, pump_at, primer)
    if start.outcome != NO:
        return
    pairs = zip(start.reasons, start.moves, strict=True)
    down = {move.thing: move.distance for said, move in pairs if said.kind in REFUSED}
    names = [*map(str, range(len(heights)))]

    def lowered(things):
        pairs = zip(names, heights, strict=True)
        return [at - (down[name] + MILLIMETRE if name in things else 0.0) for name, at in pairs]

    cured = lowered(set(down))
    dips = any(name in down and is_dip(cured, i) for i, name in enumerate(names))
    assert dips or start_of(cured, pump_at, primer).outcome != NO
    if len(down) > 1:
        for thing in down:
            assert start_of(lowered(set(down) - {thing}), pump_at, primer).outcome == NO


@settings(max_examples=200, deadline=None)
@given(st.lists(LEVELS, min_size=2, max_size=4), OVER, PRIMERS, st.integers(1, 10))
def test_raising_the_pump_on_a_suction_that_rises_all_the_way_never_helps(
    levels, end, primer, tenths
):
    suction = [-1.0, *sorted(levels)]
    pump_at = len(suction) - 1
    higher = [*suction]
    higher[-1] += tenths / 10.0
    for delivery in ([end + 3.0], [2.5, end]):
        low = start_of([*suction, *delivery], pump_at, primer, shut_off=5.0)
        high = start_of([*higher, *delivery], pump_at, primer, shut_off=5.0)
        assert grade(high) <= grade(low)


@settings(max_examples=200, deadline=None)
@given(st.lists(UNDER, min_size=1, max_size=3), st.lists(OVER, min_size=1, max_size=3))
def test_a_flooded_pump_with_a_delivery_that_rises_to_air_starts_without_bleeding(under, over):
    suction, delivery = [-1.0, *sorted(under)], sorted(over)
    pump_at = len(suction) - 1
    start = start_of([*suction, *delivery], pump_at, Primer(False), shut_off=delivery[-1] + 0.01)
    assert start.outcome == STARTS and start.flooded
    assert start.pockets == ()


def test_a_place_that_is_not_recorded_leaves_the_start_open():
    loop = loop_of([-0.6, -0.5, -0.4, 0.4], 2)
    blank = replace(loop.links[0].elements[2].point, height=None)
    (start,) = first_starts(loop.changed("1", point=blank), NOW, {"pump": Primer(False)})
    assert start.outcome == NOT_KNOWN and start.missing == ("1",)


@pytest.mark.parametrize("height", [-0.3, 0.3])
def test_of_an_intake_whose_height_is_not_known_the_pump_is_not_taken_for_it(height):
    start = start_of([None, height, 0.5], 1, Primer(False))
    assert (start.outcome, start.missing, start.reasons) == (NOT_KNOWN, ("0",), ())


def test_a_known_reason_against_it_outweighs_what_is_not_recorded():
    loop = loop_of([0.6, -0.5, -0.4, 0.4], 2)
    blank = replace(loop.links[0].elements[2].point, height=None)
    (start,) = first_starts(loop.changed("1", point=blank), NOW, {"pump": Primer(False)})
    assert start.outcome == "no"


@pytest.mark.parametrize("lift", [0.1, 1.0, 2.5])
def test_priming_takes_longer_with_more_air_and_more_lift(lift):
    time = priming_time(2e-3, 3e-4, lift, 1e-4)
    assert priming_time(3e-3, 3e-4, lift, 1e-4) > time
    assert priming_time(2e-3, 3e-4, lift + 0.1, 1e-4) > time
    assert priming_time(2e-3, 3e-4, lift, 2e-4) == pytest.approx(0.5 * time)
    assert lift_in_time(2e-3, 3e-4, 1e-4, time, 5.0) == pytest.approx(lift, abs=1e-9)


def test_priming_time_is_that_of_small_steps():
    """Independent route: the balance of the air, integrated in small steps."""
    volume, area, rate, steps = 2e-3, 3e-4, 1e-4, 200_000
    atmosphere = 101325.0 / (1025.0 * 9.80665)
    level = np.linspace(0.0, 1.5, steps + 1)
    middle = 0.5 * (level[1:] + level[:-1])
    per_metre = ((volume - area * middle) / (atmosphere - middle) + area) / rate
    rest = (volume - area * 1.5) / rate
    expected = float(np.sum(per_metre) * 1.5 / steps + rest)
    assert priming_time(volume, area, 1.5, rate) == pytest.approx(expected, rel=1e-9)


def boat_start(folder, name, *changes):
    case = load_text(folder, edited(text_of(name), *changes))
    (found, *_) = network.loops(case)
    built, part, _ = picked_loop(case, found, None)
    return first_start(case, built, part, full_supply(case, found, part))


def test_the_shipped_ketch_starts_and_stays_primed_on_both_tacks(tmp_path):
    start = boat_start(tmp_path, KETCH)
    assert start.outcome == STARTS and start.after_tack == STAYS
    assert start.bleed_at == ("saloon unit",)  # the leg down to the outlet, until the flow fills it
    assert {round(np.degrees(item.heel)) for item in start.tacks} == {15, -15}
    assert start.on_a_tack == ()


def test_an_intake_that_a_tack_uncovers_is_told_and_whether_it_refills(tmp_path):
    start = boat_start(tmp_path, KETCH, ("-0.62 m", "-0.08 m"))
    assert start.outcome in ("after bleeding", "no")  # it falls to strainer and pump now
    assert start.after_tack == BLED
    ((said, move),) = start.on_a_tack
    assert said["where"]["by"][0]["side"] == "port"
    assert move.thing == "cooling intake" and move.distance > 0.0


def test_a_pump_above_the_water_starts_if_it_primes_itself(tmp_path):
    above = ('height = "-0.42 m" }\nfitted', 'height = "0.42 m" }\nfitted')
    assert boat_start(tmp_path, KETCH, above).outcome == "no"
    old, new = (f'{words} = "demo-mag-medium-230"' for words in above)
    primes = (old, new.replace("mag-medium", "self-priming"))
    assert boat_start(tmp_path, KETCH, primes).outcome == "primes itself"


def test_the_diagnosis_knows_that_a_pump_by_its_plan_does_not_start(tmp_path):
    above = ('height = "-0.42 m" }\nfitted', 'height = "0.42 m" }\nfitted')
    for changes, kinds in (((), ()), ((above,), ("diagnose.start_fails",))):
        case = load_text(tmp_path, edited(text_of(KETCH), *changes))
        (found, *_) = network.loops(case)
        answer = diagnose(setup_of(case, found), Readings())
        assert [kind for kind in kinds_of(answer.notes) if "start" in kind] == list(kinds)


@pytest.mark.parametrize("height", ["0.00 m", "0.20 m", "0.42 m"])
def test_a_pump_lowered_as_told_starts_upright_and_on_both_tacks(tmp_path, height):
    at = 'starboard = "{}", height = "{}" }}\nfitted'
    old = at.format("0.40 m", "-0.42 m")
    start = boat_start(tmp_path, KETCH, (old, at.format("0.90 m", height)))
    ((said, move),) = start.refused
    low = f"{float(height.split()[0]) - up(move.distance):.2f} m"
    cured = boat_start(tmp_path, KETCH, (old, at.format("0.90 m", low)))
    assert cured.refused == () and cured.on_a_tack == ()
    told = cure(move, said)
    deep = f"{float(height.split()[0]) - told['distance'].value:.2f} m"
    as_told = boat_start(tmp_path, KETCH, (old, at.format("0.90 m", deep)))
    heel = max(abs(one.heel) for one in as_told.tacks)  # the way down turns with the boat
    assert as_told.shallowest >= told["depth"].value * np.cos(heel) - MILLIMETRE
    short = f"{float(height.split()[0]) - up(move.distance) + 0.02:.2f} m"
    assert boat_start(tmp_path, KETCH, (old, at.format("0.90 m", short))).on_a_tack != ()


SPOTS = st.lists(st.tuples(LEVELS, st.booleans()), min_size=1, max_size=8)


@settings(max_examples=300, deadline=None)
@given(SPOTS)
def test_the_climb_is_to_the_highest_point_and_over_all_the_air_shut_in_before_it(row):
    """By adding up: each leg from a crest to a dip that is deeper than its bore, unless vented."""
    spots = tuple(
        Spot(str(place), height, 0.019, 0.0, vented, 0)
        for place, (height, vented) in enumerate(row)
    )
    heads = []
    for place, spot in enumerate(spots):
        since = max((i for i in range(1, place + 1) if spots[i].vented), default=0)
        heads.append(
            spot.height + sum(fall for at, fall in _legs(spots[: place + 1]) if at > since)
        )
    need, where = climb(spots)
    assert need == pytest.approx(max(heads))
    assert heads[int(where)] == pytest.approx(need)
    assert int(where) == 0 or heads[int(where)] > max(heads[: int(where)])


def _legs(spots):
    """Every fall with water rising behind it: where it rises, and how far it fell."""
    crest = 0
    for place in range(1, len(spots)):
        if spots[place].height > spots[place - 1].height:
            fall = spots[crest].height - spots[place - 1].height
            if fall > spots[place - 1].bore and not spots[crest].vented:
                yield place, fall
            crest = place


def run_under_water(rng, highest):
    """A run with both ends under water, of up to `highest` in between, its volumes added up."""
    heights = [
        *rng.uniform(-0.9, -0.1, 1),
        *rng.uniform(-0.8, highest, 5),
        *rng.uniform(-0.9, -0.1, 1),
    ]
    air = np.cumsum([0.0, *rng.uniform(1e-4, 1e-3, 6)])
    spots = (Spot(str(i), heights[i], 0.019, air[i], False, 0) for i in range(7))
    return tuple(spots), np.asarray(heights), air


def water_in(heights, air, level):
    """How far water comes from the start of a run that stands at a level, by many small steps."""
    along = np.linspace(air[0], air[-1], 4001)
    dry = np.interp(along, air, heights) >= level
    return along[np.argmax(dry)] if dry.any() else air[-1]


@pytest.mark.parametrize("seed", range(16))
def test_air_that_cannot_leave_is_squeezed_by_the_depth_of_the_water(seed):
    """By Boyle's law; at the shallower end it bubbles out, so that water stands there at least."""
    spots, heights, air = run_under_water(np.random.default_rng(seed), 0.6)
    atmosphere = 101325.0 / (gsw.rho_t_exact(35.16504, 20.0, 0.0) * 9.80665)
    for level in np.linspace(max(heights[0], heights[-1]), 0.0, 1001):
        from_start = water_in(heights, air, level)
        from_end = water_in(heights[::-1], air[-1] - air[::-1], level)
        if (air[-1] - from_start - from_end) * (atmosphere - level) <= air[-1] * atmosphere:
            break
    for at in range(1, 7):
        reached = from_start >= air[at]
        if abs(from_start - air[at]) > 2e-5:  # m3, the steps of both
            assert reaches_pump(Way(spots, at, False, ()), NOW) == reached


def test_a_run_that_lies_under_water_all_the_way_fills():
    spots, *_ = run_under_water(np.random.default_rng(1), -0.3)
    ends = (replace(spots[0], height=-0.25), *spots[1:-1], replace(spots[-1], height=-0.2))
    assert all(reaches_pump(Way(ends, at, False, ()), NOW) for at in range(7))
