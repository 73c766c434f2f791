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
from seaflow.studies.survey.findings import followed, survey

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

RULE = "suction-check-valve"  # which no one fact of a thing decides
CHECK = {
    "check_valve": [{"name": "flap", "height": "-0.45 m", "bore": "25 mm"}],
    "hose.1.to": "flap",
    "hose.4": {"from": "flap", "to": "pump", "bore": "25 mm", "length": "0.1 m"},
}


@pytest.fixture
def boat(tmp_path):
    path = tmp_path / "boat.toml"
    path.write_text(text_of(patched(OPEN)), encoding="utf-8")
    return path


@pytest.fixture
def visit(tmp_path):
    return tmp_path / "visit.toml"


HEAD = [""] * 5  # who, where, when, how she lies and what for: left blank


def ask(boat, visit, *lines, options=(), head=HEAD):
    """Ask at the terminal; a new file is asked for its head first."""
    lines = lines if visit.exists() else (*head, *lines)
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
    given = iter([*HEAD, "yes", "no"])

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
        yield from (*HEAD, "yes")
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
    options = ["--answers", str(earlier)]
    ask(boat, visit, "", "12 year", "stop", options=options)  # the weeping seacock left as it is
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
    for stop, first in (("1. OUTSIDE", "cracked"), ("2. INSIDE", "Does it weep")):
        start = text.index(stop)
        assert text.index("Careful", start) < text.index(first, start)


def test_a_new_record_begins_with_who_where_when_how_she_lies_and_what_for(boat, visit):
    head = ["A. Nobody", "yard", "3 June 2025", "ash", "cooling, for the owner"]
    text = ask(boat, visit, "yes", "stop", head=head).output
    record = told(visit)["record"]
    assert record == {
        "surveyor": "A. Nobody",
        "place": "yard",
        "date": "3 June 2025",
        "lay": "ashore",
        "scope": "cooling, for the owner",
    }
    assert text.index("Who surveys") < text.index("1. OUTSIDE")
    assert "Who surveys" not in ask(boat, visit, "stop").output


def test_the_walk_and_the_card_count_open_points_alike(tmp_path, visit):
    boat = tmp_path / "boat.toml"
    boat.write_text(text_of(patched(OPEN | {"pump.0.cable": "drop", "outlet.0.seen": "drop"})))
    text = ask(boat, visit, "stop").output
    left = int(re.search(r"; (\d+) left\)", text)[1])
    assert left == len(survey(load_case(str(boat)).case).look_at) > len(OPEN)
    assert f"{left} items are left" in " ".join(text.split())


def test_the_day_of_the_clock_is_offered_and_an_impossible_one_is_asked_again(boat, visit):
    ask(boat, visit, "yes", "stop")
    today = told(visit)["record"]["date"]
    assert re.fullmatch(r"\d{4}-\d{2}-\d{2}", today)
    other = visit.with_name("other.toml")
    text = ask(boat, other, "stop", head=["", "", "32 May 2025", "", "sideways", ""]).output
    assert today in text
    assert text.count("K11") == 2
    assert not other.exists()


def test_back_in_the_head_takes_its_last_answer_back(boat, visit):
    ask(boat, visit, "yes", "stop", head=["A. Nobody", "back", "B. Nobody", "", "", "", ""])
    assert told(visit)["record"]["surveyor"] == "B. Nobody"


def test_a_second_visit_begins_with_the_findings_of_the_first(boat, visit, tmp_path):
    """By their numbers and day; what is seen now cures, keeps or leaves them unlooked at."""
    first = tmp_path / "first.toml"
    head = ["A. Nobody", "", "14 May 2025", "", ""]
    ask(boat, first, "yes", "yes", "12 year", "2", "n", head=head)
    numbers = {item.rule: item.number for item in found(boat, first).findings}
    options = ["--answers", str(first)]
    text = ask(boat, visit, "no", *[""] * 9, options=options).output
    order = [text.index(f"\n {number} of 14 May 2025") for number in numbers.values()]
    assert max(order) < text.index("Nothing more is open")
    assert order[0] == min(order)  # the gravest first, which is mended
    answers = read_answers((str(first), str(visit)), load_case(str(boat)).case)
    before = answers.before
    earlier = followed(survey(before.case, before.record, before.partial))
    answer = survey(answers.case, answers.record, answers.partial, earlier=earlier)
    became = {item.rule: item.became for item in answer.changes}
    worst, *rest = numbers
    assert became[worst] == "cured"
    assert {became[one] for one in rest} == {"not again"}


def test_a_finding_without_a_fact_of_its_own_is_asked_whether_it_is_still_so(tmp_path, visit):
    """As of a boat whose suction has no strainer: the answer stands with the finding."""
    boat, first = tmp_path / "boat.toml", tmp_path / "first.toml"
    boat.write_text(text_of(patched(OPEN | CHECK)), encoding="utf-8")
    ask(boat, first, "no", "stop", head=["", "", "14 May 2025", "", ""])
    options = ["--answers", str(first)]
    ask(boat, visit, "perhaps", "yes", "stop", options=options)
    (row,) = told(visit)["finding"]
    today = told(visit)["record"]["date"]
    assert (row["rule"], row["state"], row["on"]) == (RULE, "open", today)
    other = visit.with_name("other.toml")
    ask(boat, other, "no", "stop", options=options)
    (row,) = told(other)["finding"]
    assert row["state"] == "done"
