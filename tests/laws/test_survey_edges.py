"""Where findings begin, and what must not matter: which side is which, and the order of a file.

Bounds are those of the rules' questions, on measures worked by hand; numbers are asked as facts.
"""

import copy
import math
import tomllib
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from survey_boats import case_of, case_with, patched, sound_evidence

from seaflow.base.facts import Amount, Fact
from seaflow.model.heights import STEEPEST, STEPS
from seaflow.physics.electric.wiring import conductor_sizes
from seaflow.studies.design.judge import NO
from seaflow.studies.design.kinds import SHORT_OF_WATER
from seaflow.studies.design.limits import limit
from seaflow.studies.survey.findings import survey
from seaflow.studies.survey.gathered import evidence_of
from seaflow.studies.survey.judged import judged
from seaflow.studies.survey.rules import Breach, Kept, Unknown, rules

pytestmark = pytest.mark.usefixtures("loops_run_once")

HERE = Path(__file__).parent
CASES = sorted((HERE.parents[1] / "cases").glob("*.toml"))
ROWS = tomllib.loads((HERE / "survey_rules.toml").read_text(encoding="utf-8"))
EDGES = tomllib.loads((HERE / "survey_edges.toml").read_text(encoding="utf-8"))["edge"]
RULES = {rule.id: rule for rule in rules()}
G = 9.80665  # m/s2
STEP = STEEPEST / (STEPS - 1)  # rad, in which the search for a heel goes
SETTLED = 1e-9  # relative: the same sums, in another order
OTHER = {"port": "starboard", "starboard": "port"}


def verdicts(rule, patch, folder):
    """What a rule says of the sound boat with a patch."""
    return judged(RULES[rule], evidence_of(case_with(patch, folder)))


def breach(rule, patch, folder):
    """The one breach of a rule, with the severity that its finding gets."""
    (found,) = (item for item in verdicts(rule, patch, folder) if isinstance(item, Breach))
    return found, found.severity or RULES[rule].severity


@pytest.mark.parametrize("edge", EDGES, ids=lambda edge: edge["rule"])
def test_a_finding_begins_where_its_rule_says(edge, tmp_path):
    if "kept" in edge:
        assert {type(item) for item in verdicts(edge["rule"], edge["kept"], tmp_path)} == {Kept}
    _, severity = breach(edge["rule"], edge["broken"], tmp_path)
    assert severity == edge["severity"]


DC, ALONE = {"supply": {"current": "dc", "voltage": "24 V"}}, {"duty": "drop", "battery": "drop"}


@pytest.mark.parametrize(
    ("boat", "guarded", "says"),
    [
        ({}, True, Kept),
        ({}, False, Breach),
        ({}, None, Unknown),
        (DC, True, Kept),
        (DC, False, Breach),  # mains from shore lies beside it
        (DC, None, Kept),  # what nobody recorded of a pump on DC is no question
        ({**DC, **ALONE, "seen.mains_aboard": True}, False, Breach),
        ({**DC, **ALONE, "seen.mains_aboard": False}, False, Kept),
        ({**DC, **ALONE, "seen.mains_aboard": False}, None, Kept),
    ],
)
@pytest.mark.parametrize("key", ["earthed", "residual_current_device"])
def test_a_pump_is_guarded_on_mains_and_beside_them(tmp_path, key, boat, guarded, says):
    rule = "pump-not-earthed" if key == "earthed" else "pump-no-residual-current-device"
    patch = {**boat, f"pump.0.seen.{key}": "drop" if guarded is None else guarded}
    assert {type(one) for one in verdicts(rule, patch, tmp_path)} == {says}


# Port and starboard.


def mirrored(value):
    """A case as data with its two sides exchanged, in distances and in every name."""
    if isinstance(value, list):
        return [mirrored(item) for item in value]
    if isinstance(value, str):
        return swapped(value)
    if not isinstance(value, dict):
        return value
    found = {key: mirrored(item) for key, item in value.items()}
    across = found.get("starboard")
    if isinstance(across, str):
        found["starboard"] = turned_over(across)
    elif across is not None:  # a room, from one side to the other
        found["starboard"] = [turned_over(one) for one in across[::-1]]
    return found


def turned_over(text):
    return text[1:] if text.startswith("-") else f"-{text}"


def swapped(text):
    return " ".join(OTHER.get(word, word) for word in text.split(" "))


def plain(value, turned):
    """Facts as plain data, numbers to the digits that count, sides exchanged if `turned`."""
    if isinstance(value, Fact):
        return (value.kind, *(plain(item, turned) for _, item in value.values))
    if isinstance(value, Amount):
        return plain(value.value, turned)
    if isinstance(value, (tuple, list)):
        return tuple(plain(item, turned) for item in value)
    if isinstance(value, float):
        return f"{value:.8g}" if abs(value) > 1e-9 else "0"
    if isinstance(value, str) and turned:
        return swapped(value)
    return value


def told(case, turned=False):
    """Everything that a survey found, in no order."""
    answer = survey(case)
    found = [
        plain((item.rule, item.where, item.severity, item.found, item.in_numbers), turned)
        for item in answer.findings
    ]
    places = [
        plain((item.name, item.height, *sides[:: -1 if turned else 1], item.turns_at), turned)
        for item in answer.places
        for sides in [(item.starboard_down, item.port_down)]
    ]
    return sorted(map(repr, found)), sorted(map(repr, places)), answer.look_at


@pytest.mark.parametrize("name", ROWS)
def test_a_boat_and_her_mirror_image_get_the_same_findings(name, tmp_path):
    raw = patched(ROWS[name]["breaks"])
    assert told(case_of(raw, tmp_path)) == told(case_of(mirrored(raw), tmp_path), turned=True)


@pytest.mark.parametrize("file", CASES, ids=lambda file: file.stem)
def test_a_shipped_boat_and_her_mirror_image_get_the_same_findings(file, tmp_path):
    raw = tomllib.loads(file.read_text(encoding="utf-8"))
    assert told(case_of(raw, tmp_path)) == told(case_of(mirrored(raw), tmp_path), turned=True)


def test_the_mirror_turns_what_it_should():
    raw = {"at": {"aft": "1 m", "starboard": "-0.3 m"}, "bilge_pump": [{"hull": "port"}]}
    turned = mirrored(raw)
    assert turned["at"] == {"aft": "1 m", "starboard": "0.3 m"}
    assert turned["bilge_pump"] == [{"hull": "starboard"}]
    assert mirrored(turned) == raw


def test_a_point_of_a_hose_that_has_no_place_is_asked_for_by_its_hose(tmp_path):
    found = verdicts("suction-flat", {"hose.0.via": [{"height": "-0.56 m"}]}, tmp_path)
    asked = {(item.table, item.thing) for item in found if isinstance(item, Unknown)}
    (hose, *_) = sound_evidence().case.hose
    assert len(asked) == 1
    named = [(table, hose.from_ in thing and hose.to in thing) for table, thing in asked]
    assert named == [("point", True)]


# One seacock is not another.


def test_the_order_of_seacocks_in_the_file_does_not_matter(tmp_path):
    raw = patched({"seacock.0.type": "gate valve", "seacock.1.seen.weeps": True})
    turned = copy.deepcopy(raw)
    turned["seacock"].reverse()
    assert told(case_of(raw, tmp_path)) == told(case_of(turned, tmp_path))


@pytest.mark.parametrize(
    ("cock", "opening"), [("seacock.0", "cooling intake"), ("seacock.1", "topside outlet")]
)
def test_a_missing_seacock_is_missed_on_its_own_opening(cock, opening, tmp_path):
    answer = survey(case_with({f"{cock}.type": "none"}, tmp_path))
    assert {item.where for item in answer.findings} == {opening}


@pytest.mark.parametrize(
    ("cock", "opening"), [("seacock.0", "cooling intake"), ("seacock.1", "topside outlet")]
)
def test_a_seacock_that_is_recorded_convicts_no_other_opening(cock, opening, tmp_path):
    answer = survey(case_with({cock: "drop"}, tmp_path))
    assert not answer.findings
    assert (opening, "seacock") in {(item.thing, item.key) for item in answer.look_at}


@pytest.mark.parametrize("height", ["-0.42 m", "-0.1 m", "0.3 m"])
def test_a_pump_that_is_not_known_is_not_called_centrifugal(height, tmp_path):
    answer = survey(case_with({"pump.0.fitted": "drop", "pump.0.at.height": height}, tmp_path))
    assert not {"pump-not-below-water", "pump-trimmed"} & {item.rule for item in answer.findings}
    assert ("pump", "fitted") in {(item.thing, item.key) for item in answer.look_at}


def test_an_open_valve_costs_what_its_own_bore_and_kind_make_of_the_flow(tmp_path):
    """K v^2 / 2 g, with the K of the valve's row and the bore of each valve."""
    patch = {"seacock.0.type": "gate valve", "seacock.1.type": "gate valve"}
    patch |= {"seacock.0.bore": "22 mm", "seacock.1.bore": "17 mm"}
    evidence = evidence_of(case_with(patch, tmp_path))
    (loop,) = evidence.loops
    flow = loop.run.point.total_flow()[0]
    k = float(evidence.case.catalogue.find("seacocks", "gate valve")[1]["k"])
    found = {item.where: item.in_numbers for item in judged(RULES["gate-valve"], evidence)}
    for name, bore in (("intake seacock", 0.022), ("outlet seacock", 0.017)):
        loss, head = found[name]
        assert loss["coefficient"] == pytest.approx(k)
        velocity = 4.0 * flow / (math.pi * bore**2)
        assert head["head"].value == pytest.approx(k * velocity**2 / (2.0 * G), rel=SETTLED)


# The supply.


@pytest.mark.parametrize("volts", [190, 195, 197, 200, 205, 230, 240, 265, 270, 271, 275])
def test_a_pump_is_offered_and_surveyed_within_its_range_and_no_further(volts, tmp_path):
    """A pump for 230 V may be 15 % above or below what the supply is called."""
    within = abs(230 / volts - 1.0) <= limit("supply_tolerance")
    patch = {"supply.voltage": f"{volts} V", "supply.lowest_voltage": f"{volts} V"}
    (loop,) = evidence_of(
        case_with(patch | {"supply.highest_voltage": f"{volts} V"}, tmp_path)
    ).loops
    assert (loop.part is not None, loop.run is not None) == (within, within)
    alone = {"supply.lowest_voltage": "drop", "supply.highest_voltage": "drop"}
    says = verdicts("pump-supply", {"supply.voltage": f"{volts} V", **alone}, tmp_path)
    assert {type(item) for item in says} == {Kept if within else Breach}


def test_a_pump_for_another_kind_of_current_is_not_run(tmp_path):
    patch = {"supply": {"current": "dc", "voltage": "48 V"}}
    (loop,) = evidence_of(case_with(patch, tmp_path)).loops
    assert loop.run is None
    assert not [
        item for item in judged(RULES["pump-volts"], sound_evidence()) if item == loop.no_pump
    ]


@cache
def ampacity(area):
    """The most that the conductors up to an area carry [A]."""
    return max(row["ampacity"] for row in conductor_sizes("metric") if row["area"] <= area)


def test_a_fuse_that_is_not_there_is_of_no_kind(tmp_path):
    for rated, asked in (("none", set()), ("10 A", {Unknown})):
        patch = {"pump.0.seen.breaker": rated, "pump.0.seen.breaker_kind": "drop"}
        assert {type(item) for item in verdicts("pump-breaker-kind", patch, tmp_path)} == asked


@pytest.mark.parametrize("feeds", ["engine", "toilet"])
def test_no_scoop_is_advised_for_an_opening_that_an_engine_draws_from(feeds, tmp_path):
    """Under way it would press water through the standing engine."""
    patch = {"boat.hull": "motor multihull", "through_hull.0.entry": "flush with grille"}
    patch["through_hull.0.also_feeds"] = [{"name": feeds}]
    (kind,) = {type(item) for item in verdicts("scoop-missing", patch, tmp_path)}
    assert kind is (Kept if feeds == "engine" else Breach)


def test_a_fuse_may_be_what_the_conductor_carries(tmp_path):
    most = ampacity(1.5e-6)
    fine = {"pump.0.seen.breaker": f"{most} A", "pump.0.cable.hot_space": False}
    assert {type(item) for item in verdicts("pump-wire-too-thin", fine, tmp_path)} == {Kept}
    over = {"pump.0.seen.breaker": f"{most + 0.1} A"}
    found, _ = breach("pump-wire-too-thin", over | {"pump.0.cable.hot_space": False}, tmp_path)
    assert found.found["carries"].value == most


def test_where_a_cable_runs_is_asked_for_only_if_that_decides(tmp_path):
    cool, hot = ampacity(1.5e-6), limit("hot_conductor") * ampacity(1.5e-6)
    for rated, kind in ((hot - 0.1, Kept), (hot + 0.1, Unknown), (cool, Unknown), (32, Breach)):
        patch = {"pump.0.seen.breaker": f"{rated} A"}
        assert {type(item) for item in verdicts("pump-wire-too-thin", patch, tmp_path)} == {kind}


def test_a_drop_above_what_any_circuit_may_lose_is_major(tmp_path):
    severities = {}
    for area in (0.2, 0.1, 0.05):
        patch = {"pump.0.cable": {"length": "190 m", "conductor": f"{area} mm2"}}
        found, severity = breach("pump-volts", patch, tmp_path)
        severities[severity] = found.found["share"]
        assert (severity == "major") is (found.found["share"] > 0.10)
    assert set(severities) == {"minor", "major"}


def test_the_drop_of_a_cable_grows_with_its_length_and_three_per_cent_is_allowed(tmp_path):
    thin = {"pump.0.cable.conductor": "0.2 mm2"}
    found = breach("pump-volts", thin | {"pump.0.cable.length": "150 m"}, tmp_path)[0].found
    allowed = 150.0 * 0.03 / found["share"]
    assert found["drop"].value == pytest.approx(found["share"] * 230.0)
    fine = thin | {"pump.0.cable.length": f"{0.999 * allowed:.6f} m"}
    assert {type(item) for item in verdicts("pump-volts", fine, tmp_path)} == {Kept}
    breach("pump-volts", thin | {"pump.0.cable.length": f"{1.001 * allowed:.6f} m"}, tmp_path)


# Numbers of findings, by another route.


def test_what_an_opening_lets_in_is_a_jet(tmp_path):
    """0.61 times the bore's area times the speed of free fall; printed figures leave 0.61 out."""
    found, _ = breach("seacock-missing", {"seacock.0.type": "none"}, tmp_path)
    (flow,) = found.in_numbers
    free = math.pi * 0.025**2 / 4.0 * math.sqrt(2.0 * G * 0.62)
    assert flow["most"].value == pytest.approx(free)
    assert flow["least"].value == pytest.approx(0.61 * free)
    assert flow["depth"].value == 0.62


def test_a_volume_fills_by_what_the_pumps_leave(tmp_path):
    found, _ = breach("bilge-pump-too-small", ROWS["bilge-pump-too-small"]["breaks"], tmp_path)
    stays, fills = found.in_numbers
    left = found.found["most"].value - found.found["capacity"].value
    assert stays["most"].value == pytest.approx(left)
    assert fills["minutes"] == pytest.approx(1.5 / left / 60.0)


def test_an_intake_comes_out_of_the_water_where_the_tangent_says(tmp_path):
    found, _ = breach("intake-emerges", {"through_hull.0.at.starboard": "2.4 m"}, tmp_path)
    (when,) = found.in_numbers
    assert when["heel"].value == pytest.approx(math.atan(0.62 / 2.4), abs=STEP)
    out = 2.4 * math.sin(math.radians(15.0)) - 0.62 * math.cos(math.radians(15.0))
    assert found.found["height"].value == pytest.approx(out)
    assert found.found["upright"].value == 0.62


def test_a_scoop_takes_its_recovery_of_the_head_of_speed(tmp_path):
    head = (6.0 * 1852.0 / 3600.0) ** 2 / (2.0 * G)
    aft, _ = breach("scoop-aft", ROWS["scoop-aft"]["breaks"], tmp_path)
    _, row = sound_evidence().case.catalogue.find("entries", "grilled scoop, facing aft")
    assert row["recovery"] < 0.0
    assert aft.in_numbers[0]["head"].value == pytest.approx(-row["recovery"] * head)
    engine, _ = breach("scoop-on-engine", ROWS["scoop-on-engine"]["breaks"], tmp_path)
    assert engine.in_numbers[0]["head"].value == pytest.approx(head)


def test_the_trunk_carries_the_whole_flow(tmp_path):
    for rule, branches in (("manifold-trunk", (16, 16)), ("shared-outlet-trunk", (19, 16))):
        evidence = evidence_of(case_with(ROWS[rule]["breaks"], tmp_path))
        (found,) = (item for item in judged(RULES[rule], evidence) if isinstance(item, Breach))
        flow = evidence.loops[0].run.point.total_flow()[0]
        (runs,) = found.in_numbers
        speed = 4.0 * flow / (math.pi * 0.013**2)
        assert runs["velocity"].value == pytest.approx(speed, rel=1e-6)  # to what heads settle
        share = 13.0**2 / sum(bore**2 for bore in branches)
        assert found.found["share"] == pytest.approx(share)
        assert found.found["branches"] == 2


def test_a_pump_must_lift_half_as_much_again(tmp_path):
    (loop,) = sound_evidence().loops
    shut_off = float(loop.part.curve.shut_off_head)
    for height, kind in ((shut_off / 1.501, Kept), (shut_off / 1.499, Breach)):
        patch = {"unit.0.at.height": f"{height:.6f} m"}
        assert {type(item) for item in verdicts("starting-head", patch, tmp_path)} == {kind}


VALVE, PLAIN = {"fittings": ["full-bore ball valve"]}, {"fittings": ["hose barb"]}


@pytest.mark.parametrize("where", ["before", "behind", "after the unit", "nowhere"])
def test_a_valve_counts_on_any_hose_of_its_branch_up_to_the_unit(tmp_path, where):
    """The second branch goes through a reducer; a valve behind its unit parts nothing."""
    patch = dict(ROWS["branch-no-valve"]["passes"])
    hose = {"bore": "16 mm", "length": "1 m"}
    ways = {
        "hose.5": {"from": "manifold", "to": "step", **(VALVE if where == "before" else PLAIN)},
        "hose.6": {"from": "step", "to": "second unit", **(VALVE if where == "behind" else PLAIN)},
        "hose.7": {
            "from": "second unit",
            "to": "second outlet",
            **(VALVE if where == "after the unit" else PLAIN),
        },
    }
    patch |= {name: {**hose, **way} for name, way in ways.items()}
    patch |= {"reducer": [{"name": "step", "height": "0.3 m", "bore": "16 mm"}]}
    found = [type(item) for item in verdicts("branch-no-valve", patch, tmp_path)]
    breaches = 0 if where in ("before", "behind") else 1
    assert found.count(Breach) == breaches and found.count(Kept) == 2 - breaches


def chain(count):
    """A patch that puts more units in a chain behind the saloon unit."""
    small = {"height": "0.3 m", "cooling": "5000 BTU/h", "tube": {"bore": "11 mm", "length": "3 m"}}
    names = ["saloon unit", *(f"unit {n}" for n in range(1, count)), "topside outlet"]
    patch = {f"unit.{n}": {"name": names[n], **small} for n in range(1, count)}
    patch |= {"hose.3.to": names[1]}
    for row, (start, end) in enumerate(pairwise(names[1:]), 4):
        patch[f"hose.{row}"] = {"from": start, "to": end, "bore": "19 mm", "length": "1 m"}
    return patch


@pytest.mark.parametrize(("count", "kind"), [(4, Kept), (5, Breach)])
def test_four_units_are_not_too_many(count, kind, tmp_path):
    assert {type(item) for item in verdicts("many-units", chain(count), tmp_path)} == {kind}


def test_a_unit_short_of_water_is_as_grave_as_it_is_short(tmp_path):
    """Major below the least flow, or a fifth below the need; minor above both; kept at the need.

    Where `size` holds more against the pump, over worst cases and simulated days, that comes too.
    """
    rule, met = RULES["flow-below-need"], set()
    for length in (2.4, 20, 30, 40, 60, 90):
        evidence = evidence_of(case_with({"hose.2.length": f"{length} m"}, tmp_path))
        run = evidence.loops[0].run
        item, *by_size = judged(rule, evidence)
        need, gets = run.needs["saloon unit"], run.point.units["saloon unit"].volume_flow[0]
        expected = "major" if gets < need.least or gets < 0.8 * need.flow else "minor"
        expected = "kept" if gets >= 0.99 * need.flow else expected
        found = "kept" if isinstance(item, Kept) else item.severity or rule.severity
        assert found == expected
        if found != "kept":
            assert item.found["share"] == pytest.approx(1.0 - gets / need.flow)
        held = evidence.loops[0].held(SHORT_OF_WATER)
        if held is not None and held.grade == NO:
            assert "major" in [found, *(one.severity for one in by_size)]
        assert held is not None or not by_size
        met.add(found)
    assert met == {"kept", "minor", "major"}
