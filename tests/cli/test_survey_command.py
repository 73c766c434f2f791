"""The command survey: exit codes, the record as page and text, the checklist and its answers."""

import json
import math
import re
import tomllib
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner
from survey_boats import FILE, patched, text_of

from seaflow.base.tables import read_table
from seaflow.boat.load import load_case
from seaflow.cli.main import main
from seaflow.forms.checklist import QUESTIONS
from seaflow.present.words.survey import LOOK_AT, NO_FINDINGS
from seaflow.studies.survey.findings import survey

CASES = Path(__file__).parents[2] / "cases"
BAD = str(CASES / "badly-arranged.toml")
SLOOP = str(CASES / "battery-sloop-variable.toml")
VOID = {"meta", "br"}


def run(*arguments):
    return CliRunner().invoke(main, ["survey", *map(str, arguments)])


@pytest.fixture
def unseen(tmp_path):
    """The sound boat as it loads before anybody looked: nothing seen is recorded."""
    raw = patched({"seen": "drop"})
    for content in raw.values():
        for item in content if isinstance(content, list) else []:
            item.pop("seen", None)
    path = tmp_path / "unseen.toml"
    path.write_text(text_of(raw), encoding="utf-8")
    return path


def test_exit_code_says_whether_something_is_critical_or_major():
    assert run(BAD).exit_code == 1
    assert run(SLOOP).exit_code == 0  # one minor finding
    assert run(FILE).exit_code == 0
    assert run("nowhere.toml").exit_code == 2


def test_findings_stand_by_thing_gravest_first_and_each_is_whole():
    text = run(BAD, "--full").stdout
    told = re.findall(r"^  ([A-Z]+\d*)-\S+ (CRITICAL|MAJOR|MINOR|ADVISORY): ", text, re.M)
    ranks = ["CRITICAL", "MAJOR", "MINOR", "ADVISORY"]
    by_thing = {}
    for mark, severity in told:
        by_thing.setdefault(mark, []).append(ranks.index(severity))
    assert list(by_thing.values()) == [sorted(one) for one in by_thing.values()]
    gravest = [one[0] for one in by_thing.values()]
    assert gravest == sorted(gravest)
    for label in ("Found", "Why", "Basis"):
        assert len(re.findall(rf"^     {label} ", text, re.M)) >= len(told)
    assert len(re.findall("^     Do ", text, re.M)) < len(told)  # one thing, one recommendation
    assert text.index("Careful") < text.index("Cautions\n---") < text.index("Findings\n---")
    for start in ("Published requirement", "Common practice", "Derived"):
        assert start in text


def test_both_heeled_waterlines_of_a_sailing_monohull_are_shown():
    found = json.loads(run(CASES / "ketch-one-unit.toml", "--json").stdout)["waterlines"]
    angles = {line["name"]: line["angle"]["value"] for line in found}
    deck_edge = math.atan(1.15 / 1.85)  # freeboard over half the beam
    assert angles == pytest.approx({"ISO 9093:2020": math.radians(30.0), "ABYC H-27": deck_edge})


def test_nothing_is_passed_by_silence(unseen):
    text = " ".join(run(unseen).stdout.split())
    assert "Not seen Nothing found is critical or major" in text
    assert "Findings: 0 critical, 0 major, 0 minor, 0 advisory." in text
    text = run(unseen, "--full").stdout
    assert NO_FINDINGS in text
    asked = ("moves_freely", "clamps_at_each_end", "return_air_from", "bilge_alarm")
    annex = " ".join(text.partition(f"\n{LOOK_AT}\n")[2].split())
    for key in (*asked, "in_petrol_space"):
        assert read_table(QUESTIONS)["ask"][key] in annex


def test_a_boat_that_nobody_has_looked_at_is_not_fit_but_not_seen(unseen):
    answer = run(unseen, "--json")
    data = json.loads(answer.stdout)
    grave = {item["severity"] for item in data["findings"]} & {"critical", "major"}
    assert not grave and data["fitness"] == "not seen" and answer.exit_code == 3


@pytest.mark.parametrize("case", [BAD, SLOOP, FILE])
def test_the_headline_agrees_with_what_was_found_and_with_the_exit_code(case):
    answer = run(case, "--json")
    data = json.loads(answer.stdout)
    grave = {item["severity"] for item in data["findings"]} & {"critical", "major"}
    critical = [item for item in data["look_at"] if item["severity"] == "critical"]
    expected = "not fit" if grave else "not seen" if critical else "fit"
    assert data["fitness"] == expected
    assert answer.exit_code == {"fit": 0, "not fit": 1, "not seen": 3}[expected]
    assert run(case).stdout.split("\n\n")[1].lower().startswith(expected)


def test_points_seen_are_those_of_critical_and_major_rules_that_nothing_is_left_open_of(tmp_path):
    whole = json.loads(run(FILE, "--json").stdout)
    assert whole["points"] == whole["points_seen"] > 50
    case = patched_case(tmp_path, {"skin_fitting.0.seacock": "drop"})
    left = json.loads(run(case, "--json").stdout)
    assert left["points"] - left["points_seen"] == 1  # seacock-missing, of that opening
    answers = tmp_path / "answers.toml"
    answers.write_text('[[skin_fitting]]\nname = "toilet discharge"\nseacock = "no"\n', "utf-8")
    found = json.loads(run(case, "--answers", answers, "--json").stdout)
    assert found["points"] == found["points_seen"]
    said = " ".join(run(case).stdout.split())
    assert f"{left['points_seen']} of {left['points']} critical and major points seen" in said
    assert left["points_told"] == left["points_seen"]  # no visit is recorded
    assert said.count("only told") == 1


def test_the_worst_findings_come_first_on_the_card_with_their_numbers_in_the_record():
    said, data = run(BAD).stdout, json.loads(run(BAD, "--json").stdout)
    worst = said.partition("\nCritical ")[2].partition("\n\n")[0]
    shown = re.findall(r"^ *([A-Z]+\d*-\d+[a-z]) ([^:]+):", worst, re.M)
    assert len(shown) > 5
    gravest = {}
    for item in data["findings"]:  # one line for each thing, with its gravest finding
        gravest.setdefault(item["number"].split("-")[0], (item["number"], item["where"].lower()))
    expected = list(gravest.values())[: len(shown)]
    assert [(number, " ".join(where.lower().split())) for number, where in shown] == expected
    critical = [item for item in data["look_at"] if item["severity"] == "critical"]
    assert f"({len(critical) - 3} more: --full)" in said.partition("\nOpen ")[2]


def test_json_gives_numbers_with_units():
    answer = json.loads(run(BAD, "--json").stdout)
    assert {"findings", "look_at", "waterlines", "strainers", "openings"} <= set(answer)
    assert answer["openings"][0]["flow"]["unit"] == "m3/s"
    assert answer["waterlines"][1]["angle"]["value"] is None
    assert answer["findings"][0]["severity"] == "critical"


def test_us_units():
    text = run(BAD, "--units", "us", "--full").stdout
    assert "gpm" in text
    assert " L/min" not in text.partition("What was assumed")[0]


class Outline(HTMLParser):
    """Checks that every tag is closed in order and collects what the page would fetch."""

    def __init__(self):
        super().__init__()
        self.open, self.fetched, self.titles = [], [], []

    def handle_starttag(self, tag, attrs):
        if tag not in VOID:
            self.open.append(tag)
        self.fetched += [value for name, value in attrs if name in ("src", "href")]

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] == "h2":
            self.titles.append(data)


def test_the_page_stands_alone_and_is_whole(tmp_path):
    file = tmp_path / "record.html"
    answer = run(BAD, "-o", file)
    assert answer.exit_code == 1
    assert f"Wrote {file}." in answer.stdout
    page = file.read_text(encoding="utf-8")
    outline = Outline()
    outline.feed(page)
    assert outline.open == []
    assert all(item.startswith("#") for item in outline.fetched)  # signs of the page itself
    assert re.findall(r"url\((?!#)", page) == []
    for title in ("Cautions", "Findings", f"Annex: {LOOK_AT}", "What was assumed"):
        assert title in outline.titles
    for word in ("Identity", "Date", "Afloat or ashore", "Not seen, not opened", "Surveyor"):
        assert word in page
    assert "@media print" in page
    assert "width=device-width" in page


def test_a_name_cannot_break_the_page(tmp_path):
    case = tmp_path / "boat.toml"
    case.write_text(text_of(patched({"boat.name": '<b>&"x"</b>'})), encoding="utf-8")
    file = tmp_path / "record.html"
    run(case, "-o", file)
    assert "<b>&" not in file.read_text(encoding="utf-8")


def test_the_record_as_text(tmp_path):
    file = tmp_path / "record.txt"
    assert run(BAD, "-o", file).exit_code == 1
    assert "Signed ____" in file.read_text(encoding="utf-8")


@pytest.mark.parametrize("option", ["-o", "--checklist"])
def test_no_file_is_written_over(tmp_path, option):
    file = tmp_path / "there.html"
    file.write_text("mine", encoding="utf-8")
    other = tmp_path / "other.toml"
    more = ["--checklist", other] if option == "-o" else ["-o", tmp_path / "other.html"]
    answer = run(BAD, option, file, *more)
    assert answer.exit_code == 2
    assert "W01" in answer.stderr
    assert file.read_text(encoding="utf-8") == "mine"
    assert not other.exists()
    assert not (tmp_path / "other.html").exists()


def test_an_empty_checklist_changes_nothing(unseen, tmp_path):
    file = tmp_path / "checklist.toml"
    run(unseen, "--checklist", file)
    assert tomllib.loads(file.read_text(encoding="utf-8"))["record"]["date"] == ""
    before, after = run(unseen, "--json"), run(unseen, "--answers", file, "--json")
    assert json.loads(before.stdout) == json.loads(after.stdout)


def filled(text, answers):
    """A checklist with some keys answered everywhere they stand."""
    for key, value in answers.items():
        text = re.sub(rf'^{key} = ""', f"{key} = {value}", text, flags=re.M)
    return text


@pytest.mark.parametrize("case", [BAD, FILE])
def test_an_empty_checklist_of_a_known_boat_changes_nothing(case, tmp_path):
    file = tmp_path / "checklist.toml"
    run(case, "--checklist", file)
    before, after = run(case, "--json"), run(case, "--answers", file, "--json")
    before, after = json.loads(before.stdout), json.loads(after.stdout)
    told = {item["number"]: item["became"] for item in after.pop("changes")}
    assert before.pop("changes") == []
    assert told == {item["number"]: "still open" for item in before["findings"]}
    assert before == after


def test_a_bilge_pump_keeps_what_the_case_knows_of_it(tmp_path):
    pumps = [{"name": "old", "automatic": True}, {"name": "hand", "capacity": "10 L/min"}]
    case = tmp_path / "boat.toml"
    case.write_text(text_of(patched({"seen.bilge_pump": pumps})), encoding="utf-8")
    file = tmp_path / "checklist.toml"
    run(case, "--checklist", file)
    text = file.read_text(encoding="utf-8")
    assert 'name = "old"' in text
    assert 'name = "hand"' in text
    file.write_text(text.replace('capacity = ""', 'capacity = "60 L/min"', 1), encoding="utf-8")
    found = json.loads(run(case, "--answers", file, "--json").stdout)
    assert found["bilge_pumps"] == ["old", "hand"]
    assert found["bilge_capacity"]["value"] == pytest.approx(70.0 / 60000.0)
    assert "bilge_pump" not in {item["key"] for item in found["look_at"]}


GOOD_ANSWERS = {
    "hull_material": '"reinforced plastic"',
    "material": '"bronze"',
    "fuel": '"diesel"',
    "moves_freely": '"yes"',
    "weeps": '"no"',
    "threads_engaged": '"6"',
    "clamps_at_each_end": "2",
    "age": '"3 year"',
    "return_air_from": '"cabin"',
    "breaker": '"10 A"',
    "capacity": '"110 L/min"',
    "automatic": '"yes"',
    "lay": '"ashore"',
    "date": '"3 May"',
}


def test_answers_are_read_back_and_the_findings_follow(unseen, tmp_path):
    file = tmp_path / "checklist.toml"
    run(unseen, "--checklist", file)
    file.write_text(filled(file.read_text(encoding="utf-8"), GOOD_ANSWERS), encoding="utf-8")
    answer = run(unseen, "--answers", file, "--json")
    found = json.loads(answer.stdout)
    critical = [item for item in found["look_at"] if item["severity"] == "critical"]
    assert answer.exit_code == (3 if critical else 0)
    assert found["findings"] == []
    assert found["record"]["lay"] == "ashore"
    left = {item["key"] for item in found["look_at"]}
    assert left & set(GOOD_ANSWERS) == set()
    assert "in_reach" in left


def test_a_bad_answer_becomes_a_finding(unseen, tmp_path):
    file = tmp_path / "checklist.toml"
    run(unseen, "--checklist", file)
    bad = {"moves_freely": '"no"', "condition": '"blistered"', "clamps_at_each_end": "1"}
    file.write_text(filled(file.read_text(encoding="utf-8"), bad), encoding="utf-8")
    answer = run(unseen, "--answers", file, "--json")
    assert answer.exit_code == 1
    rules = {item["rule"] for item in json.loads(answer.stdout)["findings"]}
    assert rules == {"seacock-seized", "hose-state", "clamps-too-few"}


def test_heights_and_sides_can_be_answered_too(tmp_path):
    case = tmp_path / "boat.toml"
    drop = {"seacock.1.type": "none", "outlet.0.at": "drop", "outlet.0.height": "0.15 m"}
    case.write_text(text_of(patched(drop)), encoding="utf-8")
    first = json.loads(run(case, "--json").stdout)
    assert ("topside outlet", "starboard") in {(i["thing"], i["key"]) for i in first["look_at"]}
    file = tmp_path / "checklist.toml"
    run(case, "--checklist", file)
    text = filled(file.read_text(encoding="utf-8"), {"starboard": '"1.75 m"', "aft": '"6.8 m"'})
    file.write_text(text, encoding="utf-8")
    found = json.loads(run(case, "--answers", file, "--json").stdout)
    assert "heeled-opening" in {item["rule"] for item in found["findings"]}


def checklist(case, folder):
    """The checklist of a case, as a file and as text."""
    file = folder / "checklist.toml"
    run(case, "--checklist", file)
    return file, file.read_text(encoding="utf-8")


def patched_case(folder, patch):
    case = folder / "boat.toml"
    case.write_text(text_of(patched(patch)), encoding="utf-8")
    return case


def surveyed(case, answers=None):
    """Findings as (rule, where), and open questions as (thing, key)."""
    more = [] if answers is None else ["--answers", answers]
    found = json.loads(run(case, *more, "--json").stdout)
    rules = {(item["rule"], item["where"]) for item in found["findings"]}
    return rules, {(item["thing"], item["key"]) for item in found["look_at"]}


def test_what_a_shared_intake_feeds_is_answered_and_judged(tmp_path):
    case = patched_case(tmp_path, {"through_hull.0.also_feeds": [{"name": "deck wash"}]})
    assert ("cooling intake", "also_feeds") in surveyed(case)[1]
    file, text = checklist(case, tmp_path)
    assert '[[intake.also_feeds]]\nname = "deck wash"' in text
    start, _, rest = text.partition('name = "deck wash"')
    rest = rest.replace('bore = ""', 'bore = "25 mm"', 1)
    file.write_text(f'{start}name = "deck wash"{rest}', encoding="utf-8")
    rules, left = surveyed(case, file)
    assert ("shared-area", "cooling intake") in rules  # 25 mm feed two hoses of 25 mm
    assert ("cooling intake", "also_feeds") not in left


def test_the_cable_is_answered_and_judged(tmp_path):
    case = patched_case(tmp_path, {"pump.0.cable": "drop"})
    assert ("pump", "cable") in surveyed(case)[1]
    file, text = checklist(case, tmp_path)
    answers = {r"cable\.length": '"150 m"', r"cable\.conductor": '"0.2 mm2"'}
    for key, value in answers.items():
        text, count = re.subn(rf'^({key}) = ""', rf"\1 = {value}", text, flags=re.M)
        assert count == 1
    text = text.replace('cable.hot_space = ""', 'cable.hot_space = "no"')
    file.write_text(text, encoding="utf-8")
    rules, left = surveyed(case, file)
    assert ("pump-volts", "pump") in rules
    assert ("pump", "cable") not in left


def test_an_answer_keeps_what_is_known_of_the_cable(tmp_path):
    case = patched_case(tmp_path, {"pump.0.cable": {"length": "7 m"}})
    file, text = checklist(case, tmp_path)
    file.write_text(
        text.replace('cable.conductor = ""', 'cable.conductor = "0.2 mm2"'), encoding="utf-8"
    )
    rules, left = surveyed(case, file)
    assert ("pump-wire-too-thin", "pump") in rules
    assert ("pump", "cable") not in left


def test_the_tube_of_a_coil_is_answered_and_judged(tmp_path):
    case = patched_case(tmp_path, {"unit.0.tube": "drop"})
    assert ("saloon unit", "tube") in surveyed(case)[1]
    file, text = checklist(case, tmp_path)
    text = text.replace('tube.bore = ""', 'tube.bore = "9 mm"')
    text = text.replace('tube.length = ""', 'tube.length = "5 m"')
    file.write_text(text, encoding="utf-8")
    rules, left = surveyed(case, file)
    assert ("coil-velocity", "saloon unit") in rules
    assert ("saloon unit", "tube") not in left


def test_an_opening_found_on_board_is_listed_and_judged(tmp_path):
    case = patched_case(tmp_path, {"seen.all_openings_listed": "drop"})
    file, text = checklist(case, tmp_path)
    start, _, block = text.rpartition("[[skin_fitting]]")
    for key, value in {
        "name": '"basin"',
        "use": '"grey water discharge"',
        "aft": '"5.0 m"',
        "starboard": '"0.3 m"',
        "height": '"-0.4 m"',
        "bore": '"25 mm"',
        "seacock": '"no"',
    }.items():
        block = re.sub(rf'^{key} = ""', f"{key} = {value}", block, flags=re.M)
    start = start.replace('all_openings_listed = ""', 'all_openings_listed = "yes"')
    file.write_text(f"{start}[[skin_fitting]]{block}", encoding="utf-8")
    rules, left = surveyed(case, file)
    assert {("seacock-missing", "basin"), ("intake-discharge", "cooling intake")} <= rules
    assert left == set()


def test_what_is_left_open_of_an_opening_is_answered(tmp_path):
    case = patched_case(tmp_path, {"skin_fitting.0.seacock": "drop"})
    assert surveyed(case)[1] == {("toilet discharge", "seacock")}
    file, text = checklist(case, tmp_path)
    file.write_text(text.replace('seacock = ""', 'seacock = "no"'), encoding="utf-8")
    assert surveyed(case, file) == ({("seacock-missing", "toilet discharge")}, set())


def test_how_often_the_strainer_is_cleaned_is_answered(tmp_path):
    case = patched_case(tmp_path, {"design.cleaning_interval": "drop"})
    file, text = checklist(case, tmp_path)
    text = text.replace('cleaning_interval = ""', 'cleaning_interval = "20 day"')
    file.write_text(text, encoding="utf-8")
    assert surveyed(case, file) == ({("strainer-cleaning", "strainer")}, set())


def test_heel_and_trim_are_shown_together(tmp_path):
    found = json.loads(run(CASES / "motor-three-units.toml", "--json").stdout)
    assert found["working_trim"]["value"] == pytest.approx(0.02618, rel=1e-3)
    chest = next(item for item in found["trimmed"] if item["name"] == "sea chest")
    # 0.85 m deep, 0.55 m to starboard, 2.1 m abaft the middle of the waterline; 8 and 1.5 degrees:
    # (-0.85 cos 8 + 0.55 sin 8) cos 1.5 + 2.1 sin 1.5
    assert chest["port_bow"]["value"] == pytest.approx(-0.7099, abs=5e-4)
    text = run(CASES / "motor-three-units.toml", "--full").stdout
    assert "The same, heeled and trimmed" in text
    file = tmp_path / "record.html"
    run(CASES / "motor-three-units.toml", "-o", file)
    assert "stbd, bow" in file.read_text(encoding="utf-8")
    assert "Trim is left out" in run(BAD, "--full").stdout


def test_a_trim_that_is_assumed_is_said():
    text = " ".join(run(CASES / "ketch-one-unit.toml", "--full").stdout.split())
    assert "trim, bow or stern down, looked at where the case gives none: 2 deg" in text
    text = run(CASES / "motor-three-units.toml", "--full").stdout
    assert "looked at where the case gives none" not in text


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ('[[seacock]]\nname = "nobody"\n', "A01"),
        ("[[mast]]\nname = 1\n", "A02"),
        ('[[seacock]]\nname = "intake seacock"\ncolour = "red"\n', "K01"),
        ('[[seacock]]\nname = "intake seacock"\nmaterial = "cheese"\n', "K11"),
        ('[[hose]]\nname = "hose strainer to pump"\nage = "old"\n', "K04"),
        ('[[seacock]]\nname = "intake seacock"\nmoves_freely = "perhaps"\n', "K10"),
        ('[[pump]]\nname = "pump"\nfitted = "no-such-pump"\n', "S16"),
        ("[record\n", "F05"),
        ('[[pump]]\nname = "pump"\ncable.colour = "red"\n', "K01"),
        ('[[pump]]\nname = "pump"\ncable = "long"\n', "K10"),
        ('[[unit]]\nname = "saloon unit"\ntube.bore = "13"\n', "K03"),
        ('[[skin_fitting]]\nname = "basin"\n', "K02"),
        ('[[skin_fitting]]\nname = "toilet discharge"\nuse = "tea"\n', "K11"),
    ],
)
def test_answers_that_cannot_be_used(text, code, tmp_path):
    file = tmp_path / "answers.toml"
    file.write_text(text, encoding="utf-8")
    answer = run(FILE, "--answers", file)
    assert answer.exit_code == 2
    assert f"{code}  " in answer.stderr


def test_a_checklist_begins_with_the_cautions_of_the_card(tmp_path):
    file = tmp_path / "visit.toml"
    run(BAD, "--checklist", file)
    head = " ".join(file.read_text(encoding="utf-8").split("[record]")[0].replace("#", " ").split())
    answer = survey(load_case(str(BAD), gaps=True).case)
    briefs = [item.brief for item in answer.cautions if item.brief]
    assert briefs and [head.count(one) for one in briefs] == [1] * len(briefs)
