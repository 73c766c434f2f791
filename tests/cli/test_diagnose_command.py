"""The commands `baseline` and `diagnose`: what they say, in which order, and what they keep."""

from __future__ import annotations

import json
import re
import shutil
import tomllib
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.cli.main import main
from seaflow.forms.days import this_day
from seaflow.present import layout
from seaflow.present.quantities import Show
from seaflow.studies.design.cautions import named_cautions
from seaflow.studies.diagnose.faults import faults
from seaflow.studies.diagnose.readings import instruments, signs
from seaflow.studies.diagnose.verdict import SALT_WATER

pytestmark = pytest.mark.usefixtures("asked_once")

KETCH = "cases/ketch-one-unit.toml"
QUICK = ("--draws", "2048")


def run(*words, typed=None):
    return CliRunner().invoke(main, [str(word) for word in words], input=typed)


def asked(*words):
    """The answer as data, of a command that could be answered."""
    answer = run(*words, "--json")
    assert answer.exit_code in (0, 1), answer.output
    return json.loads(answer.stdout)


def kinds(facts):
    return [fact["kind"].partition(".")[2] for fact in facts]


@pytest.fixture
def boat(tmp_path):
    return shutil.copy(KETCH, tmp_path / "boat.toml")


def test_the_verdict_comes_first_and_cautions_before_any_instruction():
    words = ("--sea", "27 degC", "--discharge", "43 degC", *QUICK, "--full")
    answer = run("diagnose", KETCH, *words)
    heads = [
        "Act soon",
        "Careful",
        "Look here",
        "Then here",
        "Stop if",
        "Odds",
        "Next",
        "Causes",
        "Cautions",
        "Next test",
        "What to do",
    ]
    places = [answer.output.index(f"\n{head}") for head in (*heads, "What this rests on")]
    assert places == sorted(places)
    assert "seacock" in answer.output[places[-4] : places[-3]]
    assert "The cut-out is" in " ".join(answer.output.split())


@pytest.mark.parametrize(
    ("words", "code", "verdict"),
    [
        (("--sea", "29 degC", "--discharge", "34.8 degC"), 0, "normal"),
        (("--stream", "none"), 1, "stop_now"),
        ((), 0, "unread"),
    ],
)
def test_exit_code_follows_the_verdict(words, code, verdict):
    answer = run("diagnose", KETCH, *words, *QUICK, "--json")
    assert answer.exit_code == code, answer.output
    assert json.loads(answer.output)["verdict"]["word"]["kind"] == f"diagnose.{verdict}"


def test_the_verdict_says_what_was_read_and_what_is_usual():
    answer = run("diagnose", KETCH, "--sea", "27 degC", "--discharge", "43 degC", *QUICK)
    said = " ".join(answer.output.split())
    assert re.search(
        r"Act soon 43.0 °C leaves .saloon unit.; healthy is 3\d.\d to 3\d.\d °C\.", said
    )


def test_a_file_of_readings_says_the_same_as_options(tmp_path):
    file = tmp_path / "read.toml"
    file.write_text(
        '[[reading]]\nsea = "27 degC"\ndischarge = { "saloon unit" = "39 degC" }\n'
        'bucket = "80"\ntried = ["cleaned strainer"]\n'
    )
    by_file = run("diagnose", KETCH, "--readings", file, *QUICK)
    words = ("--sea", "27 degC", "--discharge", "saloon unit=39 degC", "--bucket", "80 s")
    by_options = run("diagnose", KETCH, *words, "--tried", "cleaned strainer", *QUICK)
    assert by_file.output == by_options.output


def test_readings_choose_the_loop():
    case = "cases/catamaran-two-loops.toml"
    first = asked("diagnose", case, "--loop", "port hull", *QUICK)
    assert (first["loop"], first["other_loops"]) == ("port hull", ["starboard hull"])
    assert asked("diagnose", case, "--loop", "starboard hull", *QUICK)["loop"] == "starboard hull"
    for outlet in ("starboard outlet", "Starboard", "star"):
        bucket = ("--bucket", f"{outlet}=60")
        assert asked("diagnose", case, *bucket, *QUICK)["loop"] == "starboard hull"


@pytest.mark.parametrize("command", ["diagnose", "baseline"])
def test_no_loop_is_taken_for_standing_first_in_the_file(command):
    told = run(command, "cases/catamaran-two-loops.toml", "--sea", "27C")
    assert told.exit_code == 2 and "D02" in told.stderr
    assert '"port hull"' in told.stderr and '"starboard hull"' in told.stderr


@pytest.mark.parametrize(
    ("words", "says"), [(("--bilge", "yes"), True), (("--bilge", "dry"), False), ((), False)]
)
def test_water_that_comes_in_is_answered_before_the_question_which_loop(words, says):
    told = run("diagnose", "cases/catamaran-two-loops.toml", *words)
    assert told.exit_code == 2 and "D02" in told.stderr
    assert told.stderr.startswith(Show().sentence(SALT_WATER)) is says


@pytest.mark.parametrize("typed", ["2", "nowhere\nstarboard", "\nSTARBOARD HULL"])
def test_the_interview_asks_which_loop_first(typed):
    words = ("diagnose", "cases/catamaran-two-loops.toml", "--ask", *QUICK)
    told = run(*words, typed=f"{typed}\nstop\n")
    if typed.startswith("\n"):  # passed over: nothing can be asked of no loop
        assert told.exit_code == 2 and "D02" in told.stderr
        return
    assert "loop of starboard hull" in told.stdout


def test_a_loop_may_be_named_by_its_beginning_and_is_asked_back_where_that_is_two():
    case = "cases/catamaran-two-loops.toml"
    for loop in ("STARBOARD hull", "starboard", "st"):
        assert asked("diagnose", case, "--loop", loop, *QUICK)["loop"] == "starboard hull"
    told = run("diagnose", case, "--loop", "hull", *QUICK)
    assert (
        told.exit_code == 2 and '"port hull"' in told.stderr and '"starboard hull"' in told.stderr
    )


def test_a_reading_that_may_be_of_two_loops_asks_which(tmp_path):
    text = Path("cases/catamaran-two-loops.toml").read_text(encoding="utf-8")
    boat = tmp_path / "boat.toml"
    names = {"saloon unit": "cabin of the saloon", "cabin unit": "cabin aft"}
    for old, new in names.items():
        assert f'"{old}"' in text
        text = text.replace(f'"{old}"', f'"{new}"')
    boat.write_text(text, encoding="utf-8")
    told = run("diagnose", str(boat), "--discharge", "cabin=36C", *QUICK)
    assert told.exit_code == 2 and "D02" in told.stderr
    assert '"port hull"' in told.stderr and '"starboard hull"' in told.stderr
    words = ("--discharge", "cabin=36C", "--loop", "star")
    assert asked("diagnose", str(boat), *words, *QUICK)["loop"] == "starboard hull"


def test_json_holds_the_same_causes():
    words = ("diagnose", KETCH, "--stream", "pulsing", "--bubbles", "yes", *QUICK)
    data = json.loads(run(*words, "--json").output)
    assert data["causes"][0]["title"] in run(*words, "--full").output
    assert data["causes"][0]["chance"]["unit"] == "-"
    assert data["verdict"]["to_cut_out"]["unit"] == "K"


def test_asks_one_question_at_a_time_and_stops_when_told():
    answer = run("diagnose", KETCH, "--ask", *QUICK, typed="weak\nblue\n\nstop\n")
    assert answer.exit_code in (0, 1), answer.output
    assert "How is, or was, the stream" in answer.output
    assert answer.output.index("So far:") < answer.output.index("\nLook here")
    assert "Not read" in run("diagnose", KETCH, "--ask", *QUICK, typed="").output


def questions(typed, *words):
    """What is asked in an interview, one text for each question, and the answer as data."""
    done = run("diagnose", KETCH, "--ask", "--json", *words, *QUICK, typed=typed)
    return done.stderr.split("\n> "), json.loads(done.stdout)


def test_an_answer_is_gone_back_to_and_mended():
    plain, right = questions("weak\nnormal\nstop\n")
    mended, data = questions("strong\nback\nweak\nnormal\nstop\n")
    assert data == right
    assert plain[0].count("back") == 1  # told once, at the start
    assert 'You answered "strong"' in mended[2] and "You answered" not in mended[0]
    assert mended[3:] == plain[1:]


def test_whoever_goes_back_may_keep_what_was_answered_or_pass_it_over():
    typed = "weak\nnormal\nback\nback\n"
    told, data = questions(f"{typed}\n\nstop\n")
    assert data == questions("weak\nnormal\nstop\n")[1]
    assert 'You answered "normal"' in told[3] and 'You answered "weak"' in told[4]
    told, data = questions(f"{typed}skip\nback\nstop\n")
    assert data == asked("diagnose", KETCH, "--pump", "normal", *QUICK)
    assert "You answered" not in told[-2]


@pytest.mark.parametrize("typed", ["none\nback\nstop\n", "none\nback\n"])
def test_whoever_leaves_after_going_back_has_not_taken_back_what_was_said(typed):
    _, data = questions(typed)
    assert data == asked("diagnose", KETCH, "--stream", "none", *QUICK)


def test_once_it_says_stop_no_question_takes_a_pump_or_unit_that_runs():
    told, _ = questions("weak\n\n\nstop\n", "--tripped", "yes", "--sea", "27C")
    assert len(told) > 3
    assert not any("after the start" in one or "stream's temperature" in one for one in told)
    running = [one.title for one in (*instruments().values(), *signs().values()) if one.running]
    asked_of = " ".join(told).lower()
    assert not any(f"{title.lower()}, with its unit" in asked_of for title in running)


def test_while_salt_water_comes_in_nothing_is_asked():
    told, _ = questions("weak\n\n\nstop\n", "--bilge", "salt", "--sea", "27C")
    assert len(told) == 1 and "shut the seacock first" in " ".join(told[0].split())


def test_an_example_of_answers_that_differ_has_two():
    done = run("diagnose", "cases/motor-three-units.toml", "--ask", *QUICK, typed="\n\n\nstop\n")
    lines = [one for one in (done.stdout + done.stderr).split("\n") if "Where they differ" in one]
    assert lines
    for line in lines:
        words = re.findall(r"=([^,.=]+)", line)
        assert len(set(words)) == len(words) == 2


def test_odds_of_no_place_are_no_line():
    told = run("diagnose", "cases/motor-three-units.toml", "--sea", "30C", *QUICK).stdout
    assert ": ." not in told and "(0%)" not in told and "Read " in told


def test_before_the_first_question_nothing_is_gone_back_to():
    told, data = questions("back\nBack.\nweak\nstop\n", "--sea", "27C")
    assert data == questions("weak\nstop\n", "--sea", "27C")[1]
    assert told[1].count("first question") == told[2].count("first question") == 1


def test_a_wrong_answer_after_going_back_is_asked_again_at_the_same_question():
    told, data = questions("weak\nback\nblue\nstrong\nstop\n")
    assert data == questions("strong\nstop\n")[1]
    assert "D04" in told[3] and "How is, or was, the stream" in told[3]


def test_the_sheet_has_a_band_and_a_blank_for_each_reading():
    answer = run("baseline", KETCH, "--sea", "24 degC", "--full")
    assert answer.exit_code == 0, answer.output
    for words in (
        *("discharge temperature", "rise over the sea", "seconds for a bucket", "amps of the pump"),
        *("gauge at the strainer", "gauge at the coil", "gauge at the pump inlet"),
        *("condensing temperature", "distance to the cut-out", "lowest stream under way"),
        *("sound at each pillow", "loaded trim", "Bleed"),
    ):
        assert words in answer.output
    assert answer.output.index("Careful") < answer.output.index("Start ")
    assert answer.output.index("Cautions") < answer.output.index("First fill")
    assert answer.output.count("________") > 15


def test_the_sheet_speaks_both_systems_of_units():
    assert "gpm" in run("baseline", KETCH, "--units", "us").output
    data = json.loads(run("baseline", KETCH, "--json").output)
    assert data["sea_temperature"] == {"value": pytest.approx(30.0), "unit": "degC"}


def test_stored_readings_correct_the_boat(boat):
    words = ("--sea", "24 degC", "--discharge", "29.9 degC", "--bucket", "40")
    assert "nothing_stored" in kinds(asked("baseline", boat, *words)["basis"])
    kept = run("baseline", boat, *words, "--store", "2026-05-01")
    assert kept.exit_code == 0, kept.output
    file = boat.with_name("boat.readings.toml")
    assert tomllib.loads(file.read_text())["reading"][0]["sea"] == "24 degC"
    assert asked("baseline", boat, *words)["n_stored"] == 1
    run("baseline", boat, *words, "--store", "2026-06-01")
    assert len(tomllib.loads(file.read_text())["reading"]) == 2
    assert asked("baseline", boat, *words)["n_stored"] == 2
    corrected = asked("diagnose", boat, *QUICK)
    assert corrected["from_baseline"] == 2
    assert "stored" in kinds(corrected["basis"])
    assert asked("diagnose", boat, "--no-baseline", *QUICK)["from_baseline"] == 0


@pytest.mark.parametrize("command", ["baseline", "diagnose"])
def test_stored_readings_of_a_loop_that_the_boat_has_not_are_told(boat, command):
    rows = ["old hull", "cooling intake", "old hull", "", "other boat", "COOLING"]
    read = 'sea = "24 degC"\ndischarge = "29.9 degC"\n'
    text = [f'[[reading]]\ndate = 2026-05-01\nloop = "{loop}"\n{read}' for loop in rows]
    file = boat.with_name("boat.readings.toml")
    file.write_text("".join(text), encoding="utf-8")
    refused = run(command, boat, "--json")
    assert refused.exit_code == 2
    problems = json.loads(refused.output)["problems"]
    assert [(one["code"], one["file"], one["line"]) for one in problems] == [
        ("D02", str(file), 3),
        ("D02", str(file), 23),
    ]
    for one, count, loop in zip(problems, ("2", "1"), ("old hull", "other boat"), strict=True):
        assert one["what"].startswith(count) and f'"{loop}"' in one["what"]
        assert '"cooling intake"' in one["why"]
    assert run(command, boat, "--no-baseline").exit_code in (0, 1)
    file.write_text("".join(text[row] for row in (1, 3, 5)), encoding="utf-8")
    data = asked(command, boat, "--sea", "24 degC")
    assert data.get("from_baseline", data.get("n_stored")) == 3


def test_stored_readings_of_one_loop_are_nothing_to_another(tmp_path):
    boat = tmp_path / "boat.toml"
    boat.write_text(Path("cases/catamaran-two-loops.toml").read_text(encoding="utf-8"))
    row = '[[reading]]\ndate = 2026-05-01\nloop = "starboard hull"\nsea = "24 degC"\n'
    boat.with_name("boat.readings.toml").write_text(row, encoding="utf-8")
    assert asked("baseline", boat, "--loop", "port hull")["n_stored"] == 0


@pytest.mark.parametrize("date", ["", "1850-01-01", "0026-05-31"])
def test_readings_of_no_day_are_not_stored(boat, date):
    words = ("--sea", "24 degC", "--discharge", "29.9 degC", "--bucket", "40")
    refused = run("baseline", boat, *words, "--store", date)
    assert refused.exit_code == 2 and "D03" in refused.output
    assert not boat.with_name("boat.readings.toml").exists()


def test_a_reading_of_a_file_that_cannot_be_read_is_told_with_its_line(boat):
    told = '[[reading]]\ndate = 2026-05-01\nsea = "27.5"\n'
    beside = boat.with_name("boat.readings.toml")
    beside.write_text(told, encoding="utf-8")
    other = boat.with_name("other.toml")
    other.write_text(told, encoding="utf-8")
    for words in (QUICK, ("--readings", other, "--no-baseline")):
        answer = run("diagnose", boat, *words, "--json")
        (problem,) = json.loads(answer.output)["problems"]
        file = other if other in words else beside
        assert (problem["code"], problem["file"], problem["line"]) == ("D03", str(file), 3)
    answer = run("diagnose", boat, "--readings", other, "--sea", "x", "--no-baseline", "--json")
    assert not json.loads(answer.output)["problems"][0]["file"]  # it was typed


def test_a_comma_of_a_bare_degree_is_told_with_its_scales(boat):
    refused = run("diagnose", boat, "--discharge", "43,2")
    assert '"43.2C"' in refused.output and '"43.2F"' in refused.output


def test_a_sick_reading_put_beside_the_case_is_told(boat):
    sick = '[[reading]]\ndate = 2026-05-01\nsea = "24 degC"\ndischarge = "44 degC"\n'
    boat.with_name("boat.readings.toml").write_text(sick)
    told = run("baseline", boat)
    assert told.exit_code == 0 and "2026-05-01" in told.stderr
    assert "2026-05-01" not in run("baseline", boat, "--no-baseline").stderr


def test_only_readings_that_show_a_healthy_boat_narrow_the_answer(boat):
    """What is not known, such as a discharge in a sea of which nothing was read, is not healthy."""
    rows = {
        "2026-05-01": 'discharge = "44 degC"',
        "2026-05-02": 'discharge = "29.9 degC"\nbucket = "40"',
        "2026-05-03": 'stream = "none"',
    }
    text = [f'[[reading]]\ndate = {date}\nsea = "24 degC"\n{row}' for date, row in rows.items()]
    text.append('[[reading]]\ndate = 2026-05-04\ndischarge = "29.9 degC"')
    file = boat.with_name("boat.readings.toml")
    file.write_text("\n".join(text))
    for command in ("diagnose", "baseline"):
        told = run(command, boat, "--sea", "24 degC", "--json")
        assert [date for date in rows if date in told.stderr] == ["2026-05-01", "2026-05-03"]
        assert "2026-05-04" in told.stderr
        data = json.loads(told.stdout)
        assert data.get("from_baseline", data.get("n_stored")) == 1
    file.write_text("\n".join(text[:1]))
    bent, plain = (asked("diagnose", boat, *words, *QUICK) for words in ((), ("--no-baseline",)))
    assert bent == plain


def test_a_rise_that_creeps_up_over_stored_days_is_told_in_both_commands(boat):
    rises = (5.6, 6.0, 6.3, 6.9, 7.1, 7.7)
    rows = [
        f'[[reading]]\ndate = 2026-05-{4 * k + 1:02}\nsea = "24 C"\ndischarge = "{24 + rise} C"'
        for k, rise in enumerate(rises)
    ]
    boat.with_name("boat.readings.toml").write_text("\n".join(rows))
    for command in ("diagnose", "baseline"):
        (trend,) = asked(command, boat, "--sea", "24C", "--discharge", "31.9C")["trends"]
        assert trend["is_told"] and 0.0 < trend["low"]["value"] < trend["per_week"]["value"]
        assert "0.7 K a week" in " ".join(run(command, boat, "--sea", "24C").output.split())
    assert asked("diagnose", boat, "--no-baseline", *QUICK)["trends"] == []


def test_a_baseline_takes_a_file_of_readings_as_diagnose_does(boat):
    file = boat.with_name("today.toml")
    read = 'date = 2026-06-01\nloop = "cooling intake"\nsea = "24 degC"\ndischarge = "29.9 degC"'
    file.write_text(f'[[reading]]\nsea = "20 degC"\n[[reading]]\n{read}\nbucket = "40"\n')
    words = ("--sea", "24 degC", "--discharge", "29.9 degC", "--bucket", "40")
    by_file = asked("baseline", boat, "--readings", file)
    assert by_file == asked("baseline", boat, *words)
    assert by_file["sea_temperature"]["value"] == 24.0
    assert asked("baseline", boat, "--readings", file, "--sea", "22C")["sea_temperature"] == {
        "value": 22.0,
        "unit": "degC",
    }
    kept = run("baseline", boat, "--readings", file, "--store", "2026-06-02")
    assert kept.exit_code == 0, kept.output
    (row,) = tomllib.loads(boat.with_name("boat.readings.toml").read_text())["reading"]
    assert (str(row["date"]), row["bucket"]) == ("2026-06-02", "40")
    file.write_text('[[reading]]\ndate = 2026-06-01\nnote = "at anchor"\n')
    assert "D03" in run("baseline", boat, "--readings", file, "--store", "2026-06-03").output


def test_a_sheet_that_stores_readings_counts_them_as_the_next_one_does(boat):
    words = ("--sea", "24 degC", "--discharge", "29.9 degC", "--bucket", "40")
    for date, n_stored in (("2026-05-01", 1), ("2026-06-01", 2)):
        storing = run("baseline", boat, *words, "--store", date, "--json")
        assert storing.exit_code == 0, storing.output
        assert json.loads(storing.stdout) == asked("baseline", boat, *words)
        assert json.loads(storing.stdout)["n_stored"] == n_stored


def test_no_readings_are_stored_where_the_answer_is_refused(boat):
    words = ("--sea", "24 degC", "--discharge", "29.9 degC", "--store", "2026-05-01")
    answer = run("baseline", boat, *words, "--section", "no such words")
    assert answer.exit_code == 2
    assert "A04" in answer.stderr
    assert "Stored" not in answer.output
    assert [path.name for path in boat.parent.iterdir()] == [boat.name]


def test_readings_are_stored_under_a_day_that_has_come(boat):
    """A clock on board may be some days behind; a day of next year was typed wrong."""
    words = ("baseline", boat, "--sea", "24 degC", "--discharge", "29.9 degC", "--store")
    today = this_day()
    for date in ("9999-12-31", "20260501", "2026-W18-5", today + timedelta(30)):
        refused = run(*words, str(date))
        assert refused.exit_code == 2 and refused.stderr.startswith("D03"), date
    assert not boat.with_name("boat.readings.toml").exists()
    assert run(*words, str(today + timedelta(2))).exit_code == 0


def test_nothing_to_store_is_refused(boat):
    assert run("baseline", boat, "--store", "2026-05-01").exit_code == 2
    assert not boat.with_name("boat.readings.toml").exists()


def test_heating_has_a_distance_to_ice_and_none_to_the_cut_out():
    words = ("--mode", "heating", "--sea", "12 degC", "--stream", "weak")
    answer = asked("diagnose", KETCH, *words, *QUICK)
    assert answer["verdict"]["to_cut_out"]["value"] is None
    assert answer["verdict"]["to_ice"]["value"] > 0.0
    assert "warm_sea" not in {cause["name"] for cause in answer["causes"]}
    assert "Ice is" in run("diagnose", KETCH, *words, *QUICK).output


def test_heating_without_a_plate_leaves_temperatures_out_and_says_so():
    case = "cases/motor-three-units.toml"
    words = ("--mode", "heating", "--sea", "12 degC", "--discharge", "saloon unit=9 degC")
    answer = asked("diagnose", case, *words, "--stream", "weak", *QUICK)
    assert answer["verdict"]["to_ice"]["value"] is None
    assert kinds(answer["basis"]) == ["simulated", "no_heating_plate"]
    sheet = asked("baseline", case, "--mode", "heating", "--sea", "12 degC")
    lines = kinds(line["what"] for line in sheet["expected"])
    assert "bucket" in lines
    assert "discharge" not in lines
    heats = asked("baseline", KETCH, "--mode", "heating")
    assert {"discharge", "fall", "to_ice"} <= set(kinds(line["what"] for line in heats["expected"]))


def test_sound_at_the_pillows_is_worked_out_where_the_case_has_rooms_and_else_a_blank():
    with_rooms = run("baseline", KETCH, "--full").output
    assert "dB(A)" in with_rooms
    assert "sound at each pillow, pump alone" not in with_rooms
    without = run("baseline", "cases/battery-sloop-variable.toml", "--full").output
    assert "dB(A)" not in without
    for output in (with_rooms, without):
        assert "sound at each pillow, all on" in output
    assert "sound at each pillow, pump alone" in without


def test_sound_at_the_pillows_is_that_of_the_placing():
    sheet = json.loads(run("baseline", KETCH, "--json").output)
    placing = json.loads(run("place", KETCH, "--json").output)
    told = {row["place"]: row for row in sheet["expected"] if row["unit"] == "dB"}
    places = placing["pumps"][0]["places"]
    here = next(place for place in places if place["name"] == "bilge, by the strainer")
    for sound in here["sound"]:
        row = told[sound["berth"]]
        assert row["middle"] == pytest.approx(sound["level"]["value"], abs=0.5)
        width = sound["half_width"]["value"]
        assert row["high"] - row["low"] == pytest.approx(2.0 * width)


def test_every_reading_of_the_tables_is_an_option():
    listed = run("diagnose", "--help").output
    for kind in (*instruments(), *signs()):
        assert f"--{kind.replace('_', '-')} " in listed


def test_impossible_readings_are_problems_in_json_too():
    answer = run("diagnose", KETCH, "--discharge", "90 degC", "--json")
    assert answer.exit_code == 2
    assert json.loads(answer.output)["problems"][0]["code"] == "D01"


def test_heat_that_does_not_agree_stands_behind_the_cautions():
    words = ("--sea", "27 degC", "--discharge", "32.6 degC", "--bucket", "90")
    text = run("diagnose", KETCH, *words, *QUICK, "--full").output
    text = text[text.index("\nCauses\n") :]
    assert text.index("Dry running") < text.index("Read the")
    assert text.index("Dry running") < text.index("\nNext test")


@pytest.mark.parametrize(
    ("typed", "words"),
    [("none", "No water comes"), ("weak", "")],
)
def test_the_interview_stops_all_at_once_where_it_must(typed, words):
    output = run("diagnose", KETCH, "--ask", *QUICK, typed=f"{typed}\nstop\n").output
    told = output[: output.index("So far:")]
    assert ("Stop now, pump and compressor off." in told) == bool(words)
    assert words in told


def test_the_interview_shows_cautions_before_anything_is_touched_and_once():
    output = run("diagnose", KETCH, "--ask", *QUICK, typed="weak\n" + "\n" * 25).output
    asked = output[: output.index("\nDemo ketch")]
    assert asked.count("Cautions, before anything is touched") == 1
    touched = ("what is in the basket?", "Amps of the pump", "Does the seacock handle")
    assert all(asked.index("Cautions") < asked.index(words) for words in touched)
    assert re.search(r"Amps of the pump, with its unit \(such as 0\.\d+ A\)", asked)


def test_what_no_boat_reads_is_asked_again_in_the_interview():
    typed = "weak\n" + "50 A\n\n" * 25  # once tried at every question, then passed over
    output = run("diagnose", KETCH, "--ask", *QUICK, typed=typed).output
    assert "Which reading may be wrong?" in output
    assert output.count("\nAmps of the pump, with its unit") == 2


def test_a_likely_leak_is_acted_on():
    words = ("--sea", "27 degC", "--discharge", "32.8 degC", "--bucket", "62")
    answer = run("diagnose", KETCH, *words, "--bubbles", "no", *QUICK, "--json")
    assert answer.exit_code == 0  # by one bucket alone the bilge is looked into first
    assert kinds([json.loads(answer.output)["verdict"]["why"]]) == ["bucket_or_leak"]
    answer = run("diagnose", KETCH, *words, "--load", "full", *QUICK, "--json")
    assert answer.exit_code == 1
    assert kinds([json.loads(answer.output)["verdict"]["why"]]) == ["leak"]


@pytest.mark.parametrize(
    "words",
    [
        ("--sea", "24 degC", "--discharge", "39.9 degC"),
        ("--sea", "24 degC", "--discharge", "29.9 degC", "--tripped", "yes"),
        ("--stream", "none"),
        ("--sea", "24 degC"),
    ],
)
def test_readings_of_no_sound_boat_are_not_stored(boat, words):
    answer = run("baseline", boat, *words, "--store", "2026-05-01")
    assert answer.exit_code == 2
    assert "D06" in answer.output
    assert not boat.with_name("boat.readings.toml").exists()


def test_what_stored_readings_cannot_narrow_is_said(boat):
    words = ("--sea", "24 degC", "--discharge", "29.9 degC", "--bucket", "38", "--watts", "1290 W")
    sheet = asked("baseline", boat, *words, "--store", "2026-05-01")
    said = {fact["kind"]: fact for fact in sheet["basis"]}
    assert "heat rejected" in said["baseline.learnt"]["label"]
    assert any("clean strainer" in label for label in said["baseline.not_narrowed"]["labels"])


def test_a_difference_in_fahrenheit_does_not_read_as_a_temperature():
    words = ("--sea", "80 F", "--discharge", "91 degF", "--units", "us")
    output = run("diagnose", KETCH, *words, *QUICK).output
    assert re.search(r"The cut-out is \d+\.\d to \d+\.\d °F away\.", " ".join(output.split()))
    assert " 2 gal in " in run("baseline", KETCH, "--units", "us").output


def test_the_answer_comes_in_the_units_typed_unless_others_are_asked_for(boat):
    typed = ("--sea", "80 F", "--discharge", "91 F")
    told = run("diagnose", KETCH, *typed, *QUICK).output
    assert told == run("diagnose", KETCH, *typed, "--units", "us", *QUICK).output
    assert "°C" not in told
    assert "°F" not in run("diagnose", KETCH, *typed, "--units", "metric", *QUICK).output
    assert "°F" in run("baseline", KETCH, "--sea", "75 F").output


def test_a_sign_given_twice_must_not_differ():
    twice = run("diagnose", KETCH, "--stream", "weak", "--stream", "strong", *QUICK)
    assert twice.exit_code == 2
    assert "given twice" in twice.output
    same = run("diagnose", KETCH, "--stream", "weak", "--stream", "Weak", *QUICK)
    assert same.output == run("diagnose", KETCH, "--stream", "weak", *QUICK).output


def test_sentences_keep_to_a_narrow_terminal(monkeypatch):
    assert layout.width() == layout.WIDTH
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    monkeypatch.setenv("COLUMNS", "60")
    assert max(map(len, layout.bullet("word " * 40).splitlines())) <= 60
    monkeypatch.setenv("COLUMNS", "200")
    assert layout.width() == layout.WIDTH


READ = {
    "warm": ("--sea", "27 degC", "--discharge", "43 degC", "--bucket", "110"),
    "weak": ("--stream", "weak", "--when", "always"),
    "dead": ("--stream", "none", "--pump", "silent", "--breaker", "trips"),
    "air": ("--stream", "pulsing", "--bubbles", "yes", "--pump", "gravel"),
    "leak": ("--bilge", "salt water"),
    "tripped": ("--sea", "29 degC", "--tripped", "yes", "--basket", "full"),
    "heating": ("--sea", "8 degC", "--mode", "heating", "--stream", "weak"),
    "healthy": ("--sea", "24 degC", "--discharge", "29.7 degC"),
}


@pytest.mark.parametrize("name", READ)
def test_each_place_on_the_card_has_its_caution_just_before_what_is_to_be_done(name):
    words = (*READ[name], *QUICK)
    data = asked("diagnose", KETCH, *words)
    said = " ".join(run("diagnose", KETCH, *words).output.split())
    assert len(data["looks"]) <= 3
    if data["verdict"]["word"]["kind"] == "diagnose.normal":
        assert "Look here" not in said
        return
    for label, look in zip(("Look here", "Then here"), data["looks"], strict=False):
        place = f"{look['place'][0].upper()}{look['place'][1:]}"
        caution = "".join(f"{item['brief']} " for item in look["cautions"][:1])
        assert f"{label} {place}. {caution}{look['act']}" in said
    odds = said[said.index("Odds ") :].lower()
    for look in data["looks"]:
        chance = f"{look['odds']['text']} ({look['chance']['value']:.0%})"
        quick = ", quick to look at" if look["quick"] else ""
        assert f"{look['place']}{quick}: {chance}".lower() in odds
    stops = data["verdict"]["word"]["kind"] == "diagnose.stop_now"
    assert ("Stop if" in said) != stops
    assert not (stops and "The cut-out is" in said)


def test_a_place_of_two_faults_is_told_once_and_never_less_likely_than_either():
    data = asked("diagnose", KETCH, "--stream", "none", "--handle", "part", *QUICK)
    chances = {cause["name"]: cause["chance"]["value"] for cause in data["causes"]}
    handle = [look for look in data["looks"] if "handle" in look["place"]]
    assert len(handle) == 1
    names = ("seacock_part_shut", "seacock_shut")
    assert handle[0]["chance"]["value"] >= max(chances.get(name, 0.0) for name in names)


def test_without_a_reading_the_card_says_what_to_read_first():
    said = run("diagnose", KETCH, *QUICK).output
    assert said.index("--sea)") < said.index("--discharge)") < said.index("--bucket)")
    assert "Look here" not in said
    with_sea = run("diagnose", KETCH, "--sea", "27 degC", *QUICK).output
    assert "--sea)" not in with_sea
    assert "--bucket)" in with_sea


def test_a_caution_stands_before_a_hands_on_reading():
    words = ("--stream", "weak", "--when", "always", *QUICK)
    data = asked("diagnose", KETCH, *words)
    said = " ".join(run("diagnose", KETCH, *words).output.split())
    for caution in data["next_reading"]["cautions"][:1]:
        assert said.index(caution["brief"]) < said.index(f"--{data['next_reading']['kind']}")


def test_a_section_may_be_asked_for_alone():
    said = run("diagnose", KETCH, "--stream", "weak", *QUICK, "--section", "what to do").output
    assert said.startswith("What to do")
    assert "Causes" not in said


@pytest.mark.parametrize("case", [KETCH, "cases/motor-three-units.toml"])
def test_the_card_of_the_sheet_has_what_can_be_read_with_a_thermometer_and_a_bucket(case):
    data = asked("baseline", case)
    said = " ".join(run("baseline", case).output.split())
    readings, _, rest = said.partition("Careful")
    for line in data["expected"]:
        if line["what"]["kind"] in ("baseline.discharge", "baseline.flow"):
            assert line["place"].lower() in readings.lower()
        if line["what"]["kind"] == "baseline.bucket":
            assert f"10 L in {line['middle']:.0f} s ({line['low']:.0f} to " in readings
    assert "Amps" in readings
    assert "seacock shut, fill the strainer's bowl" in rest
    assert "________" not in said


def test_where_a_run_must_be_bled_the_card_says_where():
    case = "cases/badly-arranged.toml"
    bleeds = [one["thing"] for one in asked("baseline", case)["first_fill"] if "thing" in one]
    said = " ".join(run("baseline", case).output.split())
    assert bleeds
    assert f"Bleed first here: {' and '.join(bleeds)}." in said


OPENS = r"\b(?:lid|take|head|hose end|motor|inside|clear weed|descale|flush|handle|wires)\b"


def test_what_opens_or_touches_something_has_a_caution_that_the_card_can_say():
    named = [*faults(), *instruments().values(), *signs().values()]
    for one in named:
        found = named_cautions(one.cautions, ["centrifugal"])
        assert all(caution.brief for caution in found)
    for fault in faults():
        if re.search(OPENS, f"{fault.look} {fault.act}".lower()):
            assert fault.cautions, fault.name
        assert len(f"{fault.look} {fault.act}".split()) <= 16, fault.name


@pytest.mark.parametrize("passed", ["", "skip", "don't know"])
def test_the_interview_never_forgets_the_sea(passed):
    """Whatever was passed over: it comes before the discharge, and at the end at the latest."""
    output = run("diagnose", KETCH, "--ask", *QUICK, typed=f"{passed}\n" * 40).output
    assert output.count("\nSea temperature, with its unit") == 1
    warm = output.index("\nDischarge temperature")
    assert output.index("\nSea temperature") < warm
    told = ("--discharge", "43C", "--stream", "weak", *QUICK)  # which says little without a sea
    typed = f"{passed}\n" * 40
    assert run("diagnose", KETCH, "--ask", *told, typed=typed).output.count("\nSea temp") == 2


def test_the_interview_asks_for_the_load_before_it_accuses_the_refrigerant():
    told = ("--sea", "27C", "--discharge", "31C", "--bucket", "10 L in 37 s", *QUICK)
    output = run("diagnose", KETCH, "--ask", *told, typed="stop\n").output
    assert "Is the unit hard at work" in output
    full = run("diagnose", KETCH, "--ask", *told, "--load", "full", typed="stop\n").output
    assert "Is the unit hard at work" not in full


def test_the_interview_takes_a_load_as_a_share():
    told = ("--sea", "27C", "--discharge", "31C", "--bucket", "10 L in 37 s", *QUICK, "--json")
    answers = ("60\n60 %\nstop\n", "stop\n")
    asked, given = (
        run("diagnose", KETCH, *told, *more, typed=typed)
        for more, typed in zip((("--ask",), ("--load", "60 %")), answers, strict=True)
    )
    assert 'Write "60 %"' in asked.output
    assert json.loads(asked.stdout)["verdict"] == json.loads(given.stdout)["verdict"]


def test_the_interview_says_each_caution_once_and_those_of_a_question_before_it():
    output = run("diagnose", KETCH, "--ask", *QUICK, typed="weak\n" + "\n" * 40).output
    asked = output[: output.index("\nDemo ketch")]
    for title, question in (
        ("A stiff seacock", "Does the seacock handle"),
        ("The strainer's lid", "what is in the basket?"),
    ):
        assert asked.count(f"  {title}") == 1
        assert asked.index(f"  {title}") < asked.index(question)
    assert "Descaling acid" not in asked


def test_the_interview_takes_streams_by_outlet():
    case = "cases/motor-three-units.toml"
    typed = "starboard outlet=none, port outlet=good\nstop\n"
    output = run("diagnose", case, "--ask", *QUICK, typed=typed).output
    assert "Where they differ: starboard outlet=weak" in output
    assert 'No water comes from "starboard outlet"' in output
