"""The words of every drawing of every shipped case: none covers another, is struck or is cut."""

import math
import re
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from drawings import edged, faults, signs
from placing import two_pumps
from sizing import BAD, KETCH, MOTOR, NAMES, SLOOP, load_text, path_of, shipped

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.parts.own_parts import load_parts
from seaflow.forms.typical.boat import spoken_boat
from seaflow.present.charts.svg import HEAD
from seaflow.present.energy_svg import night_svg
from seaflow.present.page.pictures import PHONE
from seaflow.present.page.place import PLAN
from seaflow.present.parts.curve_svg import curve_svg
from seaflow.present.place.drawing import TOP, place_drawing, place_svg
from seaflow.present.place.marks import BELOW
from seaflow.present.place.signs import DISC
from seaflow.present.place.views import views_of
from seaflow.present.quantities import Show
from seaflow.present.size.curve_svg import curve_chart, curves_svg, lens_chart
from seaflow.present.words.place import DRAWN
from seaflow.studies.energy.study import energy
from seaflow.studies.parts import drawn_curve
from seaflow.studies.place.study import place
from seaflow.studies.size.curves import boat_curves
from seaflow.studies.size.size import size

pytestmark = pytest.mark.usefixtures("asked_once")

SYSTEMS = ("metric", "us")
HEADS = (DRAWN["one_side"], DRAWN["plan"], DRAWN["section"])
EXAMPLES = Path(__file__).parents[2] / "docs" / "examples"


@cache
def curves(name):
    answer = size(shipped(name), 32)
    return answer.boat, boat_curves(shipped(name), answer)


@cache
def sketches(name):
    try:
        return tuple(pump.sketch for pump in place(shipped(name)).pumps)
    except SeaflowError:
        return ()  # a case that offers no places


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", NAMES)
def test_pump_and_loop(name, system):
    assert faults(curves_svg(*curves(name), system)) == []


@pytest.mark.parametrize("wide", [320.0, 600.0, PHONE])
@pytest.mark.parametrize("name", NAMES)
def test_worst_cases_stand_apart_in_the_lens_each_by_its_letter(name, wide):
    for loop in curves(name)[1]:
        chart = curve_chart(loop, Show("metric"), wide).alone()
        lens = lens_chart(loop, Show("metric"), wide).alone()
        assert faults(chart) == faults(lens) == []
        letter = r'<text x="([\d.]+)" y="([\d.]+)"[^>]*>([a-z])</text>'
        assert re.findall(letter, chart) == []  # they would lie together there
        letters = re.findall(letter, lens)
        assert len(letters) == len([item for item in loop.crossings if item.name != "design"]) > 0
        marks = re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)"', lens)
        for x, y, letter in letters:
            middle = (float(x) + 4.5, float(y) - 5.0)
            assert min(math.dist(middle, map(float, mark)) for mark in marks) > 8.0, letter


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", NAMES)
def test_place(name, system):
    for sketch in sketches(name):
        for drawn in (place_svg(sketch, system), place_drawing(sketch, PHONE).views.alone()):
            assert faults(drawn) == [*edged(drawn)] == []


@pytest.mark.parametrize(
    ("boat", "units"),
    [
        ("catamaran 40 ft", ("16k", "9k")),
        ("catamaran 60 ft", ("24k", "16k", "16k", "12k", "12k")),
        ("catamaran 14 m", ("9k", "9k", "9k", "9k")),
        ("sloop 33 ft", ("16k",)),
        ("ketch 42 ft", ("16k", "12k")),
        ("motor yacht 55 ft", ("16k", "16k", "16k")),
        ("motor yacht 80 ft", ("24k", "16k", "16k", "12k", "12k", "12k")),
    ],
)
def test_place_on_a_typical_boat_whose_signs_lie_close(boat, units):
    case = spoken_boat({"boat": boat, "unit": list(units)}).loaded.case
    for pump in place(case).pumps:
        for wide in (PLAN, PHONE):
            drawn = place_drawing(pump.sketch, wide).views.alone()
            assert faults(drawn) == [*edged(drawn)] == []
            for one, other in combinations(signs(drawn), 2):
                assert math.dist(one, other) > 2 * DISC


def test_a_phone_shows_the_section_of_a_long_boat_to_a_larger_scale_of_its_own():
    sketch = sketches(MOTOR)[0]
    for wide in (PLAN, PHONE):
        side, plan, section = views_of(sketch, HEADS, TOP, wide)
        assert side.scale == plan.scale
        assert (section.scale > plan.scale) == (wide == PHONE)
        words = place_drawing(sketch, wide).views.alone()
        for view in (plan, section):
            bar = re.search(
                rf'id="scale {view.name} 1 m"><line x1="([\d.]+)".*?x2="([\d.]+)"', words
            )
            if bar:
                assert float(bar[2]) - float(bar[1]) == pytest.approx(view.scale, abs=0.1)
        assert words.count(">1 m<") == len({plan.scale, section.scale})


@pytest.mark.parametrize("wide", [PLAN, PHONE])
def test_a_heading_stands_clear_of_all_that_may_be_said_below_the_view_before(wide):
    for sketch in sketches(KETCH):
        lines = ElementTree.fromstring(place_drawing(sketch, wide).views.alone()).iter()
        heads = {one.text: float(one.get("y")) for one in lines if one.get("class") == "head"}
        for before, view in pairwise(views_of(sketch, HEADS, TOP, wide)):
            top = heads[view.head[0]] - HEAD
            assert top >= before.bottom + BELOW


@pytest.mark.parametrize("wide", [PLAN, PHONE])
def test_a_key_explains_the_short_names_of_its_own_drawing(wide):
    for sketch in sketches(MOTOR):
        drawing = place_drawing(sketch, wide)
        explained = set(re.findall(r">([ivx]+)<", "".join(row.sign for row in drawing.key)))
        assert explained == set(re.findall(r">([ivx]+)<", "".join(drawing.views.body)))


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", [SLOOP, KETCH, BAD])
def test_night(name, system):
    assert faults(night_svg("a boat", nights(name), system)) == []


@cache
def nights(name):
    return energy(shipped(name)).night


def test_the_line_of_the_night_is_that_of_the_answer():
    """Each point lies where the axes put its hour and its charge; the limit has its mark."""
    svg, night = night_svg("a boat", nights(SLOOP), "metric"), nights(SLOOP)
    line = next(row for row in svg.splitlines() if row.startswith("<polyline"))
    points = [tuple(map(float, one.split(","))) for one in line.split('"')[1].split()]
    assert len(points) == len(night.times) == 97
    low, high = min(point[1] for point in points), max(point[1] for point in points)
    shares = [(high - point[1]) / (high - low) for point in points]
    whole = max(night.charge)
    assert shares == pytest.approx([charge / whole for charge in night.charge], abs=0.01)
    assert f"limit at {night.limit}" in svg


def test_place_of_two_pumps(tmp_path):
    for pump in place(load_text(tmp_path, two_pumps())).pumps:
        assert faults(place_svg(pump.sketch, "metric")) == []


@pytest.mark.parametrize("system", SYSTEMS)
def test_curves_of_pumps(system):
    own = load_parts([str(EXAMPLES / "own-parts.toml"), str(EXAMPLES / "own-pump.csv")]).catalogue
    for catalogue in (Catalogue(), own):
        for pump in catalogue.pumps():
            assert faults(curve_svg(drawn_curve(catalogue, pump.name), system)) == []


def test_several_own_sheets_in_one_picture():
    own = load_parts([str(EXAMPLES / "own-parts.toml"), str(EXAMPLES / "own-pump.csv")]).catalogue
    for name in NAMES:
        case = load_case(str(path_of(name)), own).case
        answer = size(case, 0)
        assert faults(curves_svg(answer.boat, boat_curves(case, answer), "metric")) == []


def test_a_boat_without_any_pump_to_draw():
    words = curves_svg("a boat", (), "metric")
    assert faults(words) == []
    assert "no pump" in words.lower()


def test_a_drawing_is_of_each_kind():
    assert sum(bool(sketches(name)) for name in NAMES) >= 2
    assert all(loops for _, loops in map(curves, NAMES))


FRAME = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100">{}</svg>'
STYLE = "<style>.a{font-size:10px}</style>"


def drawn(*body):
    return faults(FRAME.format(STYLE + "".join(body)))


def text(x, y, words="words"):
    return f'<text x="{x}" y="{y}" class="a" text-anchor="start">{words}</text>'


@pytest.mark.parametrize(
    ("fault", "body"),
    [
        ("cover", (text(10, 50), text(30, 52))),
        ("cut", (text(180, 50),)),
        ("cut", (text(10, 5),)),
        ("struck", (text(10, 50), '<line x1="0" y1="47" x2="99" y2="47" stroke="#000000"/>')),
        ("struck", (text(10, 50), '<polyline points="0,0 20,47 60,99" stroke="#000000"/>')),
        ("dot", (text(10, 50), '<circle cx="20" cy="47" r="5"/>')),
        ("sign", (text(10, 50), '<g transform="translate(20 47)"><path d="M0 0"/></g>')),
    ],
)
def test_the_search_for_faults_finds_each_kind(fault, body):
    assert [fault in said for said in drawn(*body)] == [True]


def test_the_search_for_faults_passes_what_is_clear():
    badge = '<circle cx="50" cy="50" r="8"/>' + text(47, 53, "7")
    line = '<line x1="0" y1="50" x2="99" y2="50" stroke="#000000"/>'
    assert drawn(text(10, 20), text(60, 20), line, badge) == []
    assert drawn(badge, line) != []  # drawn over it
