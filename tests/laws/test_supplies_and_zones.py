"""Units on another supply than the pump, and one condensing unit with several evaporators."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from sizing import CATAMARAN, KETCH, edited, load_text, shipped, text_of

from seaflow.base.problems import SeaflowError
from seaflow.base.tables import read_table
from seaflow.boat import network
from seaflow.boat.case import MOST_DC, UnitSupply
from seaflow.boat.tables.plates import Zone
from seaflow.model.build import build_loop
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.present.faces import faces_of
from seaflow.present.quantities import Show
from seaflow.studies.baseline.sheet import baseline
from seaflow.studies.design.cautions import cautions
from seaflow.studies.design.choose import candidates
from seaflow.studies.design.duties import bank_of
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.design.need import unit_needs
from seaflow.studies.design.supply import panel_volts
from seaflow.studies.diagnose.answer import posterior_of, setup_of
from seaflow.studies.diagnose.next_reading import open_readings
from seaflow.studies.diagnose.readings import Number, Readings
from seaflow.studies.size.size import size
from seaflow.studies.survey.findings import survey

MAINS = 'current = "ac"\nvoltage = "230 V"\nfrequency = "50 Hz"\n'
RANGE = 'lowest_voltage = "205 V"\nhighest_voltage = "240 V"\n'
PUMP_ON_24 = (
    (MAINS + RANGE, 'current = "dc"\nvoltage = "24 V"\n'),
    ('fitted = "demo-mag-medium-230"', 'fitted = "demo-dc-medium-24"'),
)
BANK = '\n[unit_supply]\ncurrent = "dc"\nvoltage = "400 V"\n'
FEW = Sampling(1024, 20)
TITLE = read_table("cautions.toml")["high_voltage"]["title"]


@pytest.fixture
def bank_boat(tmp_path):
    """The demo ketch with her pump on 24 V and her unit on a bank of 400 V."""
    return load_text(tmp_path, edited(text_of(KETCH), *PUMP_ON_24) + BANK)


def test_units_run_from_the_supply_of_the_pump_if_no_other_is_told(bank_boat) -> None:
    ketch = shipped(KETCH)
    assert ketch.units_on is ketch.supply
    assert not ketch.high_voltage
    assert bank_boat.units_on.voltage == 400.0
    assert bank_boat.high_voltage


@pytest.mark.parametrize(("volts", "high"), [(MOST_DC, False), (MOST_DC + 1.0, True)])
def test_high_voltage_begins_above_what_may_be_touched(bank_boat, volts, high) -> None:
    supply = UnitSupply(current="dc", voltage=volts)
    assert replace(bank_boat, unit_supply=supply).high_voltage is high
    mains = UnitSupply(current="ac", voltage=230.0)
    assert not replace(bank_boat, unit_supply=mains).high_voltage


@pytest.mark.parametrize("answer", read_table("cautions.toml")["high_voltage"]["when"])
def test_every_answer_sends_to_licensed_people_and_only_where_such_a_bank_is(answer) -> None:
    assert TITLE in [one.title for one in cautions(answer, high_voltage=True) if one.brief]
    assert TITLE not in [one.title for one in cautions(answer)]


def test_nothing_of_the_units_is_asked_to_be_measured_by_hand(bank_boat) -> None:
    on_mains = replace(bank_boat, unit_supply=UnitSupply(current="ac", voltage=230.0))
    asked = []
    for case in (on_mains, bank_boat):
        posterior = posterior_of(setup_of(case, network.loops(case)[0]), Readings(), FEW)
        asked.append({one.kind for one in open_readings(posterior, Readings())})
    assert asked[0] - asked[1] == {"watts"}


def test_the_bank_of_the_units_is_counted_at_its_own_volts_without_an_inverter(bank_boat) -> None:
    case = replace(bank_boat, battery=None)
    bank, _ = bank_of(case)
    assert (bank.voltage, bank.efficiency, bank.to_the_pump) == (400.0, 1.0, 1.0)


def test_a_pump_on_the_battery_pays_no_inverter_for_units_on_mains(bank_boat) -> None:
    case = replace(bank_boat, unit_supply=UnitSupply(current="ac", voltage=230.0))
    bank, _ = bank_of(case)
    assert bank.efficiency < 1.0 == bank.to_the_pump
    assert bank.drawn(1.0, 1.0) == pytest.approx(bank.drawn(1.0, 0.0) + bank.drawn(0.0, 1.0))
    assert bank.drawn(0.0, 1.0) == pytest.approx(1.0)


def powers(case) -> np.ndarray:
    (found,) = network.loops(case)
    (place,) = found.pumps
    loop = build_loop(case, found, {place.name: candidates(case, place)[0]}).loop
    now = Conditions(sea_temperature=25.0, voltage=230.0, frequency=np.array([50.0, 60.0]))
    (unit,) = operate(loop, now).units.values()
    return np.asarray(unit.power / unit.cooling)


def test_the_frequency_of_the_pump_does_not_turn_compressors_of_another_supply() -> None:
    ketch = shipped(KETCH)
    apart = replace(ketch, unit_supply=UnitSupply(current="dc", voltage=48.0))
    together, own = (np.ptp(powers(case)) for case in (ketch, apart))
    assert own < together  # what is left follows from more water alone


def test_cards_name_the_hazard_first_thing_where_the_bank_is(bank_boat) -> None:
    brief = read_table("cautions.toml")["high_voltage"]["brief"]
    for case in (bank_boat, shipped(KETCH)):
        card = faces_of("survey", case).card(survey(case), Show())
        assert (brief in str(card)) is case.high_voltage


# --- zones ---


def zoned(*calls: bool | None):
    case = shipped(KETCH)
    (unit,) = case.unit
    zones = tuple(
        Zone(name=f"zone {row}", cooling=0.5 * unit.cooling, calls=call)
        for row, call in enumerate(calls)
    )
    return replace(case, unit=(replace(unit, zone=zones),))


def test_the_load_is_that_of_the_zones_that_call_and_no_more_than_all() -> None:
    assert [zoned(*calls).unit[0].called for calls in ((), (None, None), (True, True, None))] == [
        1.0,
        1.0,
        1.0,
    ]
    assert zoned(True, False).unit[0].called == pytest.approx(0.5)
    assert zoned(False, False).unit[0].called == 0.0


def test_a_healthy_boat_warms_her_water_less_with_fewer_zones_calling() -> None:
    rises = []
    for calls in ((True, True), (True, False)):
        case = zoned(*calls)
        sheet = baseline(setup_of(case, network.loops(case)[0]), Readings())
        (rise,) = (one for one in sheet.expected if one.what.kind == "baseline.rise")
        rises.append(rise.middle)
    assert rises[1] < 0.6 * rises[0]


@pytest.mark.parametrize("share", [None, 0.97])
@pytest.mark.parametrize("name", [KETCH, CATAMARAN])
def test_a_healthy_boat_may_read_any_volts_of_a_sound_supply(name, share) -> None:
    case = shipped(name)
    low, usual, high = panel_volts(case)
    read = () if share is None else (Number("volts", "", share * usual),)
    sheet = baseline(setup_of(case, network.loops(case)[0]), Readings(numbers=read))
    (volts,) = (one for one in sheet.expected if one.what.kind == "baseline.volts")
    assert volts.high / volts.low == pytest.approx(high / low)
    assert 0.9 * low < volts.low < volts.middle < volts.high <= high


def test_the_pump_is_sized_for_all_zones_whatever_calls() -> None:
    needs = []
    for calls in ((True, True), (True, False)):
        case = zoned(*calls)
        (found,) = network.loops(case)
        (place,) = found.pumps
        built = build_loop(case, found, {place.name: candidates(case, place)[0]})
        needs.append(unit_needs(case, built)[0].flow)
    assert needs[0] == needs[1]


OWN = (
    'fitted = "demo-mag-medium-115"',
    'fitted = "demo-dc-medium-24"\nsupply = { current = "dc", voltage = "24 V" }',
)
CAT_MAINS = 'current = "ac"\nvoltage = "115 V"\nfrequency = "60 Hz"\n'
CAT_RANGE = 'lowest_voltage = "105 V"\nhighest_voltage = "125 V"\n'
ALL_ON_24 = (
    (CAT_MAINS + CAT_RANGE, 'current = "dc"\nvoltage = "24 V"\n'),
    ('fitted = "demo-mag-medium-115"', 'fitted = "demo-dc-medium-24"'),
    ('fitted = "demo-mag-small-115"', 'fitted = "demo-dc-medium-24"'),
)


@pytest.fixture
def two_supplies(tmp_path):
    """The demo catamaran with her port pump on 24 V beside mains, and the same all on 24 V."""
    text = text_of(CATAMARAN)
    units = '\n[unit_supply]\ncurrent = "ac"\nvoltage = "115 V"\n'
    (tmp_path / "other").mkdir()
    return (
        load_text(tmp_path, edited(text, OWN)),
        load_text(tmp_path / "other", edited(text, *ALL_ON_24) + units),
    )


def flows_of(case, answer):
    """What the fitted pump of each loop delivers, and what it draws."""
    found = {}
    for loop in answer.loops:
        (fitted,) = (item for item in loop.pumps if item.fitted)
        found[loop.name] = (fitted.part.name, fitted.design.flow, fitted.design.power)
    return found


def test_a_pump_on_a_supply_of_its_own_runs_as_if_the_boat_were_on_it(two_supplies) -> None:
    port, starboard = (one.name for one in network.loops(two_supplies[0]))
    own, whole = (flows_of(case, size(case, 0)) for case in two_supplies)
    as_she_was = flows_of(shipped(CATAMARAN), size(shipped(CATAMARAN), 0))
    assert own[port] == whole[port]
    assert own[starboard] == as_she_was[starboard]
    assert own[port][0] == "demo-dc-medium-24"


def test_a_pump_on_dc_beside_mains_is_surveyed_as_both(two_supplies, tmp_path) -> None:
    case, _ = two_supplies
    assert not [item.rule for item in survey(case).findings if item.rule == "pump-supply"]
    told = text_of(CATAMARAN).replace("earthed = true, crimped", "earthed = false, crimped")
    found = {
        item.where: item.severity
        for item in survey(load_text(tmp_path, edited(told, OWN))).findings
        if item.rule == "pump-not-earthed"
    }
    assert found == {"port pump": "major", "starboard pump": "critical"}


def test_the_supply_of_a_pump_is_checked_as_that_of_the_boat(tmp_path) -> None:
    for change, code in (('"dc"', "S24"), ('"24 V"', "S59")):
        bad = OWN[1].replace(change, '"ac"' if code == "S24" else '"96 V"')
        with pytest.raises(SeaflowError) as caught:
            load_text(tmp_path, edited(text_of(CATAMARAN), (OWN[0], bad)))
        assert {problem.code for problem in caught.value.problems} == {code}
