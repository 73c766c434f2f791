"""What the card of `size` tells to buy: a pump that just gives it is enough, a weaker one is not.

The figure is sought on simulated days with a pump of which it alone is known; here a pump is made
to it, whatever the shape of its curve, or told so on the command line, and judged as any other.
"""

import json
import math
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner
from sizing import BAD

from seaflow.base.facts import Fact
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.boat.parts.own_parts import load_parts
from seaflow.boats import typical
from seaflow.cli.main import main
from seaflow.present.card import card_data
from seaflow.present.faces import faces_of
from seaflow.present.page.page import size_html
from seaflow.present.quantities import Show
from seaflow.studies.design.limits import limit
from seaflow.studies.page.study import size_page
from seaflow.studies.size.curves import boat_curves
from seaflow.studies.size.materials import boat_materials
from seaflow.studies.size.size import size

CASES = sorted(Path(__file__).parents[2].joinpath("cases").glob("*.toml"))
# Share of open flow at which the pump gives what is asked, and the exponent of its curve.
SHAPES = [(0.4, 1.6), (0.55, 2.0), (0.7, 2.0)]
WEAKER = 0.9  # of flow and head
SAME = 1e-9  # relative: the same figure, whichever pump is aboard or named
THREE = ("16000 BTU/h", "12000 BTU/h", "9000 BTU/h")
TYPICAL = [
    ("sailing monohull, 12 m", ("16000 BTU/h",), "230 V 50 Hz", "29 degC"),
    ("sailing monohull, 15 m", THREE, "230 V 50 Hz", "29 degC"),
    ("sailing monohull, 15 m", THREE, "24 V DC", "29 degC"),
    ("motor yacht, 36 ft", ("16000 BTU/h",), "115 V 60 Hz", "86 degF"),
    ("sailing catamaran, 12 m", ("12000 BTU/h", "12000 BTU/h"), "12 V DC", "28 degC"),
]


@cache
def sized(file):
    return size(load_case(str(file)).case)


def asked():
    """Every loop but of the boat that stays a no whatever pump is bought."""
    return [
        pytest.param(file, loop.name, id=f"{file.stem}-{loop.name}")
        for file in CASES
        if file.stem != BAD
        for loop in network.loops(load_case(str(file)).case)
    ]


def sheet(case, asks, factor, shape):
    share, exponent = shape
    flow, head = factor * asks.flow / share, factor * asks.head / (1.0 - share**exponent)
    hertz = f'frequency = "{case.supply.frequency:g} Hz"' if case.supply.frequency else ""
    return f"""schema = 1
[[pump]]
name = "bought"
source = "made for a test"
type = "magnet-drive centrifugal"
supply = "{case.supply.current}"
voltage = "{case.supply.voltage:g} V"
{hertz}
shut_off_head = "{head:.6g} m +/- 0.01 %"
free_flow = "{60e3 * flow:.6g} L/min +/- 0.01 %"
exponent = {exponent}
power = "100 W"
duty = "continuous"
inlet = "{1e3 * asks.port:g} mm"
self_priming = true
"""


def with_pump(folder, file, name, factor, shape):
    """The pump made to what a loop asks, as judged in that loop."""
    asks = next(loop.asks for loop in sized(file).loops if loop.name == name)
    path = folder / "bought.toml"
    path.write_text(sheet(load_case(str(file)).case, asks, factor, shape), encoding="utf-8")
    case = load_case(str(file), load_parts((str(path),)).catalogue).case
    case = replace(case, design=replace(case.design, pumps=("bought",)))
    loop = next(loop for loop in size(case).loops if loop.name == name)
    return next(item for item in loop.pumps if item.part.name == "bought")


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize(("file", "name"), asked())
def test_a_pump_that_just_gives_what_is_asked_is_a_yes(tmp_path, file, name, shape):
    judgement = with_pump(tmp_path, file, name, 1.0, shape).judgement
    assert judgement.grade == "yes", judgement.rulings
    assert judgement.keeps_rise >= limit("likely_enough")


def told(file, name, factor):
    """How a pump of which a loop's figure alone is told, times a factor, does by the command."""
    asks = next(loop.asks for loop in sized(file).loops if loop.name == name)
    point = f"{60e3 * factor * asks.flow:.6g} L/min at {factor * asks.head:.6g} m"
    result = CliRunner().invoke(main, ["size", str(file), "--pump", point, "--json"])
    data = json.loads(result.stdout)
    loop = next(loop for loop in data["loops"] if loop["name"] == name)
    assert loop["asks"]["flow"]["value"] == pytest.approx(asks.flow, rel=SAME)
    return loop["certainty"]["pumps"][0]


@pytest.mark.parametrize(("file", "name"), asked())
def test_one_of_which_that_alone_is_told_is_as_good_as_promised_and_no_weaker_one(file, name):
    found, weaker = told(file, name, 1.0), told(file, name, WEAKER)
    enough = limit("likely_enough")
    assert found["keeps_rise"]["value"] >= enough - found["error"]["value"]
    assert weaker["keeps_rise"]["value"] < enough - weaker["error"]["value"]


@pytest.mark.parametrize("words", TYPICAL)
def test_on_typical_boats_too(words):
    boat, units, supply, sea = words
    case = typical(boat, unit=units, supply=supply, sea=sea)
    for loop in size(case).loops:
        asks = loop.asks
        point = f"{60e3 * asks.flow:.6g} L/min at {asks.head:.6g} m"
        again = size(typical(boat, unit=units, supply=supply, sea=sea, pump=point))
        mine = next(one for one in again.loops if one.name == loop.name)
        (found,) = (it for it in mine.certainty.pumps if it.pump == "a pump of these figures")
        assert found.keeps_rise >= limit("likely_enough") - found.error
        assert mine.asks.flow == pytest.approx(asks.flow, rel=SAME)  # whichever is fitted
        assert mine.asks.head == pytest.approx(asks.head, rel=SAME)


@pytest.mark.parametrize(("file", "name"), asked())
def test_it_is_never_less_than_the_design_needs_nor_more_than_is_allowed(file, name):
    loop = next(loop for loop in sized(file).loops if loop.name == name)
    assert loop.asks.flow >= loop.flow_needed and loop.asks.head >= loop.heads.head
    assert loop.asks.most is None or loop.asks.flow < loop.asks.most


@pytest.mark.parametrize("pump", [None, "demo-mag-small-230", "demo-pedestal-230"])
def test_card_page_and_bill_ask_one_figure_whichever_pump_is_named(pump):
    words = {"unit": THREE, "supply": "230 V 50 Hz", "sea": "29 degC"}
    case = typical("sailing monohull, 15 m", **words)
    (plain,) = size(case).loops
    case = typical("sailing monohull, 15 m", **words, pump=pump) if pump else case
    answer = size(case)
    (loop,), (curves,) = answer.loops, boat_curves(case, answer)
    figure = (plain.asks.flow, plain.asks.head)
    assert (loop.asks.flow, loop.asks.head) == pytest.approx(figure, rel=SAME)
    clean = (loop.asks.clean_flow, loop.asks.clean_head)
    assert (curves.asked.flow, curves.asked.head) == pytest.approx(clean, rel=SAME)
    assert loop.flow_needed < clean[0] < figure[0]
    (bill,) = boat_materials(case, answer)
    asked = next(item.what for item in bill.items if item.kind == "pump")
    assert dict(leaves(asked)) == pytest.approx(dict(zip(("flow", "head"), figure, strict=True)))
    card = json.dumps(card_data(faces_of("size", case).card(answer, Show())))
    page = both_texts(case, answer)
    for text in (f"{upward(6e4 * figure[0], 1)} L/min", f"{upward(figure[1], 2)} m"):
        assert text in card and text in page
    assert "share it unevenly" in page


def upward(value, digits):
    """A number as it is shown where less would not be enough."""
    return f"{math.ceil(value * 10**digits) / 10**digits:.{digits}f}"


def both_texts(case, answer):
    """The page of what size answers, without its tags."""
    page = size_html(case, size_page(case, answer), "metric")
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def leaves(said):
    """The flow and the head in a fact, at any depth."""
    for name, value in said.values:
        if isinstance(value, Fact):
            yield from leaves(value)
        elif name in ("flow", "head"):
            yield name, value.value


def test_of_a_loop_that_must_be_changed_first_nothing_is_asked_anywhere():
    file = next(file for file in CASES if file.stem == BAD)
    case, answer = load_case(str(file)).case, sized(file)
    assert answer.loops[0].asks is None
    (bill,) = boat_materials(case, answer)
    kinds = [item.what.kind for item in bill.items if item.kind == "pump"]
    assert kinds[0] == "materials.no_pump_is_enough"
    card = faces_of("size", case).card(answer, Show())
    assert "Buy" not in [one.label for one in card.blocks]
    assert "Nothing to ask of a pump before the loop itself is changed" in both_texts(case, answer)


@pytest.mark.parametrize(("file", "name"), asked())
def test_why_more_is_asked_than_the_loop_needs_all_clean(file, name):
    loop = next(loop for loop in sized(file).loops if loop.name == name)
    why, curves = loop.asks.why, boat_curves(load_case(str(file)).case, sized(file))
    drawn = next(item for item in curves if item.loop == name).asked
    is_uneven = drawn.flow > 1.01 * sum(need.flow for need in loop.needs)
    assert is_uneven == (len(loop.needs) > 2)
    assert (why is not None) == (is_uneven or loop.asks.head >= 1.5 * drawn.head)
    if why is not None:
        assert why.kind == "size.why_more"
        assert (why["flow"].value, why["head"].value) == pytest.approx((drawn.flow, drawn.head))
        assert is_uneven == (why["uneven"].kind == "size.uneven")
    assert loop.asks.flow >= drawn.flow and loop.asks.head > drawn.head
    case = load_case(str(file)).case
    plain = next(one for one in size(case, 0).loops if one.name == name).asks
    assert plain.why is None and plain.days is None
    assert (plain.flow, plain.head) == pytest.approx((drawn.flow, drawn.head))


def test_many_days_ask_for_what_as_many_as_are_looked_at_do():
    """Beyond two thousand days no more are run for what to buy."""
    file = next(file for file in CASES if file.stem == "ketch-one-unit")
    case = load_case(str(file)).case
    (many,), (some,), (few,) = (size(case, days).loops for days in (2500, 2000, 512))
    assert (many.asks.flow, many.asks.head) == (some.asks.flow, some.asks.head)
    assert few.asks.flow != some.asks.flow
    assert few.asks.head == pytest.approx(some.asks.head, rel=0.05)
