"""Questions of a survey one at a time at the terminal: each answer kept, and taken up again."""

import re
import tomllib
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from survey_boats import patched, text_of

from seaflow.boat.load import load_case
from seaflow.boat.reader.known import HowKnown
from seaflow.cli.main import main
from seaflow.forms.answers import read_answers
from seaflow.studies.survey.findings import survey

COCK, STRAINER, OUTLET = "intake seacock", "strainer", "topside outlet"
HOSE = "hose cooling intake to strainer"
# Five facts that nobody recorded, in the order in which the walk comes to them.
OPEN = {
    "outlet.0.seen.cracked": "drop",
    "seacock.0.seen.weeps": "drop",
    "hose.0.seen.age": "drop",
    "strainer.0.seen.bowl": "drop",
    "seen.papers": "drop",
}


@pytest.fixture
def boat(tmp_path):
    path = tmp_path / "boat.toml"
    path.write_text(text_of(patched(OPEN)), encoding="utf-8")
    return path


@pytest.fixture
def visit(tmp_path):
    return tmp_path / "visit.toml"


def ask(boat, visit, *lines, options=()):
    typed = "".join(f"{line}\n" for line in lines)
    arguments = ["survey", str(boat), "--ask", str(visit), *options]
    return CliRunner().invoke(main, arguments, input=typed)


def told(visit):
    return tomllib.loads(visit.read_text(encoding="utf-8"))


def found(boat, visit):
    answers = read_answers((str(visit),), load_case(str(boat)).case)
    return survey(answers.case, answers.record, answers.partial)


def test_answers_are_kept_in_the_order_of_the_walk_and_judged(boat, visit):
    result = ask(boat, visit, "yes", "no", "12 year", "2", "n")
    assert result.exit_code == 1
    assert list(told(visit)) == ["record", "outlet", "seacock", "hose", "strainer", "boat"]
    assert told(visit)["strainer"] == [{"name": STRAINER, "bowl": "crazed"}]
    answer = found(boat, visit)
    assert {item.rule for item in answer.findings} == {
        "outlet-cracked",
        "hose-old",
        "strainer-bowl",
        "papers",
    }
    assert answer.look_at == ()


def test_a_walk_broken_off_and_taken_up_again_is_one_walk(boat, visit, tmp_path):
    ask(boat, visit, "yes", "no", "stop")
    first = told(visit)
    assert ask(boat, visit, "12 year", "2").exit_code == 1  # the input ends
    assert first.items() <= {**told(visit)}.items()
    ask(boat, visit, "n")
    whole = tmp_path / "whole.toml"
    ask(boat, whole, "yes", "no", "12 year", "2", "n")
    assert told(visit) == told(whole)


@pytest.mark.parametrize("last", [["stop"], ["quit"], []])
def test_stopping_at_the_question_why_stores_no_reason(boat, visit, last):
    ask(boat, visit, "yes", "no access", *last)
    assert list(told(visit)) == ["record", "outlet"]
    assert told(visit)["outlet"] == [{"name": OUTLET, "cracked": "yes"}]


def test_an_interrupt_keeps_what_was_answered(boat, visit, monkeypatch):
    given = iter(["yes", "no"])

    def prompt(*_, **__):
        try:
            return next(given)
        except StopIteration:
            try:
                raise KeyboardInterrupt
            except KeyboardInterrupt:
                raise click.Abort from None

    monkeypatch.setattr(click, "prompt", prompt)
    result = CliRunner().invoke(main, ["survey", str(boat), "--ask", str(visit)])
    assert result.exit_code == 130
    assert told(visit)["seacock"] == [{"name": COCK, "weeps": "no"}]
    assert str(visit) in result.output


def test_what_cannot_be_is_said_and_asked_again_and_not_kept(boat, visit):
    result = ask(boat, visit, "perhaps", "yes", "no", "12", "12 year", "stop")
    assert "K10" in result.output
    assert "K03" in result.output
    assert "/tmp" not in result.output.replace(str(visit), "").replace(str(boat), "")
    assert told(visit)["outlet"] == [{"name": OUTLET, "cracked": "yes"}]
    assert told(visit)["hose"][0]["age"] == "12 year"


def test_no_access_and_why_is_an_answer_that_stays_open(boat, visit):
    ask(boat, visit, "no access: painted over", "no access", "behind the tank", "stop")
    answers = read_answers((str(visit),), load_case(str(boat)).case)
    known = answers.case.known
    for address, why in ((("outlet", OUTLET, "cracked"), "painted over"),):
        assert known[address] == HowKnown(
            "not accessible",
            date=known[address].date,
            why=why,
            visit=str(visit),
        )
    assert known["seacock", COCK, "weeps"].why == "behind the tank"
    answer = found(boat, visit)
    assert {"cracked", "weeps"} <= {item.key for item in answer.look_at}
    again = ask(boat, visit, "stop")
    assert "How old" in again.output  # what nobody can get at is not asked again


def test_one_answer_for_all_serves_every_such_thing_of_its_stop_and_is_taken_back_whole(
    tmp_path, visit
):
    boat, facts = tmp_path / "boat.toml", ("seen.age", "seen.near_heat")
    boat.write_text(
        text_of(patched({f"hose.{row}.{key}": "drop" for row in range(4) for key in facts}))
    )
    ask(boat, visit, "seen, photo 7: no", "ALL: 2 year", "back")
    assert [hose["near_heat"] for hose in told(visit)["hose"]] == ["seen, photo 7: no"]
    output = ask(boat, visit, "all: some day", "all: 12 year", "all: told, her owner: no").output
    assert [line.split()[2] for line in output.split("\n") if "Taken for" in line] == ["4:", "3:"]
    rows = told(visit)["hose"]
    assert [hose["age"] for hose in rows] == ["12 year"] * 4
    assert [hose["near_heat"] for hose in rows] == [
        "seen, photo 7: no",
        *["told, her owner: no"] * 3,
    ]
    assert len(found(boat, visit).findings) > 0


def test_enter_leaves_open_and_back_takes_back(boat, visit):
    ask(boat, visit, "", "no", "back", "yes", "stop")
    assert told(visit)["seacock"] == [{"name": COCK, "weeps": "yes"}]
    assert "outlet" not in told(visit)


def test_what_another_terminal_answers_meanwhile_stays(boat, visit, monkeypatch):
    crazed = f'\n[[strainer]]\nname = "{STRAINER}"\nbowl = "crazed"\n'

    def prompts():
        yield "yes"
        visit.write_text(visit.read_text(encoding="utf-8") + crazed, encoding="utf-8")
        yield from ("no", "back", "yes")
        aged = f'\n[[hose]]\nname = "{HOSE}"\nage = "9 year"\n'
        visit.write_text(visit.read_text(encoding="utf-8") + aged, encoding="utf-8")
        yield from ("12 year", "stop")

    given = prompts()
    monkeypatch.setattr(click, "prompt", lambda *_, **__: next(given))
    assert "9 year" in ask(boat, visit).output  # of one question the first answer stands
    assert told(visit)["hose"] == [{"name": HOSE, "age": "9 year"}]
    assert told(visit)["strainer"] == [{"name": STRAINER, "bowl": "crazed"}]
    assert told(visit)["seacock"] == [{"name": COCK, "weeps": "yes"}]
    assert told(visit)["outlet"] == [{"name": OUTLET, "cracked": "yes"}]


def test_nothing_answered_writes_no_file(boat, visit):
    result = ask(boat, visit, "stop")
    assert result.exit_code == 3
    assert not visit.exists()


def test_a_place_that_holds_no_file_is_refused_before_anything_is_asked(boat, tmp_path):
    result = ask(boat, tmp_path / "nowhere" / "visit.toml", "yes")
    assert result.exit_code == 2
    assert "W02" in result.output
    assert "OUTSIDE" not in result.output


def test_another_file_is_left_as_it_is(boat, visit):
    visit.write_text('[boat]\npapers = "yes"  # by hand\n', encoding="utf-8")
    before = visit.read_bytes()
    result = ask(boat, visit, "yes")
    assert result.exit_code == 2
    assert "W01" in result.output
    assert visit.read_bytes() == before


@pytest.mark.parametrize(
    ("typed", "rows"),
    [
        (["none"], [{"type": "none"}]),
        (["gate", "wide", "gate", "25 mm"], [{"type": "gate valve", "bore": "25 mm"}]),
    ],
)
def test_a_seacock_is_told_with_its_bore_or_that_there_is_none(typed, rows, tmp_path, visit):
    boat = tmp_path / "boat.toml"
    boat.write_text(text_of(patched({"seacock.0": "drop"})), encoding="utf-8")
    ask(boat, visit, *typed, "stop")
    named = {"name": "seacock on cooling intake", "on": "cooling intake"}
    assert told(visit)["seacock"] == [{**named, **row} for row in rows]


def test_a_word_that_is_no_numbered_choice_is_told_the_numbers(tmp_path, visit):
    boat = tmp_path / "boat.toml"
    boat.write_text(text_of(patched({"through_hull.0.entry": "drop"})), encoding="utf-8")
    output = ask(boat, visit, "no", "stop").output
    last = max(int(number) for number in re.findall(r"^ {4,}(\d+)  ", output, re.M))
    assert '"no" is none of the answers' in output
    assert f"a number from 1 to {last}" in output


def test_a_later_answer_stands_over_an_earlier_one_and_says_so(boat, visit, tmp_path):
    earlier = tmp_path / "earlier.toml"
    ask(boat, earlier, "no", "yes", "stop")
    ask(boat, visit, "12 year", "stop", options=["--answers", str(earlier)])
    assert told(visit)["hose"][0]["age"] == "12 year"
    visit.write_text(
        visit.read_text(encoding="utf-8") + f'\n[[seacock]]\nname = "{COCK}"\nweeps = "no"\n',
        encoding="utf-8",
    )
    answers = read_answers((str(earlier), str(visit)), load_case(str(boat)).case)
    (one,) = answers.overruled
    assert (one.subject, one.key, one.was, one.now) == (COCK, "weeps", "yes", "no")
    assert Path(one.by).name == visit.name


def test_cautions_stand_before_the_first_question_of_each_stop(boat, visit):
    text = ask(boat, visit, "", "", "", "", "").output
    for stop, first in (("1. OUTSIDE", "cracked"), ("2. INSIDE", "weeps")):
        start = text.index(stop)
        assert text.index("Careful", start) < text.index(first, start)
