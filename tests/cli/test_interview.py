"""The interview of `new --ask`: a few facts to a first card, then what narrows it most."""

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.base.tables import read_table
from seaflow.boat.load import load_case
from seaflow.boat.parts.own_parts import load_parts
from seaflow.cli.main import main
from seaflow.forms.bare import with_unit
from seaflow.forms.interview import (
    MEASURED,
    Progress,
    asked,
    current,
    name_of,
    offered,
    path_of,
    question_at,
    questions,
    step,
    taken_up,
)
from seaflow.present.interview_text import question_text, unit_of_bare
from seaflow.studies.size.size import size

pytestmark = pytest.mark.usefixtures("asked_once")

OWN = str(Path(__file__).parents[2] / "docs" / "examples" / "own-parts.toml")
SLOOP = {
    "name": "Demo sloop Grey Plover",
    "kind": "5",
    "length": "38 ft",
    "built": "2004",
    "units": "1",
    "unit.1": "12000 BTU/h",
    "loss.1": "",
    "supply": "230 V 50 Hz",
    "sea": "84 degF",
    "pump": "demo-mag-medium-230",
}
KIND = "kind"


def run(*arguments, lines):
    typed = "".join(f"{line}\n" for line in lines)
    return CliRunner().invoke(main, ["new", *arguments, "--ask"], input=typed)


def walked(answers, until=None, catalogue=None):
    """The progress that answers lead to, up to a question."""
    progress = Progress() if catalogue is None else Progress(catalogue=catalogue)
    while (question := current(progress)) is not None and question.id != until:
        taken = step(progress, question, answers.get(question.id, ""))
        assert taken.outcome == "taken", (question.id, taken.problems)
        progress = taken.progress
    return progress


SIZED = {}  # answers of size, by the text of the case: many interviews here lead to the same boat


def sized_once(case):
    told = (case.text.lines, repr(case.catalogue.own))
    if told not in SIZED:
        SIZED[told] = size(case)
    return SIZED[told]


@pytest.fixture(autouse=True)
def _sized_once(monkeypatch):
    monkeypatch.setattr("seaflow.cli.interview.size", sized_once)


@pytest.fixture
def boat(tmp_path):
    return tmp_path / "boat.toml"


def kept(boat):
    return Path(f"{boat}.answers.toml")


# From the first question to the card, and on.


def test_fifteen_times_enter_give_a_card(boat):
    answer = run(str(boat), lines=[""] * 15)
    assert "\nHow sure  " in answer.output
    assert "\nFind out  " in answer.output
    assert not boat.exists()
    assert kept(boat).exists()


@pytest.mark.parametrize("kind", range(1, 6))
@pytest.mark.parametrize("units", ["1", "3"])
def test_eight_to_fifteen_questions_lead_to_a_whole_boat(kind, units):
    progress = walked({KIND: str(kind), "units": units})
    assert 8 <= len(questions(progress)) <= 15
    case = asked(progress).loaded.case
    assert len(case.unit) == int(units)
    assert {("unit", row, "cooling") for row in range(int(units))} <= case.typical
    assert case.compartment and case.pump_place and case.partition


def test_a_full_run_ends_with_the_answer_of_size(boat):
    answer = run(str(boat), lines=[*SLOOP.values(), "-45 cm", "write"])
    assert answer.exit_code in (0, 1, 3), answer.output
    assert f"The case is written to {boat}." in answer.output
    assert answer.output.count("\nHow sure  ") == 2
    assert [path.name for path in boat.parent.iterdir()] == ["boat.toml"]
    case = load_case(str(boat)).case
    assert case.boat.name == SLOOP["name"]
    assert case.sea.warmest == pytest.approx((84 - 32) / 1.8)
    assert case.unit[0].cooling == pytest.approx(12000 * 0.29307107)
    assert case.pump[0].fitted == "demo-mag-medium-230"
    assert not {("sea", "warmest"), ("unit", 0, "cooling")} & case.typical


def test_the_decision_stands_under_each_answer_and_only_there(boat):
    answer = run(str(boat), lines=[*SLOOP.values(), "", "-45 cm", "write"])
    follow = answer.output.split("The boat is whole now")[1]
    assert follow.count("\n= ") == 1
    assert "on nine days in ten" in " ".join(follow.split("\n= ")[1].split("\n\n")[0].split())


def test_what_is_measured_is_known_and_no_longer_asked():
    progress = walked(SLOOP)
    case = asked(progress).loaded.case
    path = ("hose", 1, "length")
    assert path in case.typical
    progress = step(progress, question_at(case, path), "3 ft").progress
    known = asked(progress).loaded.case
    assert path not in known.typical
    assert known.hose[1].length == pytest.approx(0.9144)
    assert len(known.typical) == len(case.typical) - 1


@pytest.mark.parametrize(
    "path",
    [
        ("pump", 0, "at", "height"),
        ("outlet", 0, "bore"),
        ("compartment", 0, "aft", 1),
        ("compartment", 0, "pillow", "starboard"),
        ("pump_place", 0, "at", "aft"),
        ("boat", "beam"),
    ],
    ids=name_of,
)
def test_berths_and_places_are_asked_for_too(path):
    """Every typical value can be asked for, and its answer goes where it belongs."""
    progress = walked(SLOOP)
    case = asked(progress).loaded.case
    assert path in case.typical
    question = question_at(case, path)
    assert path_of(question.id) == path
    assert question.ask and question.how
    typed = {"bore": "20 mm", 1: "3.7 m"}.get(path[-1], "0.9 m")
    progress = step(progress, question, typed).progress
    assert path not in asked(progress).loaded.case.typical


def test_all_that_is_typical_is_asked_once_and_then_the_case_is_written(boat, monkeypatch):
    one = size(asked(walked({})).loaded.case, 64)
    monkeypatch.setattr("seaflow.cli.interview.size", lambda case: one)
    progress = walked({})
    many = len(asked(progress).loaded.case.typical)
    answer = run(str(boat), lines=[""] * (len(progress.answers) + many))
    assert boat.exists(), answer.output[-500:]
    assert answer.output.count("\nTo find out\n") == many


# The units asked for, several units, own parts.


@pytest.mark.parametrize(
    ("units", "typed", "inside"), [("us", "84", 28.889), ("metric", "29", 29.0)]
)
def test_a_bare_number_is_read_in_the_units_asked_for(boat, units, typed, inside):
    lines = [*(SLOOP | {"sea": typed}).values(), "write"]
    answer = run(str(boat), "--units", units, lines=lines)
    assert "A bare number is in " in answer.output
    assert load_case(str(boat)).case.sea.warmest == pytest.approx(inside, abs=1e-3)


@pytest.mark.parametrize(
    ("typed", "inches"), [("5/8", 0.625), ("1 1/4", 1.25), ("1-1/4", 1.25), ("1", 1.0)]
)
def test_a_bare_fraction_is_read_as_a_bare_number_is(boat, typed, inches):
    progress = walked(SLOOP)
    question = question_at(asked(progress).loaded.case, ("hose", 0, "bore"))
    taken = step(progress, question, with_unit(typed, unit_of_bare(question, "us")))
    assert taken.outcome == "taken"
    bore = asked(taken.progress).loaded.case.hose[0].bore
    assert bore == pytest.approx(inches * 0.0254, rel=1e-9)


@pytest.mark.parametrize("unit", ["m", "V", "degC", "W", None])
def test_a_fraction_of_what_is_not_sold_in_fractions_stays_as_it_is(unit):
    assert with_unit("5/8", unit) == "5/8"
    assert with_unit("5/8", "mm") == with_unit("5/8", "in") == "5/8 in"


def test_what_enter_takes_is_told_in_the_units_asked_for():
    progress = walked(SLOOP)
    case = asked(progress).loaded.case
    bore = question_at(case, ("hose", 1, "bore"))
    length = question_at(case, ("hose", 1, "length"))
    told = {system: question_text(progress, bore, system) for system in ("", "metric", "us")}
    assert "mm" not in told["us"] and re.search(r"Enter: [\d/-]+ in, typical", told["us"])
    assert "mm, typical" in told["metric"] and "mm, typical" in told[""]
    feet = re.search(r"Enter: ([\d.]+) ft, typical", question_text(progress, length, "us"))
    assert float(feet[1]) == pytest.approx(case.hose[1].length / 0.3048, rel=6e-3)  # 3 figures


def test_a_bare_number_is_asked_again_where_no_units_were_asked_for(boat):
    lines = [*list(SLOOP.values())[:8], "29", "stop"]
    answer = run(str(boat), lines=lines)
    assert "no unit" in answer.output and "A bare number is in" not in answer.output
    assert "sea" not in kept(boat).read_text(encoding="utf-8").split("[answers]")[1]


@pytest.mark.parametrize("plate", ["12000 BTU/h", ""])
def test_what_a_coil_loses_is_asked_for_and_stands_in_the_case(plate):
    progress = walked(SLOOP | {"unit.1": plate, "loss.1": "3 psi at 4 gpm"})
    case = asked(progress).loaded.case
    (point,) = case.unit[0].water_loss
    assert point.pressure == pytest.approx(3.0 * 6894.757, rel=1e-5)
    assert (("unit", 0, "cooling") in case.typical) == (not plate)
    assert asked(walked(SLOOP)).loaded.case.unit[0].water_loss == ()


def test_a_place_stands_for_the_sea(boat):
    run(str(boat), lines=[*(SLOOP | {"sea": "Lesser Antilles"}).values(), "write"])
    assert load_case(str(boat)).case.sea.warmest > 28.0


def test_plates_that_were_read_stand_beside_usual_ones():
    case = asked(walked(SLOOP | {"units": "2", "unit.2": ""})).loaded.case
    assert len(case.unit) == 2
    assert len([path for path in case.typical if path[-1] == "cooling"]) == 1
    assert any(unit.cooling == pytest.approx(12000 * 0.29307107) for unit in case.unit)


def test_a_pump_told_by_its_figures_gets_a_sheet(boat):
    told = SLOOP | {"pump": "shut-off 5 m, open flow 40 L/min, 60 W"}
    answer = run(str(boat), lines=[*told.values(), "write"])
    sheet = boat.parent / "boat-pump.toml"
    assert f"--parts {sheet}" in answer.output
    case = load_case(str(boat), load_parts([str(sheet)]).catalogue).case
    assert case.pump[0].fitted is not None


def test_own_sheets_are_offered_and_named(boat):
    told = SLOOP | {"unit.1": "cabin-16", "pump": "yard-pump-230"}
    answer = run(str(boat), "--parts", OWN, lines=[*told.values(), "write"])
    assert answer.exit_code in (0, 1, 3), answer.output
    shown = " ".join(answer.output.split()).split("Such as ")
    offered_own = [
        text.split(", of your sheets")[0] for text in shown if ", of your sheets" in text
    ]
    for name in ("cabin-16", "yard-pump-230"):
        assert any(name in text for text in offered_own), name
    assert f"seaflow size {boat} --parts {OWN}" in answer.output
    case = load_case(str(boat), load_parts([OWN]).catalogue).case
    assert case.pump[0].fitted == "yard-pump-230"
    assert case.unit[0].model == "cabin-16"
    assert case.unit[0].refrigerant == "R-410A"


# Left in the middle and taken up.


@pytest.mark.parametrize("way", ["stop", "quit", None])
@pytest.mark.parametrize("after", [1, 4, 9, 10])
def test_left_and_taken_up(boat, way, after):
    lines = [*SLOOP.values(), "-45 cm"]
    stopped = run(str(boat), lines=[*lines[:after], *([way] if way else [])])
    assert stopped.exit_code == 2
    assert not boat.exists()
    assert f"To go on: seaflow new {boat} --ask" in stopped.output
    again = run(str(boat), lines=[*lines[after:], "write"])
    assert again.exit_code in (0, 1, 3), again.output
    whole = boat.read_text(encoding="utf-8")
    boat.unlink()
    run(str(boat), lines=[*lines, "write"])
    assert boat.read_text(encoding="utf-8") == whole


def test_answers_are_kept_after_every_answer(boat, monkeypatch):
    sizes = []
    monkeypatch.setattr(
        "seaflow.cli.interview._keep", lambda goal, now: sizes.append(len(now.answers))
    )
    run(str(boat), lines=list(SLOOP.values())[:5])
    assert sizes[:5] == [1, 2, 3, 4, 5]


def test_left_before_the_first_answer(boat):
    answer = run(str(boat), lines=["stop"])
    assert "nothing is kept" in answer.output
    assert not kept(boat).exists()


@pytest.mark.parametrize("content", ["", "x", "answers = 1", "[answers]\nname = '\x07'"])
def test_kept_answers_that_cannot_be_read(boat, content):
    kept(boat).write_text(content, encoding="utf-8")
    answer = run(str(boat), lines=["Demo"])
    assert answer.exit_code == 2
    assert "W04" in answer.output
    assert kept(boat).read_text(encoding="utf-8") == content


def test_answers_that_another_interview_kept_meanwhile_are_left(boat, monkeypatch):
    typed = iter(["Demo", "5", "12 m"])
    theirs = "[answers]\nname = 'Theirs'\n"

    def prompt(*_, **__):
        said = next(typed)
        if said == "12 m":
            kept(boat).write_text(theirs, encoding="utf-8")
        return said

    monkeypatch.setattr("click.prompt", prompt)
    answer = run(str(boat), lines=[])
    assert answer.exit_code == 2 and "W04" in answer.output
    assert kept(boat).read_text(encoding="utf-8") == theirs


def test_a_kept_answer_that_does_not_fit_is_asked_again():
    answers = {"name": "Demo", "kind": "submarine", "length": "12 m"}
    progress = taken_up(answers, {}, Progress().catalogue)
    assert current(progress).id == "kind"
    assert offered(progress, current(progress)) == "submarine"


@pytest.mark.parametrize("name", ['a "b" {c}', "back", "  é — 🚤 "])
def test_any_name_is_kept(boat, name):
    typed = f'"{name}"' if name == "back" else name
    run(str(boat), lines=[typed, "stop"])
    taken = taken_up({"name": " ".join(name.split())}, {}, Progress().catalogue)
    assert taken.answers["name"] == " ".join(name.split())
    assert kept(boat).exists()


def test_an_answer_that_would_act_on_the_terminal_is_asked_again(boat):
    answer = run(str(boat), lines=["a\x1b]0;x\x07", "Demo", "stop"])
    assert "K14" in answer.output
    assert "\x1b" not in answer.output.partition("K14")[2]


# Wrong answers, back, and explanations.


@pytest.mark.parametrize(
    ("id", "typed", "code"),
    [
        ("kind", "tugboat", "K11"),
        ("length", "12", "T01"),
        ("length", "twelve", "T01"),
        ("built", "soon", "K10"),
        ("built", "98", "K10"),
        ("built", "1850", "T01"),
        ("units", "none", "K10"),
        ("units", "7", "K10"),
        ("unit.1", "big", "T02"),
        ("loss.1", "much", "T02"),
        ("loss.1", "3 psi", "T02"),
        ("supply", "sun", "T03"),
        ("sea", "Atlantis", "T04"),
        ("pump", "a good one", "T05"),
    ],
)
def test_a_wrong_answer_is_told_and_asked_again(id, typed, code):
    progress = walked(SLOOP, until=id)
    taken = step(progress, current(progress), typed)
    assert taken.outcome == "refused"
    assert code in {problem.code for problem in taken.problems}
    assert taken.progress is progress
    assert all(problem.line is None for problem in taken.problems)


def test_a_measure_is_read_as_in_a_file():
    progress = walked(SLOOP)
    question = question_at(asked(progress).loaded.case, ("pump", 0, "at", "height"))
    for typed, code in (("-0.4", "K03"), ("-0,4 m", "K05"), ("-4 kg", "K07")):
        taken = step(progress, question, typed)
        assert [problem.code for problem in taken.problems] == [code], typed


def test_an_answer_that_is_hard_to_believe_is_taken_and_questioned():
    progress = walked(SLOOP)
    question = question_at(asked(progress).loaded.case, ("hose", 0, "length"))
    taken = step(progress, question, "95 m")
    assert taken.outcome == "taken"
    assert [problem.code for problem in taken.problems] == ["Q01"]


def test_back_offers_the_earlier_answer():
    progress = walked(SLOOP, until="pump")
    progress = step(progress, current(progress), "back").progress
    question = current(progress)
    assert question.id == "sea"
    assert offered(progress, question) == SLOOP["sea"]
    assert step(progress, question, "").progress.answers["sea"] == SLOOP["sea"]
    assert step(progress, question, "28 degC").progress.answers["sea"] == "28 degC"


def test_back_after_the_card_asks_the_last_one_again(boat):
    answer = run(str(boat), lines=[*SLOOP.values(), "-45 cm", "back", "-40 cm", "write"])
    assert answer.exit_code in (0, 1, 3), answer.output
    text = boat.read_text(encoding="utf-8")
    assert "-40 cm" in text and "-45 cm" not in text


def test_back_at_the_first_question(boat):
    answer = run(str(boat), lines=["back", "Demo", "back", "back"])
    assert answer.output.count("This is the first question.") == 2


def test_more_units_are_more_questions():
    ids = [question.id for question in questions(walked(SLOOP | {"units": "3"}))]
    assert [name for name in ids if name.startswith("unit.")] == ["unit.1", "unit.2", "unit.3"]


def test_a_question_mark_explains(boat):
    answer = run(str(boat), lines=[*list(SLOOP.values())[:7], "?"])
    question = next(one for one in questions(walked(SLOOP)) if one.id == "supply")
    shown = " ".join(answer.output.split())
    assert " ".join(f"Why: {question.why}".split()) in shown


def test_write_waits_for_the_first_questions(boat):
    run(str(boat), lines=["write"])
    assert not boat.exists()


def test_options_by_number_start_and_quotes():
    progress = walked(SLOOP, until=KIND)
    question = current(progress)
    assert step(progress, question, "1").progress.answers[KIND] == question.options[0]
    assert step(progress, question, "Power").progress.answers[KIND] == "power catamaran"
    assert step(progress, question, '"power catamaran"').progress.answers[KIND] == "power catamaran"
    assert step(progress, question, "motor").problems  # two begin so


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("Sloop", "sailing monohull"),
        ("catamaran", "sailing catamaran"),
        ("trawler", "motor yacht, engine amidships"),
        ("motor yacht", "motor yacht, flybridge"),
    ],
)
def test_a_kind_goes_by_its_usual_names_too(typed, kind):
    progress = walked({KIND: typed})
    assert progress.answers["kind"] == kind


def test_the_questions_are_well_formed():
    rows = read_table("interview.toml")["question"]
    assert len({row["id"] for row in rows}) == len(rows)
    for row in rows:
        assert row["ask"].endswith("?") and row["why"].endswith(".")
        assert not row["id"].startswith(MEASURED + ".")
