"""Several pumps in one loop: all are of one kind, and what they give together is told so."""

from itertools import pairwise, permutations

import pytest

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case

LARGE, SMALL = "demo-mag-large-230", "demo-mag-small-230"
HEAD = """
schema = 1
[boat]
name = "Demo sloop"
hull = "sailing monohull"
[sea]
warmest = "28 C"
[supply]
voltage = "230 V"
current = "ac"
frequency = "50 Hz"
[[unit]]
name = "U"
cooling = "16000 BTU/h"
height = "-0.6 m"
[[sea_chest]]
name = "chest"
bore = "50 mm"
height = "-0.5 m"
[[outlet]]
name = "out"
height = "-0.2 m"
bore = "19 mm"
"""
TEE = '[[tee]]\nname = "T"\nheight = "-0.1 m"\nbore = "25 mm"\n'


def hose(start, end):
    return f'[[hose]]\nfrom = "{start}"\nto = "{end}"\nbore = "25 mm"\nlength = "1 m"\n'


def pump(name, fitted=None, more=""):
    named = "" if fitted is None else f'fitted = "{fitted}"\n'
    return f'[[pump]]\nname = "{name}"\nheight = "-0.3 m"\n{named}{more}'


def boat(pumps, runs):
    ends = [pair for run in runs for pair in pairwise(run)]
    tee = TEE if any("T" in pair for pair in ends) else ""
    return HEAD + tee + "".join(pumps) + "".join(hose(*pair) for pair in ends)


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


def test_pumps_of_two_loops_may_differ(tmp_path):
    second = (
        HEAD[HEAD.index("[[unit]]") :]
        .replace('"U"', '"U2"')
        .replace('"chest"', '"chest 2"')
        .replace('"out"', '"out 2"')
    )
    text = HEAD + second + pump("P1", LARGE) + pump("P2", SMALL)
    runs = [("chest", "P1", "U", "out"), ("chest 2", "P2", "U2", "out 2")]
    text += "".join(hose(*pair) for run in runs for pair in pairwise(run))
    assert [one.fitted for one in loaded(tmp_path, text).pump] == [LARGE, SMALL]


def test_a_slip_that_may_join_two_loops_is_told_first(tmp_path):
    text = abreast(LARGE, SMALL).replace('to = "U"', 'to = "V"')
    assert "S70" not in {problem.code for problem in refused(tmp_path, text)}
