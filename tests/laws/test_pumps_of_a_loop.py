"""Several pumps in one loop: all are of one kind, and what they give together is told so."""

from itertools import pairwise, permutations

import pytest
from abreast import BOAT, LARGE, boat, hose, pump
from sizing import KETCH, edited, load_text, text_of

from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.model.build import built_with_any
from seaflow.physics.electric.motor import supply_current
from seaflow.physics.pumping.pump import head
from seaflow.present.balance_card import balance_card
from seaflow.present.data import as_data
from seaflow.present.place.card import place_card
from seaflow.present.quantities import Show
from seaflow.present.size.card import size_card
from seaflow.present.size.tables import supply_lines
from seaflow.studies.balance.study import balance
from seaflow.studies.place.study import place
from seaflow.studies.size.curves import boat_curves
from seaflow.studies.size.materials import boat_materials
from seaflow.studies.size.size import size

SMALL = "demo-mag-small-230"


def abreast(*fitted):
    names = [f"P{number}" for number, _ in enumerate(fitted, 1)]
    pumps = [pump(name, part) for name, part in zip(names, fitted, strict=True)]
    return boat(pumps, [*(("chest", name, "T") for name in names), ("T", "U", "out")])


def loaded(tmp_path, text):
    path = tmp_path / "boat.toml"
    path.write_text(text, encoding="utf-8")
    return load_case(str(path)).case


def refused(tmp_path, text):
    with pytest.raises(SeaflowError) as told:
        loaded(tmp_path, text)
    return told.value.problems


@pytest.mark.parametrize("fitted", [*permutations((LARGE, SMALL)), *permutations((LARGE, None))])
def test_pumps_of_one_loop_that_differ_are_refused_in_either_order(tmp_path, fitted):
    text = abreast(*fitted)
    (problem,) = refused(tmp_path, text)
    at = fitted.index(None) if None in fitted else 1
    line = text.split("\n").index(f'name = "P{at + 1}"') + 1
    assert problem.code == "S70" and not problem.warning
    assert problem.line == (line - 1 if None in fitted else line + 2)
    assert f'fitted = "{fitted[0] or LARGE}"' in problem.write


@pytest.mark.parametrize("fitted", [(LARGE, LARGE), (None, None), (LARGE, LARGE, LARGE)])
def test_pumps_of_one_loop_may_be_the_same_or_all_still_to_be_found(tmp_path, fitted):
    assert len(loaded(tmp_path, abreast(*fitted)).pump) == len(fitted)


def test_of_three_each_that_differs_from_the_first_is_told(tmp_path):
    found = refused(tmp_path, abreast(LARGE, SMALL, None))
    assert [problem.code for problem in found] == ["S70", "S70"]


OF_BOAT = '{ current = "ac", voltage = "230 V", frequency = "50 Hz" }'
SUPPLIES = {
    "of the boat": OF_BOAT,
    "twelve": '{ current = "dc", voltage = "12 V" }',
    "sagging": '{ current = "dc", voltage = "12 V", lowest_voltage = "11 V" }',
    "sixty": '{ current = "ac", voltage = "230 V", frequency = "60 Hz" }',
}


def on_supplies(*names):
    """Return a boat with a pump side by side on each supply; None for that of the boat, untold."""
    pumps = [
        pump(f"P{number}", None, f"supply = {SUPPLIES[name]}\n" if name else "")
        for number, name in enumerate(names, 1)
    ]
    runs = [("chest", f"P{number}", "T") for number, _ in enumerate(names, 1)]
    return boat(pumps, [*runs, ("T", "U", "out")])


@pytest.mark.parametrize("told", [*permutations((None, "twelve", "sagging", "sixty"), 2)])
def test_pumps_of_one_loop_on_two_supplies_are_refused_in_either_order(tmp_path, told):
    text = on_supplies(*told)
    (problem,) = refused(tmp_path, text)
    assert problem.code == "S70" and not problem.warning
    name = next(name for name in reversed(told) if name)
    assert text.split("\n")[problem.line - 1] == f"supply = {SUPPLIES[name]}"


@pytest.mark.parametrize("told", [("twelve", "twelve"), (None, "of the boat"), (None, None)])
def test_pumps_of_one_loop_may_be_told_of_one_supply_twice(tmp_path, told):
    case = loaded(tmp_path, on_supplies(*told))
    one, other = (case.on_supply_of(pump).supply for pump in case.pump)
    assert (one.current, one.voltage) == (other.current, other.voltage)


def test_pumps_of_two_loops_may_differ(tmp_path):
    second = (
        BOAT[BOAT.index("[[unit]]") :]
        .replace('"U"', '"U2"')
        .replace('"chest"', '"chest 2"')
        .replace('"out"', '"out 2"')
    )
    text = BOAT + second + pump("P1", LARGE) + pump("P2", SMALL)
    runs = [("chest", "P1", "U", "out"), ("chest 2", "P2", "U2", "out 2")]
    text += "".join(hose(*pair) for run in runs for pair in pairwise(run))
    assert [one.fitted for one in loaded(tmp_path, text).pump] == [LARGE, SMALL]


def test_a_slip_that_may_join_two_loops_is_told_first(tmp_path):
    text = abreast(LARGE, SMALL).replace('to = "U"', 'to = "V"')
    assert "S70" not in {problem.code for problem in refused(tmp_path, text)}


# ------------------------------------------------------------------------- what they are told of


def several(kind, more=""):
    """Return a boat whose one loop has a pump, or two side by side, at one place or in a row."""
    if kind == "abreast":
        return abreast(None, None)
    if kind == "in a row":
        return boat([pump("P1"), pump("P2")], [("chest", "P1", "P2", "U", "out")])
    at_one = "in_parallel = 2\n" if kind == "at one place" else ""
    return boat([pump("P1", None, at_one + more)], [("chest", "P1", "U", "out")])


KINDS = {"one": (1, 1), "abreast": (2, 1), "at one place": (2, 1), "in a row": (1, 2)}


@pytest.mark.parametrize("kind", KINDS)
def test_the_flow_of_a_loop_is_what_its_units_get_and_what_to_buy_is_of_each_pump(tmp_path, kind):
    abreast_, in_a_row = KINDS[kind]
    case = loaded(tmp_path, several(kind))
    (loop,) = size(case, 0).loops
    built = built_with_any(case, network.loops(case)[0])
    assert (built.loop.n_pumps, built.loop.pumps_in_a_row) == (abreast_ * in_a_row, in_a_row)
    for result in loop.pumps:
        for at in result.at:
            assert at.flow == pytest.approx(sum(unit.flow for unit in at.units), rel=1e-6)
    assert loop.asks.flow * abreast_ == pytest.approx(loop.heads.flow)
    assert loop.asks.head * in_a_row == pytest.approx(loop.heads.head)


def test_pumps_in_a_row_add_their_heads(tmp_path):
    """Either bears the whole flow on its own curve, and the loop has the head of both."""
    (loop,) = size(loaded(tmp_path, several("in a row")), 0).loops
    for result in loop.pumps:
        at = result.design
        one = head(result.part.curve, at.flow, at.speed_ratio)
        assert at.head == pytest.approx(2.0 * one, rel=1e-6)


def test_pumps_that_share_a_chest_are_each_asked_what_the_hungrier_unit_needs(tmp_path):
    units = '[[unit]]\nname = "V"\ncooling = "6000 BTU/h"\nheight = "-0.6 m"\n'
    units += '[[outlet]]\nname = "out 2"\nheight = "-0.2 m"\nbore = "19 mm"\n'
    runs = [("chest", "P1", "U", "out"), ("chest", "P2", "V", "out 2")]
    for ways in (runs, runs[::-1]):
        text = units + boat([pump("P1"), pump("P2")], ways).replace("schema = 1", "")
        (loop,) = size(loaded(tmp_path, "schema = 1\n" + text), 0).loops
        needs = {need.name: need.flow for need in loop.needs}
        assert loop.asks.flow == pytest.approx(needs["U"])
        assert loop.heads.flow == pytest.approx(needs["U"] + needs["V"])


@pytest.mark.parametrize("kind", KINDS)
def test_card_and_bill_say_each_and_together_of_several_pumps_alone(tmp_path, kind):
    case = loaded(tmp_path, several(kind))
    answer, show = size(case, 0), Show()
    blocks = size_card(answer, show).blocks
    card = " ".join(text for block in blocks if block for text in block.says)
    assert ("2 pumps that each give at least" in card) == (kind != "one")
    assert ("The 2 pumps together give" in card) == (kind != "one")
    assert ("A pump that gives" in card and "It gives" in card) == (kind == "one")
    (bill,) = boat_materials(case, answer)
    lines = [(show.sentence(item.what), item) for item in bill.items if item.kind == "pump"]
    ((said, line),) = (one for one in lines if "at least" in one[0])
    assert (line.count or 1) == (1 if kind == "one" else 2)
    assert ("each at least" in said) == (kind != "one")
    tails = [
        item
        for item in bill.items
        if item.kind == "tail" and "pump you buy" in show.sentence(item.what)
    ]
    assert sum(item.count for item in tails) == 2 * (1 if kind == "one" else 2)
    assert show.sentence(answer.loops[0].verdict.runs_at).endswith("together") == (kind != "one")
    told = [note.kind for note in answer.loops[0].notes]
    assert ("size.several_pumps" in told) == (kind != "one")


def test_where_pumps_stand_at_one_place_its_line_is_held_to_what_all_of_them_must_give(tmp_path):
    case = loaded(tmp_path, several("at one place"))
    answer = size(case, 0)
    (drawn,), (loop,) = boat_curves(case, answer), answer.loops
    assert drawn.buy.flow == pytest.approx(2.0 * loop.asks.flow)
    assert drawn.buy.head == loop.asks.head


def said_of(made):
    return " ".join(text for block in made.blocks if block for text in block.says)


@pytest.mark.parametrize("count", [1, 2])
def test_every_question_tells_the_flow_of_one_loop_as_of_as_many_pumps(tmp_path, count):
    old = 'name = "pump"\n'
    text = edited(text_of(KETCH), (old, f"{old}in_parallel = {count}\n"))
    case, show = load_text(tmp_path, text), Show()
    (sized,), (placed,) = size(case, 0).loops, place(case).pumps
    here = next(one for one in placed.places if one.stands_now)
    runs = next(item for item in sized.pumps if item.part.name == placed.part.name)
    assert (here.water.n_pumps, runs.n_pumps) == (count, count)
    assert here.water.flow == pytest.approx(runs.design.flow)
    cards = [size_card(size(case, 0), show), place_card(place(case), show)]
    cards += [balance_card(balance(case), show)]
    for made in cards:
        text = said_of(made).lower()
        assert (f"the {count} pumps together give" in text, "it gives" in text) == (
            count > 1,
            count == 1,
        )
    notes = [note.kind for note in placed.cost_notes]
    assert ("place.several_pumps" in notes) == (count > 1)


@pytest.mark.parametrize("kind", KINDS)
def test_data_count_the_pumps_that_figures_are_of(tmp_path, kind):
    answer = size(loaded(tmp_path, several(kind)), 0)
    (loop,) = as_data(answer)["loops"]
    count = KINDS[kind][0] * KINDS[kind][1]
    assert {item["n_pumps"] for item in loop["pumps"]} == {count} == {loop["asks"]["n_pumps"]}
    assert loop["supply"]["n_pumps"] == (2 if kind == "at one place" else 1)  # on the one cable


# ---------------------------------------------------------------------------------------- amps


def amps_of_one(result):
    """Return the amps of one pump by its share of the watts, or by its plate if that is more."""
    part, watts = result.part, result.design.power / result.n_pumps
    rated = max(watts, part.power[-1][1])
    return float(supply_current(part.motor, rated, 230.0, part.power_factor))


@pytest.mark.parametrize("kind", KINDS)
def test_each_breaker_goes_by_the_pumps_behind_it(tmp_path, kind):
    case = loaded(tmp_path, several(kind))
    answer, show = size(case, 0), Show()
    (loop,) = answer.loops
    one, on_cable = amps_of_one(loop.chosen), 2 if kind == "at one place" else 1
    assert loop.supply.n_pumps == on_cable
    assert loop.supply.current == pytest.approx(on_cable * one)
    (bill,) = boat_materials(case, answer)
    lines = [item for item in bill.items if item.kind == "protection"]
    told = " ".join(show.sentence(item.what) for item in lines)
    assert f"above {show('current', loop.supply.current)}" in told
    assert f"above {show('current', one)}" in told
    assert ("feeds the 2 pumps" in told) == (on_cable == 2)
    own = [item.count for item in lines if "feeds the" not in show.sentence(item.what)]
    assert sum(own) == loop.chosen.n_pumps
    text = " ".join(" ".join(supply_lines(loop.supply, loop.chosen.n_pumps, show)).split())
    assert ("2 pumps on one cable" in text) == (on_cable == 2)
    assert ("of one of the 2 pumps" in text) == (kind in ("abreast", "in a row"))
