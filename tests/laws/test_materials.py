"""The bill of materials: its sums, its units, what is aboard, and what it asks."""

import random
import tomllib
from collections import Counter, defaultdict
from dataclasses import replace

import pytest
from disguise import can_be_split, in_other_units, read, reordered, split_hose, with_barbs, written
from sizing import BAD, CATAMARAN, KETCH, MOTOR, NAMES, SLOOP, load_text, path_of, shipped, sized

from seaflow.base.facts import amount, fact
from seaflow.base.measured import unit_of
from seaflow.base.units import read_quantity
from seaflow.boat.network import loops
from seaflow.physics.electric.wiring import largest_fuse
from seaflow.studies.size.item import KINDS, Item, merged
from seaflow.studies.size.materials import boat_materials
from seaflow.studies.size.size import size
from seaflow.studies.survey.delivery import clamps_too_few
from seaflow.studies.survey.gathered import evidence_of
from seaflow.studies.survey.rules import Breach

ROUNDING = 1e-9  # relative, of sums in another order
SLACK = 1.1  # of the metres: the limit hose_slack


def listed(case, samples=0):
    return {one.loop: one.items for one in boat_materials(case, size(case, samples))}


def shipped_list(name):
    return {one.loop: one.items for one in boat_materials(shipped(name), sized(name))}


def of_kind(items, kind):
    return [item for item in items if item.kind == kind]


def metres(items):
    """Metres of hose as they lie, by bore to a tenth of a millimetre."""
    found = defaultdict(float)
    for item in of_kind(items, "hose"):
        found[round(item.bore, 4)] += item.length
    return dict(found)


def flat(lists):
    return [item for items in lists.values() for item in items]


def of_raw(tmp_path, raw):
    return listed(load_text(tmp_path, written(raw)))


# ---------------------------------------------------------------------------------------- hose


@pytest.mark.parametrize("name", NAMES)
def test_the_metres_are_those_of_the_hoses_of_the_case(name):
    raw, found = read(path_of(name)), defaultdict(float)
    for hose in raw["hose"]:
        found[round(read_quantity(hose["bore"], "m"), 4)] += read_quantity(hose["length"], "m")
    told = metres(flat(shipped_list(name)))
    assert told == pytest.approx(found, rel=ROUNDING)
    for item in of_kind(flat(shipped_list(name)), "hose"):
        assert item.to_cut == pytest.approx(SLACK * item.length)


@pytest.mark.parametrize("name", [KETCH, MOTOR, BAD])
def test_a_hose_told_as_two_gives_the_same_metres_and_clamps(name, tmp_path):
    raw = with_barbs(read(path_of(name)))
    before = flat(of_raw(tmp_path, raw))
    rows = [row for row in range(len(raw["hose"])) if can_be_split(raw, row)]
    assert rows
    for row in rows[:3]:
        after = flat(of_raw(tmp_path, split_hose(raw, row)))
        assert metres(after) == pytest.approx(metres(before), rel=ROUNDING)
        clamps = [sum(item.count for item in of_kind(one, "clamp")) for one in (before, after)]
        # a joint that floods is held by two clamps a barb where a dry end was held by one
        assert clamps[1] >= clamps[0]
        assert sum(item.count for item in of_kind(after, "adapter")) == 1 + sum(
            item.count for item in of_kind(before, "adapter")
        )


def test_the_same_boat_in_other_units_and_order_has_the_same_list(tmp_path):
    raw, rng = read(path_of(MOTOR)), random.Random(5)
    other = reordered(in_other_units(raw, rng.choice), lambda items: rng.sample(items, len(items)))
    one, told = (flat(of_raw(tmp_path, boat)) for boat in (raw, other))
    key = lambda item: (item.kind, item.what.kind, round(item.bore or 0.0, 4), item.count or 0)  # noqa: E731
    assert sorted(map(key, one)) == sorted(map(key, told))
    assert metres(one) == pytest.approx(metres(told), rel=1e-6)


# ------------------------------------------------------------------------------ clamps, seacocks


def test_one_size_in_two_units_is_one_line():
    def hose(bore):
        what = fact("materials.hose", bore=amount("bore", bore), hose="smooth")
        return Item("hose", what, ("a",), length=1.0, bore=bore)

    (one, other) = merged([hose(0.01905), hose(0.019), hose(0.0254)])
    assert (one.bore, one.length, other.bore, other.length) == (0.0254, 1.0, 0.01905, 2.0)


@pytest.mark.parametrize("name", NAMES)
def test_a_boat_clamped_by_its_list_breaks_no_rule_of_the_survey(name, tmp_path):
    raw = read(path_of(name))
    items = flat(shipped_list(name))
    per_barb = {
        label: 2 if item.rule.kind == "materials.two_clamps" else 1
        for item in of_kind(items, "clamp")
        for label in item.where
    }
    case = shipped(name)
    for hose, row in zip(case.hose, raw["hose"], strict=True):
        row.setdefault("seen", {})["clamps_at_each_end"] = per_barb[hose.label]
    other = load_text(tmp_path, written(raw))
    assert not [v for v in clamps_too_few(evidence_of(other)) if isinstance(v, Breach)]
    wanting = {hose.label for hose in case.hose if evidence_of(case).floods(hose) is not False}
    assert {label for label, each in per_barb.items() if each == 2} == wanting


@pytest.mark.parametrize("name", (KETCH, MOTOR, CATAMARAN, SLOOP))
def test_each_seacock_of_the_boat_is_one_on_the_list(name):
    wanted = Counter(cock.name for cock in shipped(name).seacock)
    on_it = [item for item in of_kind(flat(shipped_list(name)), "seacock") if item.bore]
    told = Counter(where for item in on_it for where in item.where if where in wanted)
    assert told == wanted
    assert sum(item.count for item in on_it if set(item.where) <= set(wanted)) == len(wanted)


def test_a_seacock_that_the_survey_misses_is_on_the_list_to_buy():
    (wanted,) = [
        item
        for item in of_kind(flat(shipped_list(BAD)), "seacock")
        if item.what.kind == "materials.seacock_wanted"
    ]
    assert wanted.where == ("outlet",)
    assert wanted.aboard is False
    assert wanted.rule.kind == "materials.survey_finds"


def test_an_opening_without_record_of_a_seacock_is_a_question(tmp_path):
    raw = read(path_of(KETCH))
    raw["seacock"] = [cock for cock in raw["seacock"] if cock["name"] != "intake seacock"]
    found = [i for i in flat(of_raw(tmp_path, raw)) if i.where == ("cooling intake",)]
    asked = [item.question.kind for item in found if item.question is not None]
    assert asked == ["materials.is_there_a_seacock"]


# ------------------------------------------------------------------------------- what is aboard


def test_what_was_seen_is_aboard_and_a_pump_that_stays_is_not_bought_twice():
    for item in flat(shipped_list(SLOOP)):
        if item.kind in ("hose", "pump", "strainer", "seacock", "outlet", "through_hull"):
            assert item.aboard is True, item
    found = flat(listed(shipped(KETCH), 64))  # the season speaks against the pump fitted there
    (pump,) = [i for i in of_kind(found, "pump") if i.aboard is False]
    assert pump.rule.kind == "materials.invented"


def test_without_any_record_nothing_is_aboard(tmp_path):
    raw = read(path_of(KETCH))
    for table in ("through_hull", "seacock", "strainer", "pump", "unit", "outlet", "hose"):
        for row in raw[table]:
            row.pop("seen", None)
            row.pop("fitted", None)
            row.pop("cable", None) if table == "pump" else None
    items = flat(of_raw(tmp_path, raw))
    assert not [item for item in items if item.aboard]
    assert metres(items) == pytest.approx(metres(flat(shipped_list(KETCH))))


def test_a_pump_that_fails_is_to_be_bought_though_one_is_fitted():
    answer, asks = sized(BAD), sized(KETCH).loops[0].asks
    (loop,) = answer.loops
    assert loop.asks is None  # of her nothing can be asked before the loop is changed
    for asked, aboard, kind in ((None, None, "no_pump_is_enough"), (asks, False, None)):
        again = replace(answer, loops=(replace(loop, asks=asked),))
        (found,) = boat_materials(shipped(BAD), again)
        pumps = [i for i in of_kind(found.items, "pump") if i.what.kind != "materials.dry_run"]
        assert [item.aboard for item in pumps] == [aboard]
        assert [item.rule.kind for item in pumps] == ["materials.fitted_does_not"]
        assert kind is None or [it.what.kind for it in pumps] == [f"materials.{kind}"]


# ------------------------------------------------------------------------------------ the pump


def inside(fact, kind):
    """The fact of a kind inside another."""
    while fact.kind != kind:
        fact = fact["pump"]
    return fact


def test_the_pump_is_asked_for_what_the_only_unit_needs():
    (pump,) = [i for i in of_kind(flat(shipped_list(KETCH)), "pump") if i.rule is not None]
    (loop,) = sized(KETCH).loops
    assert inside(pump.what, "materials.pump")["flow"].value == pytest.approx(loop.needs[0].flow)
    most = inside(pump.what, "materials.pump_at_most")["most"].value
    assert most == pytest.approx(loop.needs[0].most)
    # published by nobody: the head the loop costs at that flow is that of the list of heads,
    # but for the speed at which the sweep settles it
    head = inside(pump.what, "materials.pump")["head"].value
    assert head == pytest.approx(loop.heads.head, rel=1e-3)


def test_a_pump_place_above_the_water_asks_for_a_self_priming_pump(tmp_path):
    raw = read(path_of(KETCH))
    raw["pump"][0]["at"]["height"] = "0.3 m"
    pump = next(i for i in of_kind(flat(of_raw(tmp_path, raw)), "pump") if i.rule is not None)
    assert pump.what.kind == "materials.self_priming"
    assert (
        next(i for i in of_kind(flat(shipped_list(KETCH)), "pump") if i.rule is not None).what.kind
        == "materials.any_priming"
    )


def test_each_loop_has_a_list_of_its_own_and_no_part_of_another():
    lists = shipped_list(CATAMARAN)
    assert list(lists) == ["port hull", "starboard hull"]
    for one, found in zip(lists.values(), loops(shipped(CATAMARAN)), strict=True):
        ours = {*found.things, *(hose.label for hose in found.hoses)}
        ours |= {cock.name for cock in shipped(CATAMARAN).seacock if cock.on in found.things}
        assert {name for item in one for name in item.where} <= ours
    port, starboard = lists.values()
    assert {i.bore for i in of_kind(port, "strainer")} != {
        i.bore for i in of_kind(starboard, "strainer")
    }


def test_a_manifold_is_listed_with_the_hoses_on_it():
    found = of_kind(flat(shipped_list(MOTOR)), "manifold")
    assert sorted(item.what.kind for item in found) == ["materials.manifold", "materials.tee"]
    manifold = next(item for item in found if item.what.kind == "materials.manifold")
    ends = sorted(round(1e3 * size["bore"].value) for size in manifold.what["ends"])
    assert ends == [16, 19, 19, 32]


# ---------------------------------------------------------------------------- cable and breaker


@pytest.mark.parametrize("name", NAMES)
def test_a_breaker_lies_between_what_the_pump_draws_and_what_its_conductor_allows(name):
    for loop in sized(name).loops:
        (item,) = of_kind(shipped_list(name)[loop.name], "protection")
        assert item.what["least"].value == pytest.approx(loop.supply.current)
        rule = item.rule
        while rule.kind != "materials.protection_rule":
            rule = rule["rule"]
        most = largest_fuse(rule["carries"].value, shipped(name).supply.voltage)
        assert item.what["most"].value == pytest.approx(most)
        assert item.what["most"].value > item.what["least"].value


@pytest.mark.parametrize("name", [KETCH, SLOOP])
def test_a_breaker_is_aboard_if_it_carries_the_pump_and_its_conductor_bears_it(name, tmp_path):
    """Above what the pump draws and up to the largest fuse of the conductor, to the last bit."""
    (item,) = of_kind(flat(shipped_list(name)), "protection")
    least, most = item.what["least"].value, item.what["most"].value
    tried = {least: False, least + 0.01: True, most: True, most + 0.01: False}
    for rated, fits in tried.items():
        raw = read(path_of(name))
        raw["pump"][0].setdefault("seen", {})["breaker"] = f"{rated!r} A"
        (again,) = of_kind(flat(of_raw(tmp_path, raw)), "protection")
        assert again.aboard is fits
        kind = "breaker_fits" if fits else "breaker_does_not_fit"
        assert again.rule.kind == f"materials.{kind}"
        assert again.rule["rated"].value == rated
        assert again.what["most"].value == most


def test_a_cable_runs_out_and_back_and_ends_in_terminals():
    for name, cores in ((KETCH, 3), (SLOOP, 2)):
        (pump,) = shipped(name).pump
        (cable,) = of_kind(flat(shipped_list(name)), "cable")
        (terminals,) = of_kind(flat(shipped_list(name)), "terminal")
        assert cable.length == pump.cable.length
        assert cable.what["both"].value == pytest.approx(2.0 * pump.cable.length)
        assert terminals.count == 2 * cores


def test_a_case_without_electrics_asks_for_the_cable(tmp_path):
    raw = read(path_of(KETCH))
    del raw["pump"][0]["cable"], raw["pump"][0]["seen"]
    items = flat(of_raw(tmp_path, raw))
    (cable,), (breaker,) = of_kind(items, "cable"), of_kind(items, "protection")
    assert cable.question.kind == "materials.cable_length"
    assert breaker.question.kind == "materials.protection_needs_cable"
    assert cable.length is None
    assert not of_kind(items, "terminal")


def test_an_unknown_conductor_gives_the_one_due_and_no_claim_that_it_is_aboard(tmp_path):
    raw = read(path_of(KETCH))
    del raw["pump"][0]["cable"]["conductor"]
    (cable,) = of_kind(flat(of_raw(tmp_path, raw)), "cable")
    assert cable.aboard is None
    assert cable.rule.kind == "materials.cable_set_by"


# ------------------------------------------------------------------------------ what it asks for


def test_what_is_not_recorded_is_a_question(tmp_path):
    raw = read(path_of(KETCH))
    del raw["strainer"][0]["model"]
    raw["strainer"][0]["port"] = "25 mm"
    for hose in raw["hose"]:
        hose.pop("seen")
        hose.pop("kind", None)
    raw["seacock"][0].pop("type")
    asked = {i.question.kind for i in flat(of_raw(tmp_path, raw)) if i.question is not None}
    assert {"materials.basket", "materials.which_hose", "materials.which_seacock"} <= asked


def test_without_heights_two_clamps_are_counted_and_asked_about(tmp_path):
    text = path_of(KETCH).read_text(encoding="utf-8")
    raw = tomllib.loads(text)
    for row in (raw["unit"][0], raw["outlet"][0]):
        height = row.pop("at")["height"]
        if row is raw["outlet"][0]:
            row["height"] = height  # an outlet needs one
    raw["boat"].pop("works_to_heel")
    clamps = of_kind(flat(of_raw(tmp_path, raw)), "clamp")
    asked = [item for item in clamps if item.question is not None]
    assert asked
    for item in asked:
        assert item.question.kind == "materials.does_it_flood"
        assert item.rule.kind == "materials.two_clamps"


# -------------------------------------------------------------------------------- units and order


def test_every_number_of_an_item_has_its_unit():
    assert {name: unit_of(Item, name) for name in ("length", "to_cut", "bore")} == dict.fromkeys(
        ("length", "to_cut", "bore"), "m"
    )


@pytest.mark.parametrize("name", NAMES)
def test_kinds_come_in_order_and_like_lines_are_one(name):
    for items in shipped_list(name).values():
        numbers = [KINDS.index(item.kind) for item in items]
        assert numbers == sorted(numbers)
        keys = [(item.what, item.aboard, item.rule, item.question) for item in items]
        assert len(keys) == len(set(keys))


def test_without_a_pump_for_the_supply_the_list_still_says_what_to_ask_for(tmp_path):
    raw = read(path_of(KETCH))
    raw["supply"] = {"current": "dc", "voltage": "48 V"}
    raw.pop("design", None)
    raw["pump"][0].pop("fitted")
    case = load_text(tmp_path, written(raw))
    answer = size(case, 0)
    assert answer.loops[0].chosen is None
    (pump,) = of_kind(flat({one.loop: one.items for one in boat_materials(case, answer)}), "pump")
    assert inside(pump.what, "materials.pump")["flow"].value == answer.loops[0].heads.flow
    assert metres(flat(of_raw(tmp_path, raw))) == metres(flat(shipped_list(KETCH)))


def test_a_pump_that_no_table_has_is_not_put_on_the_list_to_buy():
    answer = sized(KETCH)
    (loop,) = answer.loops
    out_of_reach = replace(loop, asks=replace(loop.asks, in_reach=False))
    (found,) = boat_materials(shipped(KETCH), replace(answer, loops=(out_of_reach,)))
    pump = of_kind(found.items, "pump")[0]
    assert pump.what.kind == "materials.no_pump_gives" and pump.aboard is None


def test_the_vent_of_a_sea_chest_is_asked_for_unless_it_was_looked_at(tmp_path):
    for seen, asks in ((", vented = true", 0), (", vented = false", 0), ("", 1)):
        text = path_of(MOTOR).read_text("utf-8").replace(", vented = true", seen)
        case = load_text(tmp_path, text)
        vents = of_kind(flat(listed(case)), "vent")
        of_chest = [item for item in vents if item.where == ("sea chest",)]
        assert len(of_chest) == asks
        assert all(item.question is not None for item in of_chest)


def test_terminals_are_aboard_where_they_were_seen_crimped_on_a_cable_that_carries(tmp_path):
    for seen, aboard in (("crimped = true", True), ("crimped = false", None)):
        text = path_of(CATAMARAN).read_text("utf-8").replace("crimped = true", seen)
        items = flat(listed(load_text(tmp_path, text)))
        assert {item.aboard for item in of_kind(items, "terminal")} == {aboard}
