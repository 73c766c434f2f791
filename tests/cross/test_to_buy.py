"""What the card of `size` tells to buy: a pump that just gives it is enough, a weaker one is not.

The figure is reached by scaling simulated days; here a pump is made to it, whatever the shape of
its curve, and run through the whole judgement.
"""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from sizing import BAD

from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.boat.parts.own_parts import load_parts
from seaflow.studies.design.limits import limit
from seaflow.studies.size.size import size

CASES = sorted(Path(__file__).parents[2].joinpath("cases").glob("*.toml"))
# Share of open flow at which the pump gives what is asked, and the exponent of its curve.
SHAPES = [(0.4, 1.6), (0.55, 2.0), (0.7, 2.0)]
WEAKER = 0.9  # of flow and head


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


@pytest.mark.parametrize(("file", "name"), asked())
def test_one_a_tenth_weaker_is_not_enough(tmp_path, file, name):
    judgement = with_pump(tmp_path, file, name, WEAKER, SHAPES[0]).judgement
    assert judgement.grade == "tight"
    assert judgement.keeps_rise < limit("likely_enough")


@pytest.mark.parametrize(("file", "name"), asked())
def test_it_is_never_less_than_the_design_needs_nor_more_than_is_allowed(file, name):
    loop = next(loop for loop in sized(file).loops if loop.name == name)
    assert loop.asks.flow >= loop.flow_needed and loop.asks.head >= loop.heads.head
    assert loop.asks.most is None or loop.asks.flow < loop.asks.most
