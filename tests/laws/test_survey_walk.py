"""The checklist is a walk through the boat: each open fact once, in the order of the water."""

import tomllib
from html.parser import HTMLParser
from pathlib import Path

import pytest
from survey_boats import case_of, patched

from seaflow.base.tables import read_table
from seaflow.boat.load import load_case
from seaflow.boat.network import along_the_water
from seaflow.present.survey.checklist import checklist_text
from seaflow.present.survey.checklist_page import checklist_page
from seaflow.present.survey.walk import good_of, lines, walk
from seaflow.studies.survey.findings import survey

CASES = Path(__file__).parents[2] / "cases"
STOPS = read_table("walk.toml")["stop"]
OF_THE_BOAT = [number for number, row in enumerate(STOPS) if "boat" in row.get("else", ())]


@pytest.fixture(scope="module")
def walked(tmp_path_factory):
    """A shipped boat with two loops of which nobody recorded what was seen, and her walk."""
    text = (CASES / "catamaran-two-loops.toml").read_text(encoding="utf-8")
    kept = [line for line in text.splitlines() if not line.startswith("seen = ")]
    kept = "\n".join(kept).split("[seen]")[0]
    path = tmp_path_factory.mktemp("walk") / "unseen.toml"
    path.write_text(kept, encoding="utf-8")
    case = load_case(str(path)).case
    answer = survey(case)
    return case, answer, walk(answer, case)


def test_every_open_fact_stands_at_one_stop(walked):
    _, answer, stops = walked
    found = [item for stop in stops for _, _, asked in stop.asked for item in asked]
    assert len(found) == len(answer.look_at)
    assert set(found) == set(answer.look_at)


def test_inside_things_come_as_the_water_meets_them(walked):
    case, _, stops = walked
    inside = next(stop for stop in stops if stop.title == STOPS[1]["title"])
    order = along_the_water(case)
    places = [order.index(thing) for _, thing, _ in inside.asked]
    assert places == sorted(places)
    assert len(places) > 15


def test_the_water_is_followed_branch_by_branch():
    case = load_case(str(CASES / "motor-three-units.toml")).case
    order = along_the_water(case)
    assert set(order) == {one.name for one in case.things} | {hose.label for hose in case.hose}
    for hose in case.hose:
        assert order.index(hose.label) > order.index(hose.from_)
    manifold = case.manifold[0].name
    branches = [order.index(hose.label) for hose in case.hose if hose.from_ == manifold]
    units = [order.index(unit.name) for unit in case.unit]
    assert sorted(branches) == branches
    assert all(start < unit for start, unit in zip(branches, sorted(units), strict=True))
    assert sorted(units)[0] < branches[1]


def test_what_is_asked_of_the_whole_boat_ends_each_stop_and_then_stands_alone(walked):
    """A file of answers has one table for the boat, so nothing else may follow it."""
    _, _, stops = walked
    tables = [table for stop in stops for table, _, _ in stop.asked]
    first = tables.index("boat")
    assert set(tables[first:]) == {"boat"}


def test_each_stop_has_its_cautions_and_they_stand_before_its_first_fact(walked):
    case, answer, stops = walked
    text = checklist_text(answer, case)
    for stop in stops:
        assert stop.careful, stop.title
        head = text.index(stop.title.upper())
        careful = text.index("# Careful", head)
        assert careful < text.index(' = ""', head)


def test_the_file_holds_every_open_fact_under_its_thing(walked):
    case, answer, _ = walked
    raw = tomllib.loads(checklist_text(answer, case))
    for item in answer.look_at:
        if item.key in ("bilge_pump", "also_feeds", "seacock") or item.table == "point":
            continue
        rows = [raw["boat"]] if item.table == "boat" else raw[item.table]
        names = (item.thing, None)
        assert any(item.key in row and row.get("name") in names for row in rows), item


def test_a_line_is_ticked_or_written(walked):
    case, answer, stops = walked
    for stop in stops:
        for _, _, asked in stop.asked:
            for line in lines(answer, case, asked):
                assert line.choices or line.example or line.quantity, line


def test_every_key_that_a_stop_names_can_be_asked():
    from seaflow.forms.checklist import KINDS, record_of

    for row in STOPS:
        for name in row.get("asks", ()):
            table, key = name.split(".")
            assert record_of(table, key) is not None or (table, key) == ("pump", "supply"), name
        assert set(row.get("else", ())) <= {*KINDS, "boat", "point"}, row["title"]
    assert len(OF_THE_BOAT) == 1


class _Rows(HTMLParser):
    """The numbers of the rows of a page, and how many boxes each has."""

    def __init__(self):
        super().__init__()
        self.boxes = []

    def handle_starttag(self, tag, attrs):
        if tag == "tr":
            self.boxes.append(0)
        elif ("class", "box") in attrs:
            self.boxes[-1] += 1


def test_the_page_has_a_line_to_tick_or_fill_for_every_fact(walked):
    case, answer, stops = walked
    page = checklist_page(answer, case)
    told = [
        line for stop in stops for _, _, asked in stop.asked for line in lines(answer, case, asked)
    ]
    rows = _Rows()
    rows.feed(page)
    assert [count for count in rows.boxes if count] == [len(line.ticks) + 1 for line in told]
    assert page.count('class="caution"') == len(stops)
    assert f"<td>{len(told)}</td>" in page
    assert "<script" not in page
    assert "http:" not in page and "https:" not in page


def test_the_page_prints_a_name_as_text(tmp_path):
    raw = patched({"boat.name": "<b>&", "outlet.0.seen.cracked": "drop"})
    case = case_of(raw, tmp_path)
    page = checklist_page(survey(case), case)
    assert "&lt;b&gt;&amp;" in page
    assert "<b>&" not in page


def test_the_good_answer_is_marked_whichever_word_it_is(walked):
    case, answer, stops = walked
    good = {
        (line.table, line.path[-1]): good_of(line)
        for stop in stops
        for _, _, asked in stop.asked
        for line in lines(answer, case, asked)
    }
    assert good["intake", "clear_outside"] == ("yes",)
    assert good["pump", "leaks"] == good["seacock", "weeps"] == ("no",)
    assert good["outlet", "cracked"] == ("no",)  # weighed with others
    assert good["strainer", "bowl"] == good["hose", "clamp_condition"] == ("sound",)
    assert good["seacock", "material"] == ()  # what is not bad is not good on every hull
    row = checklist_page(answer, case).partition("Does it drip")[2].partition("</tr>")[0]
    assert row.index("<b>no</b>") < row.index("yes")
