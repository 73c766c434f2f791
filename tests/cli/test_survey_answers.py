"""Answers to a survey: taken names, second rounds, contradictions, parts of a table, seacocks."""

import json
import re

import pytest
from click.testing import CliRunner
from survey_boats import FILE, patched, text_of

from seaflow.cli.main import main
from seaflow.forms.days import is_a_day


def run(*arguments):
    return CliRunner().invoke(main, ["survey", *map(str, arguments)])


def write(path, text):
    path.write_text(text, encoding="utf-8")
    return path


def case_of(folder, patch):
    return write(folder / "boat.toml", text_of(patched(patch)))


def answers(folder, text, name="answers.toml"):
    return write(folder / name, text)


def surveyed(case, *files):
    more = [part for file in files for part in ("--answers", file)]
    return json.loads(run(case, *more, "--json").stdout)


def rules_of(found):
    return {(item["rule"], item["where"]) for item in found["findings"]}


def left_of(found):
    return {(item["thing"], item["key"]) for item in found["look_at"]}


HOLE = (
    'use = "galley discharge"\nbore = "38 mm"\naft = "9 m"\nstarboard = "0.3 m"\n'
    'height = "-0.4 m"\nseacock = "no"\n'
)


@pytest.mark.parametrize("name", ["topside outlet", "pump", "cooling intake", "intake seacock"])
def test_a_name_that_is_taken_is_refused_with_its_line(name, tmp_path):
    file = answers(tmp_path, f'[[skin_fitting]]\nname = "{name}"\n{HOLE}')
    answer = run(FILE, "--answers", file)
    assert answer.exit_code == 2
    assert f"S02  {file}:2" in answer.stderr
    assert "is taken" in answer.stderr
    assert "Write another name" in answer.stderr


def test_two_new_openings_of_one_name_are_refused(tmp_path):
    block = f'[[skin_fitting]]\nname = "basin"\n{HOLE}'
    answer = run(FILE, "--answers", answers(tmp_path, block + block))
    assert answer.exit_code == 2
    assert "S02  " in answer.stderr


def test_two_blocks_of_one_thing_both_count(tmp_path):
    text = (
        '[[seacock]]\nname = "intake seacock"\nmoves_freely = "no"\n'
        '[[seacock]]\nname = "intake seacock"\nlabelled = "no"\n'
    )
    found = rules_of(surveyed(FILE, answers(tmp_path, text)))
    assert {rule for rule, _ in found} == {"seacock-seized", "seacock-no-label"}


@pytest.mark.parametrize(
    "text",
    [
        '[pump]\nname = "pump"\nleaks = "yes"\n',
        '[[boat]]\nfuel = "petrol"\n',
        '[[skin_fitting]]\nuse = "cockpit drain"\n',
        '[[hose]]\nage = "3 year"\n',
    ],
)
def test_what_would_be_left_out_is_refused(text, tmp_path):
    answer = run(FILE, "--answers", answers(tmp_path, text))
    assert answer.exit_code == 2
    assert '"None"' not in answer.stderr


UNSEEN = {
    "seen.fuel": "drop",
    "seen.bilge_alarm": "drop",
    "seen.all_openings_listed": "drop",
    "seen.bilge_pump": "drop",
    "pump.0.cable": "drop",
    "pump.0.seen": {"leaks": False},
    "seacock.0.seen": {"on_the_fitting": True},
}


def first_round(folder):
    case = case_of(folder, UNSEEN)
    text = (
        '[record]\nsurveyor = "A. Nobody"\ndate = "3 May 2025"\n'
        '[boat]\nfuel = "diesel"\n'
        '[[bilge_pump]]\nname = "electric"\ncapacity = "20 L/min"\n'
        '[[pump]]\nname = "pump"\ncable.conductor = "0.2 mm2"\nbreaker = "10 A"\n'
        '[[seacock]]\nname = "intake seacock"\nmoves_freely = "no"\n'
        f'[[skin_fitting]]\nname = "galley sink"\n{HOLE}'
    )
    return case, answers(folder, text, "first.toml")


def test_a_second_checklist_holds_all_answers_and_reads_back_to_the_same(tmp_path):
    case, first = first_round(tmp_path)
    second = tmp_path / "second.toml"
    assert run(case, "--answers", first, "--checklist", second).exit_code == 1
    before, after = surveyed(case, first), surveyed(case, second)
    assert rules_of(after) == rules_of(before)
    assert left_of(after) == left_of(before)
    blank = dict.fromkeys(("date", "surveyor", "lay"))  # who goes on writes those anew
    assert after["record"] == before["record"] | blank | {"not_seen": []}
    third = tmp_path / "third.toml"
    run(case, "--answers", second, "--checklist", third)
    assert third.read_text(encoding="utf-8") == second.read_text(encoding="utf-8")
    text = second.read_text(encoding="utf-8")
    assert re.search(r'^cable.conductor = "measured .*: 0.2 mm2"', text, flags=re.M)  # its day too
    text = text.replace('cable.length = ""', 'cable.length = "150 m"')
    second.write_text(text.replace('bilge_alarm = ""', 'bilge_alarm = "no"'), encoding="utf-8")
    found = rules_of(surveyed(case, second))
    assert {("pump-volts", "pump"), ("bilge-alarm", "the boat")} <= found
    assert ("seacock-missing", "galley sink") in found


def test_later_answers_count_over_earlier_ones_and_it_is_said(tmp_path):
    case, first = first_round(tmp_path)
    later = answers(tmp_path, '[boat]\nfuel = "petrol"\n', "later.toml")
    found = surveyed(case, first, later)
    (said,) = found["overruled"]
    assert (said["key"], said["was"], said["now"]) == ("fuel", "diesel", "petrol")
    assert said["was_in"] == str(first)
    assert ("pump", "in_petrol_space") in left_of(found)
    assert found["record"]["surveyor"] == "A. Nobody"


def test_an_answer_that_differs_from_the_case_counts_and_both_are_named(tmp_path):
    text = (
        '[boat]\nworks_to_heel = "20 deg"\n'
        '[[seacock]]\nname = "intake seacock"\nmoves_freely = "no"\nlabelled = "yes"\n'
        '[[strainer]]\nname = "strainer"\nheight = "10 cm"\n'
        '[[pump]]\nname = "pump"\ncable.length = "9 m"\n'
    )
    file = answers(tmp_path, text)
    found = surveyed(FILE, file)
    assert {(item["key"], item["was"], item["now"]) for item in found["overruled"]} == {
        ("works_to_heel", "15 deg", "20 deg"),
        ("moves_freely", "yes", "no"),
        ("height", "-50 cm", "10 cm"),
        ("cable.length", "7 m", "9 m"),
    }
    assert ("strainer-above-water", "strainer") in rules_of(found)
    words = " ".join(run(FILE, "--answers", file, "--full").stdout.split())
    assert f"intake seacock, moves_freely: no ({file}); yes in the case" in words
    page = tmp_path / "record.html"
    run(FILE, "--answers", file, "-o", page)
    assert "differ from what was recorded" in page.read_text(encoding="utf-8")


def test_an_error_of_an_answer_points_to_the_checklist(tmp_path):
    file = answers(tmp_path, '# head\n[[pump]]\nname = "pump"\nfitted = "no-such-pump"\n')
    assert f"{file}:4" in run(FILE, "--answers", file).stderr
    file = answers(tmp_path, '[[pump]]\nname = "pump"\ncable.length = "long"\n')
    assert f"{file}:3" in run(FILE, "--answers", file).stderr
    for hose in ("hose cooling intake to strainer", "hose saloon unit to topside outlet"):
        file = answers(tmp_path, f'[[hose]]\nname = "{hose}"\nkind = "no-such-hose"\n')
        assert f"{file}:3" in run(FILE, "--answers", file).stderr


def test_a_part_of_a_table_is_kept_and_judged(tmp_path):
    case = case_of(tmp_path, {"pump.0.cable": "drop"})
    found = surveyed(
        case, answers(tmp_path, '[[pump]]\nname = "pump"\ncable.conductor = "0.2 mm2"\n')
    )
    assert ("pump-wire-too-thin", "pump") in rules_of(found)
    assert left_of(found) == {("pump", "cable")}  # its length, for the volts


def test_yes_and_no_are_asked_for_in_those_words(tmp_path):
    file = answers(tmp_path, '[[seacock]]\nname = "intake seacock"\nmoves_freely = "perhaps"\n')
    assert "must be yes or no" in run(FILE, "--answers", file).stderr


@pytest.mark.parametrize("text", ["3 May", "3 May 2025", "2024-02-29", "29 Feb", "May 3, 2025"])
def test_a_day_is_a_day(text):
    assert is_a_day(text)


@pytest.mark.parametrize("text", ["31 Feb 2025", "2025-02-29", "32.1.2025", "Feb 30", "0 May"])
def test_an_impossible_date_is_refused(text, tmp_path):
    assert not is_a_day(text)
    answer = run(FILE, "--answers", answers(tmp_path, f'[record]\ndate = "{text}"\n'))
    assert answer.exit_code == 2
    assert "there is no day" in answer.stderr


DEPTHLESS = {"through_hull.0.at": "drop", "seacock.0": "drop"}


def test_a_seacock_that_is_not_recorded_is_asked_for_and_can_be_told(tmp_path):
    case = case_of(tmp_path, DEPTHLESS)
    found = surveyed(case)
    assert ("cooling intake", "seacock") in left_of(found)
    assert "seacock-missing" not in {rule for rule, _ in rules_of(found)}
    file = tmp_path / "checklist.toml"
    run(case, "--checklist", file)
    text = file.read_text(encoding="utf-8")
    assert rules_of(surveyed(case, file)) == rules_of(found)  # left empty it changes nothing
    start, _, block = text.partition('name = "seacock on cooling intake"')
    told = block.replace('type = ""', 'type = "gate valve"', 1)
    told = told.replace('bore = ""', 'bore = "25 mm"', 1)
    named = f'{start}name = "wheel valve"'
    found = surveyed(case, write(file, named + told))
    assert ("gate-valve", "wheel valve") in rules_of(found)
    assert ("cooling intake", "seacock") not in left_of(found)
    again = tmp_path / "again.toml"
    run(case, "--answers", file, "--checklist", again)
    assert rules_of(surveyed(case, again)) == rules_of(found)
    none = block.replace('type = ""', 'type = "none"', 1)
    found = surveyed(case, write(file, f'{start}name = "nothing"{none}'))
    assert ("seacock-missing", "cooling intake") in rules_of(found)


def test_a_case_that_lists_no_seacock_is_asked(tmp_path):
    raw = patched({"seacock.1": "drop"})
    del raw["seacock"]
    found = surveyed(write(tmp_path / "boat.toml", text_of(raw)))
    assert ("cooling intake", "seacock") in left_of(found)
    assert found["findings"] == []


def test_a_seacock_belongs_to_one_opening(tmp_path):
    text = '[[seacock]]\nname = "x"\non = "cooling intake"\nbore = "25 mm"\n'
    answer = run(FILE, "--answers", answers(tmp_path, text))
    assert answer.exit_code == 2
    assert "has a seacock already" in answer.stderr


def test_us_units_reach_the_checklist_and_the_texts(tmp_path):
    case = case_of(tmp_path, UNSEEN | {"seacock.0.seen": "drop", "skin_fitting.0.seacock": False})
    file = tmp_path / "checklist.toml"
    record = tmp_path / "record.txt"
    run(case, "--checklist", file, "-o", record, "--units", "us")
    text = file.read_text(encoding="utf-8")
    assert 'Such as "7.93 gpm"' in text
    assert not re.search(r"\d (mm|m|L/min)\b", text)
    words = record.read_text(encoding="utf-8").partition("What was assumed")[0]
    assert "4.7 in under water" in words  # 0.12 m
    assert not re.search(r"\d (mm|m|cm2|m3|L/min|kPa)\b", words)


def test_the_pumps_of_each_hull_are_held_against_its_own_openings(tmp_path):
    hull = {"boat.hull": "motor multihull"}
    pumps = [{"name": "one", "capacity": "200 L/min", "automatic": True}]
    found = surveyed(case_of(tmp_path, hull | {"seen.bilge_pump": pumps}))
    assert ("the boat", "bilge_pump") in left_of(found)
    pumps[0]["hull"] = "port"
    found = surveyed(case_of(tmp_path, hull | {"seen.bilge_pump": pumps}))
    assert ("the boat", "bilge_pump") in left_of(found)
    pumps.append({"name": "two", "capacity": "20 L/min", "automatic": True, "hull": "starboard"})
    found = surveyed(case_of(tmp_path, hull | {"seen.bilge_pump": pumps}))
    assert ("bilge-pump-too-small", "the starboard hull") in rules_of(found)
    assert ("bilge-pump-too-small", "the port hull") not in rules_of(found)


def test_a_bound_is_told_in_plain_numbers(tmp_path):
    file = answers(tmp_path, '[boat]\ncleaning_interval = "0 day"\n')
    answer = run(FILE, "--answers", file)
    assert answer.exit_code == 2
    assert "e-05" not in answer.stderr


def test_words_to_choose_from_are_named(tmp_path):
    raw = patched({"seen.all_openings_listed": "drop"})
    del raw["seacock"]
    file = tmp_path / "checklist.toml"
    run(write(tmp_path / "boat.toml", text_of(raw)), "--checklist", file)
    text = file.read_text(encoding="utf-8")
    assert '"gate valve", "none"' in text
    assert 'Such as "hull no. 7"' in text
    assert "True if" not in text
    assert "left empty counts for nothing" in " ".join(text.replace("#", "").split())
