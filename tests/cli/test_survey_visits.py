"""Visits one after another: whose answer stands, what is refused, and what is carried on."""

import json
import re
import tomllib

import pytest
from click.testing import CliRunner
from survey_boats import FILE, patched, text_of

from seaflow.cli.main import main

COCK = '[[seacock]]\nname = "intake seacock"\n'
SEIZED = ("seacock-seized", "intake seacock")


def run(*arguments):
    return CliRunner().invoke(main, ["survey", *map(str, arguments)])


def visit(folder, name, text, day="1 June 2026"):
    file = folder / f"{name}.toml"
    file.write_text(f'[record]\ndate = "{day}"\n{text}', encoding="utf-8")
    return file


def surveyed(*files):
    more = [part for file in files for part in ("--answers", file)]
    return json.loads(run(FILE, *more, "--json").stdout)


def broken(found):
    return {(item["rule"], item["where"]) for item in found["findings"]}


@pytest.mark.parametrize(
    ("day", "said", "stands"),
    [
        ("1 April 2026", "yes", None),  # read before the other, so it is the one that gives way
        ("1 July 2026", "told, by the owner: yes", "told"),
        ("1 July 2026", "seen 1 April 2026: yes", "earlier"),
    ],
)
def test_what_was_seen_later_stands_and_what_differs_is_shown(day, said, stands, tmp_path):
    seen = visit(tmp_path, "seen", f'{COCK}moves_freely = "no"\n')
    other = visit(tmp_path, "other", f'{COCK}moves_freely = "{said}"\n', day)
    found = surveyed(seen, other)
    assert SEIZED in broken(found)
    last = found["overruled"][-1]
    assert last["key"] == "moves_freely"
    assert {last["was"], last["now"]} == {"yes", "no"}
    assert (last["stands"] or None) == stands


def test_a_day_that_may_be_either_of_two_puts_no_visits_in_order(tmp_path):
    seen = visit(tmp_path, "seen", f'{COCK}moves_freely = "no"\n', "31/05/2026")
    other = visit(tmp_path, "other", f'{COCK}moves_freely = "yes"\n', "01/06/2026")
    refused = run(FILE, "--answers", seen, "--answers", other)
    assert refused.exit_code == 2
    assert f"K11  {other}:2" in refused.stderr
    assert '"1 June 2026"' in refused.stderr and '"6 January 2026"' in refused.stderr
    assert run(FILE, "--answers", other).exit_code != 2  # alone it comes before and after nothing


def test_answers_of_another_boat_are_refused(tmp_path):
    sheet = tmp_path / "sheet.toml"
    run(FILE, "--checklist", sheet)
    assert run(FILE, "--answers", sheet).exit_code != 2
    refused = run("cases/ketch-one-unit.toml", "--answers", sheet)
    assert refused.exit_code == 2 and f"A05  {sheet}:" in refused.stderr


def test_a_later_look_cures_what_an_earlier_one_found(tmp_path):
    seen = visit(tmp_path, "seen", f'{COCK}moves_freely = "no"\n')
    later = visit(tmp_path, "later", f'{COCK}moves_freely = "yes"\n', "1 July 2026")
    for files in ((seen, later), (later, seen)):
        assert SEIZED not in broken(surveyed(*files))


def test_a_told_answer_is_not_carried_over_what_was_seen(tmp_path):
    seen = visit(tmp_path, "seen", f'{COCK}moves_freely = "no"\n')
    told = visit(tmp_path, "told", f'{COCK}moves_freely = "told: yes"\n', "1 July 2026")
    round_two = tmp_path / "round-two.toml"
    run(FILE, "--answers", seen, "--answers", told, "--checklist", round_two)
    assert SEIZED in broken(surveyed(round_two))


def test_a_cable_stands_as_it_was_measured(tmp_path):
    text = '[[pump]]\nname = "pump"\ncable.length = "measured: 9 m"\n'
    seen = visit(tmp_path, "seen", text)
    told = visit(tmp_path, "told", text.replace("measured: 9", "told: 3"), "1 July 2026")
    (last,) = (item for item in surveyed(seen, told)["overruled"] if item["stands"])
    assert (last["key"], last["was"], last["now"]) == ("cable.length", "9 m", "3 m")


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        (f'{COCK}weeps = "yes"\n{COCK}weeps = "no"\n', "S02  {file}:8"),
        (f'{COCK}weeps = "seen 30 February 2026: yes"\n', "K11  {file}:5"),
        (f'{COCK}weeps = "not accessible"\n', "K02  {file}:5"),
        (
            '[[finding]]\nnumber = "V1-4a"\nthing = "intake seacock"\nrule = "seacock-seized"\n'
            'state = "done"\non = "99 Foo 2026"\n',
            "K11  {file}:8",
        ),
        ('[[finding]]\nthing = "the boat"\nrule = "seacock-seized"\n', "K02  {file}:3"),
        ('[[finding]]\nthing = "the boat"\nnumber = "V1-4a"\n', "K02  {file}:3"),
        ('[[finding]]\nnumber = "Z9-9z"\nthing = "x"\nrule = "y"\n', "S03  {file}:6"),
        (
            '[[finding]]\nnumber = "V1-9z"\nthing = "intake seacock"\nrule = "seacock-seized"\n',
            "S03  {file}:4",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_its_line(text, problem, tmp_path):
    file = visit(tmp_path, "visit", text)
    answer = run(FILE, "--answers", file)
    assert answer.exit_code == 2
    assert problem.format(file=file) in answer.stderr


def test_a_record_of_years_ahead_is_refused(tmp_path):
    file = visit(tmp_path, "visit", "", "3 May 2999")
    assert f"K11  {file}:2" in run(FILE, "--answers", file).stderr


def test_what_is_half_told_of_a_new_seacock_is_written_once_and_reads_back(tmp_path):
    block = '[[seacock]]\nname = "{}"\non = "{}"\ntype = "not accessible: behind a tank"\n'
    case = tmp_path / "boat.toml"
    raw = patched({"seacock.0": "drop"})
    case.write_text(text_of(raw), encoding="utf-8")
    on = raw["through_hull"][0]["name"]
    for name in (f"seacock on {on}", "valve by the engine"):
        first = visit(tmp_path, "first", block.format(name, on))
        second = tmp_path / f"{name}.toml"
        assert run(case, "--answers", first, "--checklist", second).exit_code != 2
        told = tomllib.loads(second.read_text(encoding="utf-8"))["seacock"]
        assert [row["name"] for row in told if row.get("on") == on] == [name]
        assert "behind a tank" in told[0]["type"]
        assert run(case, "--answers", second).exit_code in (0, 1, 3)


def test_why_nobody_could_look_is_carried_with_its_day(tmp_path):
    first = visit(tmp_path, "first", f'{COCK}weeps = "not accessible: locker full"\n')
    case = tmp_path / "boat.toml"
    case.write_text(text_of(patched({"seacock.0.seen.weeps": "drop"})), encoding="utf-8")
    second = tmp_path / "second.toml"
    run(case, "--answers", first, "--checklist", second)
    text = second.read_text(encoding="utf-8")
    assert 'weeps = "not accessible 1 June 2026: locker full"' in text
    later = text.replace('date = "1 June 2026"', 'date = "1 July 2026"')
    second.write_text(later, encoding="utf-8")
    found = json.loads(run(case, "--answers", second, "--json").stdout)
    (left,) = (item for item in found["look_at"] if item["key"] == "weeps")
    assert left["not_accessible"] == "locker full"


def test_the_first_visit_follows_nothing(tmp_path):
    case = tmp_path / "boat.toml"
    case.write_text(text_of(patched({"seacock.0.seen.weeps": True})), encoding="utf-8")
    first, second = tmp_path / "first.toml", tmp_path / "second.toml"
    run(case, "--checklist", first)
    found = json.loads(run(case, "--answers", first, "--json").stdout)
    assert found["findings"]
    assert found["changes"] == []
    seen = visit(tmp_path, "seen", f'{COCK}moves_freely = "no"\n')
    run(case, "--answers", seen, "--checklist", second)
    later = json.loads(run(case, "--answers", second, "--json").stdout)
    assert {item["became"] for item in later["changes"]} == {"still open"}


def test_what_is_only_told_in_the_file_of_the_next_round_is_not_cured(tmp_path):
    seen, second = visit(tmp_path, "seen", f'{COCK}moves_freely = "no"\n'), tmp_path / "second.toml"
    run(FILE, "--answers", seen, "--checklist", second)
    text = second.read_text(encoding="utf-8")
    for said, became in (("told, by the owner: yes", "not seen"), ("yes", "cured")):
        now = re.sub(r'^moves_freely = ".*?"', f'moves_freely = "{said}"', text, flags=re.M)
        second.write_text(now, encoding="utf-8")
        (one,) = (item for item in surveyed(second)["changes"] if item["rule"] == SEIZED[0])
        assert one["became"] == became


def test_a_new_seacock_named_again_with_nothing_more_is_one(tmp_path):
    case = tmp_path / "boat.toml"
    raw = patched({"seacock.0": "drop"})
    case.write_text(text_of(raw), encoding="utf-8")
    block = f'[[seacock]]\nname = "new"\non = "{raw["through_hull"][0]["name"]}"\n'
    told = f'{block}type = "gate valve"\nbore = "25 mm"\n'
    assert run(case, "--answers", visit(tmp_path, "once", told + block)).exit_code == 1
    assert run(case, "--answers", visit(tmp_path, "twice", told + told)).exit_code == 2
