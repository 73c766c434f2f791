"""The command `place`: exit codes, text, data, units, and a drawing that is to scale."""

import json
import math
import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from functools import cache

import pytest
from click.testing import CliRunner
from placing import kinds, one_cabin, two_pumps
from sizing import KETCH, MOTOR, edited, load_text, path_of, shipped, text_of, written

from seaflow.cli.main import main
from seaflow.present.place.drawing import place_svg
from seaflow.present.quantities import Show
from seaflow.studies.place.study import place, speeds_of
from seaflow.studies.size.size import size

HALF_A_TENTH = 0.05  # pixels: positions are written to a tenth
SVG = "{http://www.w3.org/2000/svg}"
METRIC = r"\d ?(?:L/min|m|mm|cm|kW|kPa|°C|K|m/s)(?![\w/])"


def run(*arguments):
    return CliRunner().invoke(main, ["place", *map(str, arguments), "--full"])


@cache
def card(name, *options):
    result = CliRunner().invoke(main, ["place", str(path_of(name)), *options])
    return " ".join(result.stdout.split())


@cache
def shown(name, *options):
    return run(path_of(name), *options)


@cache
def drawing(name, system="metric"):
    sketch = place(shipped(name)).pumps[0].sketch
    return sketch, ElementTree.fromstring(place_svg(sketch, system))


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_the_answer_comes_first_and_has_its_parts(name):
    result = shown(name)
    assert result.exit_code == 3, result.stderr
    lines = result.stdout.split("\n")
    assert any("Put the pump here" in line for line in lines[:8])
    for words in ("The places", "What is against each place", "Sound at each berth", "Cautions"):
        assert words in result.stdout
    for words in ("drilled below the waterline", "seacock", "clamps", "petrol", "duct"):
        assert words in result.stdout


def test_the_quietest_place_is_named_with_its_hydraulic_reason_on_the_card():
    text = card(MOTOR)
    said = place(shipped(MOTOR)).pumps[0].advice.quietest
    assert f'The quietest place, "{said["place"]}"' in text
    assert f"is not taken: {Show().sentence(said['fault'])}." in text
    assert Show().sentence(said) in " ".join(shown(MOTOR).stdout.split())
    assert said["fault"].kind == "place.will_not_start"
    assert said["reason"]["reason"].kind == "start.pump_above_water"
    assert said["reason"]["where"]["by"][0]["side"] == "port"


@pytest.mark.parametrize(("name", "units"), [(KETCH, "metric"), (MOTOR, "us")])
def test_the_card_names_place_depth_berth_hazard_and_drawing(name, units):
    text, (pump,) = card(name, "--units", units), place(shipped(name)).pumps
    first = pump.places[0]
    assert f"Put the pump here: {first.name}. It is" in text
    for depth in (first.standing.depth, first.standing.depth_at_heel):
        assert Show(units).both("height", depth) in text
    assert f"Loudest berth: {first.loudest.berth}, about {first.level:.0f} dB(A) +/-" in text
    assert text.index("Careful Shut the seacock") < text.index("Run Hose")
    assert "seaflow place BOAT -o place.svg" in text


def test_without_trim_the_quietest_place_is_only_shallow(tmp_path):
    lines = [line for line in text_of(MOTOR).split("\n") if not line.startswith("works_to_trim")]
    first = place(load_text(tmp_path, "\n".join(lines))).pumps[0].places[0]
    (shallow,) = (said for said in first.remarks if said.kind == "design.shallow_pump")
    assert shallow["depth"].value == pytest.approx(0.12, abs=0.005)


def test_what_the_customer_reads_first():
    """The sentences that are pinned; all others are asked for their facts."""
    advice = place(shipped(KETCH)).pumps[0].advice
    show = Show()
    assert show.sentence(advice.place) == (
        "Put the pump here: bilge, aft end. It stays 0.37 m under water at 15 degrees of heel and "
        "feeds every unit. Loudest berth: fore cabin, about 31 dB(A) +/- 10 dB."
    )
    assert show.sentence(advice.next_best) == (
        'By the model it is 8.2 dB quieter than "bilge, by the strainer", the next best; the '
        "assumed vibration could turn that round."
    )
    assert show.sentence(advice.price) == (
        'Compared with "bilge, by the strainer", which has the shortest hoses: 1.5 m more hose, '
        "for 8.2 dB less."
    )


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_one_difference_is_one_number_wherever_it_stands(name):
    (pump,) = place(shipped(name)).pumps
    advice, names = pump.advice, [item.name for item in pump.places if item.holds]
    for said, less in ((advice.next_best, "less"), (advice.price, "gain")):
        if said.kind in ("place.next_left_open", "place.next_louder", "place.price_of_quiet"):
            (gap,) = (one for one in pump.gaps if one["place"] == names[0])
            assert gap["other"] == said["other"]
            assert gap["less"] == said[less]


def test_what_each_place_costs_is_a_table_with_cable_and_volts():
    text = shown(KETCH).stdout.split("What each place costs")[1].split("Why not")[0]
    for words in ("flow", "head", "suction", "a day", "hose", "cable", "volts"):
        assert words in text.split("\n")[2]
    assert "led from the panel" in text


def test_a_cable_that_does_not_follow_the_place_is_said(tmp_path):
    panel = next(line for line in text_of(KETCH).split("\n") if line.startswith("panel = "))
    result = run(written(tmp_path, edited(text_of(KETCH), (panel, ""))))
    text = " ".join(result.stdout.split())
    assert "Give panel in [placing], or cable_length at a place" in text


def test_a_level_that_does_not_hold_is_marked_and_said():
    text = shown(KETCH).stdout
    assert re.search(r"cockpit locker, on the shelf +>\d\d", text)
    assert "6 to 12 dB louder" in " ".join(text.split())


def test_a_difference_below_the_uncertainty_is_said():
    text = " ".join(shown(MOTOR).stdout.split())
    (pump,) = place(shipped(MOTOR)).pumps
    assert pump.advice.next_best.kind == "place.no_audible_difference"
    assert pump.gaps[0].kind == "place.tied"
    for said in (pump.advice.next_best, pump.gaps[0]):
        assert Show().sentence(said) in text


def test_data():
    result = shown(MOTOR, "--json")
    data = json.loads(result.stdout)
    (pump,) = data["pumps"]
    first = pump["places"][0]
    assert first["rank"] == 1
    assert first["sound"][0]["level"]["unit"] == "dB"
    assert first["water"]["flow"]["unit"] == "m3/s"
    for item in pump["places"]:
        assert item["holds"] == (item["rank"] is not None) == (item["reasons"] == [])
        levels = [heard["level"]["value"] for heard in item["sound"]]
        assert item["loudest"]["level"] == {"value": max(levels), "unit": "dB"}
    said = pump["advice"]["place"]
    assert said["kind"] == "place.here"
    assert said["stays"]["depth"]["unit"] == "m"
    assert said["text"].startswith("Put the pump here: ")
    assert {cure["kind"] for cure in first["cures"]} >= {"mount", "locker", "hose", "speed", "all"}


def test_american_units():
    text = shown(MOTOR, "--units", "us").stdout.split("What was assumed")[0]
    text = text[text.index("Where to put the pump") :]
    text = text.replace("dB(A) at 1 m", "")  # the distance at which makers state it
    assert re.findall(METRIC, text) == []


def test_assumptions_are_in_american_units_too():
    text = " ".join(shown(KETCH, "--units", "us").stdout.split())
    assert "within which one hand reaches both: 3.3 ft" in text
    assert "below the waterline: 1.0 ft" in text


def test_where_nobody_sleeps_no_table_is_empty(tmp_path):
    text = text_of(KETCH).replace('use = "berth"', 'use = "berth"\nsleeps = false')
    words = run(written(tmp_path, text)).stdout
    for head in ("Sound at each berth", "Cheaper ways to quiet", "heard most in"):
        assert head not in words
    assert "What each place costs" in words


def test_names_with_commas_are_quoted_in_lists_and_the_present_place_is_named():
    text = " ".join(shown(KETCH).stdout.split())
    assert '"bilge, by the strainer", "engine space, forward end"' in text
    notes = place(shipped(KETCH)).pumps[0].cost_notes
    assert kinds(notes) == {"stands_here_now", "cable_from_panel"}
    assert notes[0]["place"] == "bilge, by the strainer"


def test_rooms_without_a_partition_are_said(tmp_path):
    wall = 'between = ["fore cabin", "head"]\nmaterial = "plywood 12 mm"\ndoor_area = "0.8 m2"\n'
    wall = "[[partition]]\n" + wall + 'opening = "loose lid or door"\n'
    text = " ".join(run(written(tmp_path, edited(text_of(KETCH), (wall, "")))).stdout.split())
    assert 'No partition recorded between "fore cabin" and "head"' in text


def test_a_speed_that_differs_is_said(tmp_path):
    held = place(load_text(tmp_path, one_cabin())).pumps[0]
    assert held.speeds is None
    near, far = held.places
    said = speeds_of((near, replace(far, speed_ratio=0.95)))
    assert [one["share"] for one in said["places"]] == [near.speed_ratio, 0.95]
    assert f'"{far.name}" 95.0%' in Show().sentence(said)


def test_no_place_holds(tmp_path):
    text = text_of(KETCH).replace('access = "good"', 'access = "none"')
    text = text.replace('access = "poor"', 'access = "none"')
    result = run(written(tmp_path, text))
    assert result.exit_code == 1
    assert "None of the 5 places will do." in " ".join(result.stdout.split())


def test_another_pump_is_placed_where_one_is_named():
    result = run("--pump", "demo-mag-large-230", path_of(KETCH))
    assert result.exit_code == 0
    assert "(demo-mag-large-230, invented), the pump asked for" in card(
        KETCH, "--pump", "demo-mag-large-230"
    )
    assert run("--pump", "demo-dc-variable-12", path_of(KETCH)).exit_code == 2


def test_the_pump_aboard_is_placed_and_the_one_that_size_would_recommend_is_named():
    (item,) = place(shipped(KETCH)).pumps
    (loop,) = size(shipped(KETCH)).loops
    assert item.part.name == shipped(KETCH).pump[0].fitted
    assert item.chosen.kind == "design.pump_fitted"
    assert item.rather["pump"]["name"] == loop.chosen.part.name


def test_a_case_without_places(tmp_path):
    text = text_of(KETCH).split("# From here on: for `seaflow place`")[0]
    result = run(written(tmp_path, text))
    assert result.exit_code == 2
    assert result.stderr.startswith("S55")


def test_a_drawing_is_written_and_never_over_another(tmp_path):
    file = tmp_path / "place.svg"
    result = run(path_of(KETCH), "-o", file)
    assert result.exit_code == 3
    text = file.read_text(encoding="utf-8")
    assert ElementTree.fromstring(text).tag == f"{SVG}svg"
    again = run(path_of(KETCH), "-o", file)
    assert again.exit_code == 2
    assert again.stderr.startswith("W01")
    assert file.read_text(encoding="utf-8") == text


def test_two_pumps_are_drawn_into_two_files_whose_names_are_told(tmp_path):
    case, file = written(tmp_path, two_pumps()), tmp_path / "place.svg"
    result = run(case, "-o", file)
    assert result.exit_code == 3, result.stderr
    second = tmp_path / "place-2.svg"
    told = f"The drawings: port pump in {file}, starboard pump in {second}."
    assert told in result.stdout.split("\n")
    for path, pump in ((file, "port pump"), (second, "starboard pump")):
        root = ElementTree.fromstring(path.read_text(encoding="utf-8"))
        words = [item.text or "" for item in root.iter(f"{SVG}text")]
        assert any(word.startswith(f"Recommended place for {pump}: ") for word in words)
        assert any("Side view, bow to the left; the other side's rooms" in word for word in words)
    assert "All pumps running" in result.stdout


def test_a_side_view_has_the_cabins_of_its_own_hull_alone(tmp_path):
    file = tmp_path / "place.svg"
    run("--boat", "catamaran 13.5 m", "--unit", "2 x 12k", "-o", file)
    for path, here, there in (
        (file, "port", "starboard"),
        (tmp_path / "place-2.svg", "starboard", "port"),
    ):
        root = ElementTree.fromstring(path.read_text(encoding="utf-8"))
        words = [item.text or "" for item in root.iter(f"{SVG}text")]
        seen = " ".join(words[: next(n for n, word in enumerate(words) if word[:5] == "Plan,")])
        assert f"{here} fore cabin" in seen
        assert re.search(rf"\b{there} (fore|aft)", seen) is None


@pytest.mark.parametrize("taken", ["place.svg", "place-2.svg"])
def test_no_drawing_is_written_if_one_of_the_names_is_taken(tmp_path, taken):
    case = written(tmp_path, two_pumps())
    (tmp_path / taken).write_text("mine", encoding="utf-8")
    result = run(case, "-o", tmp_path / "place.svg")
    assert result.exit_code == 2
    assert result.stderr.startswith("W01")
    assert taken in result.stderr
    assert [path.name for path in tmp_path.glob("*.svg")] == [taken]
    assert (tmp_path / taken).read_text(encoding="utf-8") == "mine"


def test_with_data_the_names_go_beside_it(tmp_path):
    result = run(path_of(KETCH), "--json", "-o", tmp_path / "place.svg")
    json.loads(result.stdout)
    assert "The drawing is in" in result.stderr


def test_a_page_has_every_pump_and_the_cautions(tmp_path):
    result = run(written(tmp_path, two_pumps()), "-o", tmp_path / "place.html")
    assert "The page is in" in result.stdout
    text = (tmp_path / "place.html").read_text(encoding="utf-8")
    assert re.findall(r'<section id="(\w+)"', text) == ["place", "cautions"]
    assert text.count('class="two plan') == 2
    assert "What was assumed" in text


def test_another_ending_is_refused(tmp_path):
    result = run(path_of(KETCH), "-o", tmp_path / "place.png")
    assert result.exit_code == 2
    assert result.stderr.startswith("F12")


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_the_drawing_names_everything(name):
    sketch, root = drawing(name)
    words = " ".join(item.text or "" for item in root.iter(f"{SVG}text"))
    for thing in (*sketch.marks, *sketch.places):
        assert f"{thing.name}" in words
    for run in sketch.runs:  # in the row of the thing that it begins at
        assert f" to {run.ends[1]} (" in words
    for part in ("invented", "water, upright", "1 m", "Plan", "Side view", "someone sleeps here"):
        assert part in words
    for box in sketch.boxes:
        assert box.name.split()[0] in words
    for item in (item for item in sketch.boxes if item.sleeps):
        assert f"berth, {item.level:.0f} dB(A)" in words


@pytest.mark.parametrize("name", [KETCH, MOTOR])
@pytest.mark.parametrize(
    ("system", "length", "word"), [("metric", 1.0, "1 m"), ("us", 0.9144, "3 ft")]
)
def test_the_drawing_is_to_scale(name, system, length, word):
    sketch, root = drawing(name, system)
    assert any(item.text == word for item in root.iter(f"{SVG}text"))
    bar = root.find(f".//{SVG}g[@id='scale section {word}']/{SVG}line")
    scale = (float(bar.get("x2")) - float(bar.get("x1"))) / length
    widths = [float(item.get("width")) / scale for item in root.iter(f"{SVG}rect")]
    for box in sketch.boxes:
        long = box.aft[1] - box.aft[0]
        # Both ends of the width and, in proportion, both ends of the bar are written to a tenth.
        error = 2 * HALF_A_TENTH / scale * (1.0 + long / length)
        assert any(math.isclose(wide, long, abs_tol=error) for wide in widths)


def test_heel_is_drawn_at_its_angle():
    sketch, root = drawing(KETCH)
    slopes = set()
    for item in dashed(root, "7 4"):
        (x1, y1), (x2, y2) = ends_of(item)
        slopes.add(round(math.atan2(y1 - y2, x2 - x1), 2))
    assert {round(sketch.heel, 2), -round(sketch.heel, 2)} <= slopes


def test_odd_names_do_not_break_the_picture(tmp_path):
    text = edited(text_of(KETCH), ('name = "bilge, by the strainer"', 'name = "a <b> & \\"c\\""'))
    file = tmp_path / "place.svg"
    result = run(written(tmp_path, text), "-o", file)
    assert result.exit_code == 3
    ElementTree.fromstring(file.read_text(encoding="utf-8"))


INTAKES = """
[[intake_place]]
name = "intake as now"
at = { aft = "5.2 m", starboard = "0.35 m", height = "-0.62 m" }
[[intake_place]]
name = "intake further forward"
at = { aft = "4.8 m", starboard = "0.30 m", height = "-0.64 m" }
"""


@pytest.mark.parametrize("name", [KETCH, MOTOR])
def test_pillows_hull_and_slopes_are_drawn_and_explained(name):
    sketch, root = drawing(name)
    words = " ".join(item.text or "" for item in root.iter(f"{SVG}text"))
    for part in (
        "pillow",
        "length on the water, beam and freeboard",
        "over the length of the hose",
    ):
        assert part in words
    assert {mark.name for mark in sketch.pillows} == {
        box.name for box in sketch.boxes if box.sleeps
    }
    pillows = [item for item in root.iter(f"{SVG}rect") if item.get("rx") == "5"]
    assert len(pillows) > 2 * len(sketch.pillows)  # in side view and plan, and in the legend
    assert len(dashed(root, "1 3")) == 3 + 1  # side, plan, section, legend
    trimmed = dashed(root, "2 4")
    assert len(trimmed) == (3 if sketch.trim else 0)
    for item in trimmed[:2]:
        (x1, y1), (x2, y2) = ends_of(item)
        assert abs(math.atan2(y2 - y1, x2 - x1)) == pytest.approx(sketch.trim, abs=2e-4)


def test_the_hull_from_above_is_as_long_and_as_wide_as_recorded():
    sketch, root = drawing(KETCH)
    bar = root.find(f".//{SVG}g[@id='scale section 1 m']/{SVG}line")
    scale = float(bar.get("x2")) - float(bar.get("x1"))
    plan = max(dashed(root, "1 3"), key=lambda item: len(ends_of(item)))
    across, along = zip(*ends_of(plan), strict=True)
    long, wide = max(across) - min(across), max(along) - min(along)
    assert long / scale == pytest.approx(sketch.waterline_length, rel=5e-3)
    assert wide / scale == pytest.approx(sketch.beam, rel=2e-2)  # drawn through points
    first = ends_of(plan)[0]
    assert ends_of(plan)[-1] == first  # closed


def dashed(root, dash):
    """Every line or row of lines with these dashes."""
    return [item for item in root.iter() if item.get("stroke-dasharray") == dash]


def ends_of(item):
    """The points of a line, or of a row of lines."""
    if item.tag == f"{SVG}line":
        return [(float(item.get(f"x{end}")), float(item.get(f"y{end}"))) for end in (1, 2)]
    return [tuple(map(float, pair.split(","))) for pair in item.get("points").split()]


def test_every_name_of_a_room_is_drawn_after_the_last_box_and_none_covers_another():
    _, root = drawing(KETCH)
    items = [item for item in root if item.get("class") == "room halo" or item.get("x")]
    spots = [
        (float(item.get("x")), float(item.get("y")), item.text)
        for item in items
        if item.get("class") == "room halo"
    ]
    for number, (x, y, text) in enumerate(spots):
        for other, level, words in spots[number + 1 :]:
            apart = (
                abs(y - level) >= 12.0
                or x + 6.2 * len(text) <= other
                or other + 6.2 * len(words) <= x
            )
            assert apart, (text, words)


def test_places_at_one_point_are_fanned_out_and_other_intakes_are_drawn(tmp_path):
    text = text_of(KETCH)
    start = text.index("[[pump_place]]")
    one = text[start : text.index("[[pump_place]]", start + 5)]
    more = "".join(one.replace("bilge, by the strainer", f"same {i}") for i in range(3))
    sketch = place(load_text(tmp_path, text + more + INTAKES)).pumps[0].sketch
    root = ElementTree.fromstring(place_svg(sketch, "metric"))
    places = [
        (float(item.get("x")), float(item.get("y")))
        for item in root.find(f"{SVG}g")
        if item.get("rx") == "3"
    ]
    assert len(places) == 2 * len(sketch.places) + 1  # side view and plan; the section has one
    for number, spot in enumerate(places):
        for other in places[number + 1 :]:
            assert math.dist(spot, other) >= 20.0
    assert len(sketch.intakes) == 1
    words = " ".join(item.text or "" for item in root.iter(f"{SVG}text"))
    assert f"{sketch.intakes[0].name}: another place for the intake" in words
