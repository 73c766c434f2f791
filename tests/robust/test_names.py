"""A name means one thing alone, and a change of a loop reaches one element alone."""

from pathlib import Path

import pytest

from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.model.build import build_loop
from seaflow.model.elements import HoseRun
from seaflow.model.loop import SEA

FOLDER = Path(__file__).parents[1]
GOOD = (FOLDER / "messages" / "good.toml").read_text(encoding="utf-8")
TWO_LOOPS = (FOLDER.parent / "cases" / "catamaran-two-loops.toml").read_text(encoding="utf-8")
FIRST = 'from = "intake"\nto = "strainer"'
SECOND = 'from = "strainer"\nto = "pump"'
OPENING = '[[skin_fitting]]\nname = "pump"\nheight = "0.2 m"\nbore = "38 mm"\nuse = "cockpit drain"'
TEE = '[[tee]]\nname = "{}"\nbore = "19 mm"\nheight = "0 m"\n\n'


def read(tmp_path, text):
    path = tmp_path / "case.toml"
    path.write_text(text, encoding="utf-8")
    return load_case(str(path)).case


def named(text, ends, name):
    assert ends in text
    return text.replace(ends, f'name = "{name}"\n{ends}')


def line_of(text, start):
    return text[: text.index(start)].count("\n") + 1


@pytest.mark.parametrize(
    ("text", "first", "name"),
    [
        (named(named(GOOD, FIRST, "h"), SECOND, "h"), 'name = "h"', "h"),
        (named(GOOD, SECOND, "pump"), 'name = "pump"', "pump"),
        (named(GOOD, SECOND, "seacock"), 'name = "seacock"', "seacock"),
        (named(GOOD, SECOND, "hose intake to strainer"), "[[hose]]", "hose intake to strainer"),
        (GOOD + "\n" + OPENING, 'name = "pump"', "pump"),
    ],
    ids=["two hoses", "hose and pump", "hose and seacock", "called by its ends", "opening"],
)
def test_one_name_twice_is_refused_with_both_lines(tmp_path, text, first, name):
    with pytest.raises(SeaflowError) as refused:
        read(tmp_path, text)
    (problem,) = refused.value.problems
    assert problem.code == "S02"
    assert f'"{name}"' in problem.what
    assert problem.what.endswith(f"line {line_of(text, first)}")
    assert problem.line > line_of(text, first)


@pytest.mark.parametrize("other", ["Unit", "unit ", "unit\u00a0"])
def test_names_that_a_reading_cannot_tell_apart_are_refused(tmp_path, other):
    with pytest.raises(SeaflowError) as refused:
        read(tmp_path, named(GOOD, FIRST, other))
    assert [problem.code for problem in refused.value.problems] == ["S02"]


def test_a_boat_without_a_name_is_told(tmp_path):
    called = f'name = "{read(tmp_path, GOOD).boat.name}"'
    with pytest.raises(SeaflowError) as refused:
        read(tmp_path, GOOD.replace(called, 'name = " "'))
    assert [problem.code for problem in refused.value.problems] == ["S26"]


def test_twin_hoses_want_names_of_their_own(tmp_path):
    tees = TEE.format("t") + TEE.format("j")
    join = GOOD.replace("[[unit]]", f"{tees}[[unit]]")
    join = join.replace('from = "pump"\nto = "unit"', 'from = "pump"\nto = "t"')
    legs = "".join(
        f'\n[[hose]]\n{name}from = "{one}"\nto = "{two}"\nbore = "19 mm"\nlength = "1 m"\n'
        for one, two, name in (("t", "j", ""), ("t", "j", "{}"), ("j", "unit", ""))
    )
    with pytest.raises(SeaflowError) as refused:
        read(tmp_path, join + legs.format(""))
    assert [problem.code for problem in refused.value.problems] == ["S02"]
    assert read(tmp_path, join + legs.format('name = "twin"\n'))


def test_two_loops_of_one_name_are_refused(tmp_path):
    names = [found.name for found in network.loops(read(tmp_path, TWO_LOOPS))]
    text = TWO_LOOPS
    for name in names:
        text = text.replace(f'loop = "{name}"', 'loop = "cooling"')
    assert len(names) == len(set(names)) == text.count('loop = "cooling"') == 2
    with pytest.raises(SeaflowError) as refused:
        read(tmp_path, text)
    assert [problem.code for problem in refused.value.problems] == ["S02"]


def built(tmp_path):
    case = read(tmp_path, GOOD)
    (found,) = network.loops(case)
    found = build_loop(case, found, {"pump": Catalogue().pump("demo-mag-medium-230")})
    return found.loop


def test_a_change_reaches_the_element_that_is_meant(tmp_path):
    loop = built(tmp_path)
    first, second, *_ = loop.elements(HoseRun)
    changed = loop.changed(second, length=7.0)
    assert [hose.length for hose in changed.elements(HoseRun)][:2] == [first.length, 7.0]
    assert changed.elements(HoseRun)[0] is first
    with pytest.raises(KeyError):
        changed.changed(second, length=8.0)  # that hose is in the loop no longer
    with pytest.raises(KeyError):
        loop.changed("no such name", length=8.0)


def test_a_change_by_a_name_found_twice_is_refused(tmp_path):
    loop = built(tmp_path)
    first, second, *_ = loop.elements(HoseRun)
    twice = loop.changed(second, name=first.name)
    with pytest.raises(KeyError, match="2 elements"):
        twice.changed(first.name, length=7.0)
    with pytest.raises(KeyError, match="2 elements"):
        twice.named(first.name)
    by_itself = twice.changed(first, length=7.0)
    assert [hose.length for hose in by_itself.elements(HoseRun)][:2] == [7.0, second.length]


def test_no_thing_can_be_taken_for_the_sea(tmp_path):
    """A sea chest that feeds two hoses is a junction, whatever it is called."""
    text = GOOD.replace("[[through_hull]]", "[[sea_chest]]").replace('"intake"', '"sea"')
    legs = '\n[[hose]]\nfrom = "sea"\nto = "spare"\nbore = "25 mm"\nlength = "1 m"\n'
    legs += '\n[[hose]]\nfrom = "spare"\nto = "join"\nbore = "25 mm"\nlength = "1 m"\n'
    text = text.replace('from = "strainer"\nto = "pump"', 'from = "strainer"\nto = "join"')
    legs += '\n[[hose]]\nfrom = "join"\nto = "pump"\nbore = "25 mm"\nlength = "1 m"\n'
    spare = '[[strainer]]\nname = "spare"\nheight = "-0.50 m"\nmodel = "demo-strainer-25"\n\n'
    spare += '[[tee]]\nname = "join"\nheight = "-0.45 m"\nbore = "25 mm"\n\n[[pump]]'
    case = read(tmp_path, text.replace("[[pump]]", spare) + legs)
    (found,) = network.loops(case)
    found = build_loop(case, found, {"pump": Catalogue().pump("demo-mag-medium-230")})
    assert SEA not in {thing.name for thing in case.things}
    assert len([link for link in found.loop.links if link.from_sea]) == 1
    assert len(found.loop.paths) == 2
