"""The command `new`: the starter, and the interview with its ways out and back in."""

import re
import tomllib
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from seaflow.base.tables import read_table
from seaflow.boat.load import load_case
from seaflow.boat.parts.own_parts import load_parts
from seaflow.cli import files
from seaflow.cli.main import main
from seaflow.forms.interview import (
    Progress,
    answered_case,
    current,
    offered,
    place_of,
    problems_with,
    step,
    taken_up,
)
from seaflow.forms.questions import questions
from seaflow.forms.starter import starter_text

# Answers by the end of a question's name, in whatever unit; what is not here is Enter.
USUAL = {
    "boat.name": "Demo sloop",
    "boat.hull": "1",
    "boat.heel": "12 deg",
    "sea.warmest": "84 degF",
    "supply.current": "ac",
    "supply.voltage": "230 V",
    "supply.frequency": "50 Hz",
    "cooling": "12000 BTU/h",
    "power": "1.1 kW",
    "refrigerant": "R-410A",
    "rated": "3 gpm",
    "loss_flow": "11 L/min",
    "loss": "1.2 m",
    "cut_out": "600 psi",
    "intake.bore": "1 in",
    "seacock.bore": "",
    "manifold.bore": "32 mm",
    "collector.bore": "32 mm",
    "outlet.1.bore": "25 mm",
    "bore": "3/4 in",
    "entry": "grilled scoop, facing forward",
    "strainer.model": "demo-strainer-25",
    "unit.1.height": "35 cm",
    "unit.2.height": "40 cm",
    "pump.height": "-0.42 m",
    "outlet.1.height": "20 cm",
    "outlet.2.height": "20 cm",
    "height": "-50 cm",
    "aft": "17 ft",
    "starboard": "1 ft",
    "cable.length": "20 ft",
    "conductor": "1.5 mm2",
    "length": "1.5 m",
    "bends": "1",
    "run.3.elbows": "1",
}
# A brace that was not filled in, a mark on a mark, a space before one.
STRAY = re.compile(r"\{\w*\}|[,;:.?!][,;:?!]|\.\.(?!\.)|\s[,;:?!]")
STEPS = 400  # more than any interview has


def line_for(question, answers):
    return answers.get(question.id, answers.get(question.id.rpartition(".")[2], ""))


@cache
def trail(answers):
    """Each question of an interview, with the progress before it and the line typed to it."""
    progress, passed = Progress(), []
    while (question := current(progress)) is not None:
        line = line_for(question, dict(answers))
        passed.append((question.id, progress, line))
        taken = step(progress, line)
        assert taken.problems == (), question.id
        progress = taken.progress
        assert len(passed) < STEPS
    return (*passed, (None, progress, ""))


def walked(answers, until=None):
    """The progress, and the lines typed, that lead through an interview up to a question."""
    passed = trail(tuple(answers.items()))
    names = [name for name, _, _ in passed]
    end = names.index(until)
    return passed[end][1], [line for _, _, line in passed[:end]]


def run(*arguments, lines=None):
    typed = None if lines is None else "".join(f"{line}\n" for line in lines)
    return CliRunner().invoke(main, ["new", *arguments], input=typed)


@pytest.fixture
def boat(tmp_path):
    return tmp_path / "boat.toml"


def kept(boat):
    return Path(f"{boat}.answers.toml")


# The starter.


def test_the_starter_is_written_and_runs_as_it_stands(boat):
    answer = run(str(boat))
    assert answer.exit_code == 0, answer.output
    assert boat.read_text(encoding="utf-8") == starter_text()
    assert f"seaflow size {boat}" in answer.output
    sized = CliRunner().invoke(main, ["size", str(boat), "--samples", "0"])
    assert sized.exit_code == 0, sized.output
    assert CliRunner().invoke(main, ["check", str(boat)]).exit_code == 0


@pytest.mark.parametrize("ask", [[], ["--ask"]])
def test_an_existing_file_is_left_as_it_is(boat, ask):
    boat.write_text("mine", encoding="utf-8")
    answer = run(str(boat), *ask, lines=["x"])
    assert answer.exit_code == 2
    assert f"W01  {boat}  problem: there is such a file already" in answer.output
    assert boat.read_text(encoding="utf-8") == "mine"
    assert not kept(boat).exists()


def test_a_link_to_nowhere_is_an_existing_file(boat):
    boat.symlink_to(boat.parent / "nowhere.toml")
    answer = run(str(boat))
    assert answer.exit_code == 2
    assert "W01" in answer.output
    assert not boat.exists()


@pytest.mark.parametrize("ask", [[], ["--ask"]])
def test_a_folder_that_is_missing(tmp_path, ask):
    answer = run(str(tmp_path / "none" / "boat.toml"), *ask, lines=["x"])
    assert answer.exit_code == 2
    assert "W02" in answer.output
    assert "there is no folder" in answer.output


def test_a_folder_instead_of_a_file(tmp_path):
    answer = run(str(tmp_path))
    assert answer.exit_code == 2
    assert "this is a folder" in answer.output


def test_a_file_that_cannot_be_written(boat, monkeypatch):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    answer = run(str(boat))
    assert answer.exit_code == 2
    assert "W03" in answer.output
    assert "No space left on device" in answer.output


# The interview from one end to the other.


def test_a_full_run_ends_with_the_answer_of_size(boat):
    _, lines = walked(USUAL)
    answer = run(str(boat), "--ask", lines=lines)
    assert answer.exit_code == 0, answer.output
    assert f"The case is written to {boat}." in answer.output
    assert "\nHow sure  " in answer.output
    assert not kept(boat).exists()
    assert [path.name for path in boat.parent.iterdir()] == ["boat.toml"]
    case = load_case(str(boat)).case
    assert case.boat.name == "Demo sloop"
    assert case.sea.warmest == pytest.approx((84 - 32) / 1.8)
    assert [unit.name for unit in case.unit] == ["unit 1"]
    assert case.unit[0].cut_out.gauge_pressure == pytest.approx(600 * 6894.757, rel=1e-6)
    assert case.seacock[0].bore == pytest.approx(0.0254)
    assert case.pump[0].level == pytest.approx(-0.42)
    assert case.pump[0].cable.hot_space is False
    assert [hose.label for hose in case.hose] == [
        "hose cooling intake to strainer",
        "hose strainer to pump",
        "hose pump to unit 1",
        "hose unit 1 to outlet",
    ]
    assert case.hose[2].fittings == ("hose barb", "swept bend", "elbow 90", "hose barb")


def test_the_units_of_the_answer_can_be_chosen(boat):
    _, lines = walked(USUAL)
    answer = run(str(boat), "--ask", "--units", "us", lines=lines)
    assert "gpm" in answer.output.partition("It gives")[2].partition("(")[0]


BARE = [
    ("us", "sea.warmest", "84", "degF", lambda case: case.sea.warmest, (84 - 32) / 1.8),
    ("metric", "sea.warmest", "29", "degC", lambda case: case.sea.warmest, 29.0),
    ("us", "seacock.bore", "0.75", "in", lambda case: case.seacock[0].bore, 0.75 * 0.0254),
]


@pytest.mark.parametrize(("units", "id", "typed", "unit", "value", "inside"), BARE)
def test_a_bare_number_is_read_in_the_units_asked_for(boat, units, id, typed, unit, value, inside):
    ids = [name for name, _, _ in trail(tuple(USUAL.items()))]
    at = ids.index(id)
    _, lines = walked(USUAL)
    lines[at] = typed
    answer = run(str(boat), "--ask", "--units", units, lines=lines)
    assert f"A bare number is in {unit}." in answer.output
    assert value(load_case(str(boat)).case) == pytest.approx(inside)


def test_a_bare_number_is_asked_again_where_no_units_were_asked_for(boat):
    ids = [name for name, _, _ in trail(tuple(USUAL.items()))]
    _, lines = walked(USUAL, "sea.warmest")
    answer = run(str(boat), "--ask", lines=[*lines, "29", "stop"])
    assert "29 degC" in answer.output and "A bare number is in" not in answer.output
    assert "sea.warmest" in ids and "sea.warmest" not in kept(boat).read_text(encoding="utf-8")


@pytest.mark.parametrize("shared", ["yes", "no"])
def test_several_units_get_a_manifold(boat, shared):
    _, lines = walked(USUAL | {"units": "2", "outlet.shared": shared, "outlet.1.seacock": "yes"})
    answer = run(str(boat), "--ask", lines=lines)
    assert answer.exit_code in (0, 1), answer.output
    case = load_case(str(boat)).case
    assert len(case.unit) == 2
    assert len(case.manifold) == (2 if shared == "yes" else 1)
    assert len(case.outlet) == (1 if shared == "yes" else 2)
    assert len(case.seacock) == 2
    assert {hose.from_ for hose in case.hose if hose.to.startswith("unit")} == {"manifold"}


def test_a_boat_with_little_known(boat):
    little = USUAL | dict.fromkeys(
        ("power", "refrigerant", "rated", "loss_flow", "cut_out", "cable.length", "strainer.model"),
        "skip",
    )
    little |= {"boat.places": "no", "seacock.fitted": "n", "boat.heel": "skip"}
    little |= {"strainer.port": "25 mm", "run.3.highest": "0.6 m"}
    _, lines = walked(little)
    answer = run(str(boat), "--ask", lines=lines)
    assert answer.exit_code in (0, 1), answer.output
    case = load_case(str(boat)).case
    assert case.seacock == ()
    assert case.pump[0].cable is None
    assert case.pump[0].at is None
    assert case.unit[0].input_power is None
    assert case.strainer[0].port == pytest.approx(0.025)
    assert case.hose[2].via[0].height == pytest.approx(0.6)


def test_elbows_and_bends_are_those_that_were_counted():
    progress, _ = walked(USUAL | {"run.3.elbows": "0", "run.2.elbows": "2", "run.2.bends": "0"})
    fittings = [hose["fittings"] for hose in answered_case(progress.answers)["hose"]]
    counted = [(one.count("swept bend"), one.count("elbow 90")) for one in fittings]
    assert counted == [(1, 0), (0, 2), (1, 0), (1, 0)]
    assert all(one[0] == one[-1] == "hose barb" for one in fittings)


def test_a_boat_without_a_strainer():
    progress, _ = walked(USUAL | {"strainer.fitted": "no"})
    assert not any("strainer." in name and name != "strainer.fitted" for name in progress.answers)


# Left in the middle and taken up.


@pytest.mark.parametrize("way", ["stop", "the input ends"])
def test_left_and_taken_up(boat, way):
    _, lines = walked(USUAL)
    first = run(str(boat), "--ask", lines=[*lines[:20], "stop"] if way == "stop" else lines[:20])
    assert first.exit_code == 2
    assert "The 20 answers so far are kept" in first.output
    assert not boat.exists()
    assert len(tomllib.loads(kept(boat).read_text(encoding="utf-8"))["answers"]) == 20
    second = run(str(boat), "--ask", lines=lines[20:])
    assert second.exit_code == 0, second.output
    assert "20 answers are kept" in second.output
    assert boat.exists()
    assert not kept(boat).exists()


def test_answers_are_kept_after_every_answer(boat, monkeypatch):
    seen = []
    monkeypatch.setattr("seaflow.cli.interview.write_whole", lambda name, text: seen.append(text))
    _, lines = walked(USUAL, until="sea.warmest")
    run(str(boat), "--ask", lines=lines)
    counts = [len(tomllib.loads(text)["answers"]) for text in seen]
    assert counts[: len(lines)] == list(range(1, len(lines) + 1))


def test_the_answers_are_replaced_in_one_go(boat, monkeypatch):
    """A break in the middle of writing leaves the answers of before."""
    run(str(boat), "--ask", lines=["Demo", "stop"])
    before = kept(boat).read_text(encoding="utf-8")

    def broken(*_):
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(files.os, "replace", broken)
    answer = run(str(boat), "--ask", lines=["1"])
    assert answer.exit_code == 2
    assert "W03" in answer.output
    assert kept(boat).read_text(encoding="utf-8") == before
    assert [path.name for path in boat.parent.iterdir()] == [kept(boat).name]


def test_left_before_the_first_answer(boat):
    answer = run(str(boat), "--ask", lines=["?", "stop"])
    assert answer.exit_code == 2
    assert "Nothing was answered" in answer.output
    assert list(boat.parent.iterdir()) == []


def test_gone_back_over_is_kept_too(boat):
    run(str(boat), "--ask", lines=["Demo", "1", "12 deg", "back", "back", "stop"])
    again = run(str(boat), "--ask", lines=["stop"])
    assert "What kind of hull" in again.output
    assert "Enter: sailing monohull." in again.output


@pytest.mark.parametrize("content", [b"answers = ", b"\xff\xfe", b"[other]\n", b"answers = 3\n"])
def test_kept_answers_that_cannot_be_read(boat, content):
    kept(boat).write_bytes(content)
    answer = run(str(boat), "--ask", lines=["x"])
    assert answer.exit_code == 2
    assert "W04" in answer.output
    assert kept(boat).read_bytes() == content


def test_a_kept_answer_that_does_not_fit_is_asked_again():
    progress, _ = walked(USUAL, until="intake.bore")
    again = taken_up({**progress.answers, "units": "many"}, {})
    assert current(again).id == "units"
    assert again.earlier["unit.1.cooling"] == USUAL["cooling"]
    assert taken_up(progress.answers, {}).answers == progress.answers


def test_any_text_is_kept(boat):
    run(str(boat), "--ask", lines=['a "b" \\ é {n}', "stop"])
    assert run(str(boat), "--ask", lines=["stop"]).exit_code == 2
    stored = tomllib.loads(kept(boat).read_text(encoding="utf-8"))["answers"]
    assert stored == {"boat.name": 'a "b" \\ é {n}'}


def test_an_answer_that_would_act_on_the_terminal_is_asked_again(boat):
    answer = run(str(boat), "--ask", lines=["a\x1b]0;b\x07", "stop"])
    assert "K14" in answer.output
    assert answer.output.count("\x1b") == 1  # what was typed, by the terminal itself
    assert not kept(boat).exists()


# Wrong answers, back, and explanations.


WRONG = [
    ("boat.name", "", "K02"),
    ("boat.hull", "raft", "K11"),
    ("boat.heel", "12 m", "K07"),
    ("boat.places", "perhaps", "K11"),
    ("sea.warmest", "30", "K03"),
    ("sea.warmest", "45 degC", "K12"),
    ("sea.coldest", "35 degC", "S19"),
    ("sea.coldest", "-2.4 degC", "S18"),
    ("supply.voltage", "230 Vlt", "K06"),
    ("units", "two", "K10"),
    ("units", "9", "K12"),
    ("unit.1.name", "pump", "S02"),
    ("unit.1.cooling", "skip", "K02"),
    ("unit.1.refrigerant", "R-41", "S17"),
    ("unit.1.loss", "1,2 m", "K05"),
    ("unit.1.loss", "1.2 kg", "K07"),
    ("intake.entry", "a pipe", "S16"),
    ("strainer.model", "demo-strainer-99", "S16"),
    ("pump.height", "", "K02"),
    ("pump.fitted", "demo-mag-medium-231", "S16"),
    ("cable.hot", "maybe", "K10"),
    ("run.1.length", "-1 m", "K12"),
    ("run.1.bore", "0 mm", "K12"),
    ("run.1.bends", "-1", "K10"),
]


@pytest.mark.parametrize(("name", "line", "code"), WRONG)
def test_a_wrong_answer_is_told_as_in_a_file_and_asked_again(name, line, code):
    progress, _ = walked(USUAL, until=name)
    taken = step(progress, line)
    assert taken.progress == progress
    assert [problem.code for problem in taken.problems] == [code]
    assert current(taken.progress).id == name


def test_the_message_of_a_wrong_answer_is_that_of_the_reader(boat, tmp_path):
    progress, lines = walked(USUAL, until="run.1.length")
    (told,) = step(progress, "2,5 m").problems
    case = tmp_path / "case.toml"
    text = starter_text().replace('length = "0.5 m"', 'length = "2,5 m"')
    case.write_text(text, encoding="utf-8")
    read = " ".join(CliRunner().invoke(main, ["check", str(case)]).output.split())
    shown = " ".join(run(str(boat), "--ask", lines=[*lines, "2,5 m"]).output.split())
    for words in (told.what, told.why, told.write):
        assert words in read
        assert words in shown
    assert shown.count("How long is the hose from cooling intake to strainer?") == 2


def test_an_answer_that_is_hard_to_believe_is_taken_and_questioned(boat):
    progress, lines = walked(USUAL, until="unit.1.height")
    taken = step(progress, "8 m")
    assert taken.progress.answers["unit.1.height"] == "8 m"
    (doubt,) = taken.problems
    assert doubt.warning
    shown = run(str(boat), "--ask", lines=[*lines, "8 m"]).output
    assert doubt.code in shown
    assert "back changes it" in shown


def test_back_offers_the_earlier_answer():
    progress, _ = walked(USUAL, until="sea.coldest")
    progress = step(progress, "back").progress
    question = current(progress)
    assert question.id == "sea.warmest"
    assert offered(progress, question) == USUAL["sea.warmest"]
    assert step(progress, "").progress.answers["sea.warmest"] == USUAL["sea.warmest"]
    assert step(progress, "28 degC").progress.answers["sea.warmest"] == "28 degC"


def test_back_to_the_first_question(boat):
    answer = run(str(boat), "--ask", lines=["back", "Demo", "back", "back"])
    assert answer.output.count("This is the first question.") == 2


def test_back_can_change_what_is_asked():
    progress, _ = walked(USUAL, until="unit.1.name")
    one = place_of(progress)[1]
    progress = step(step(progress, "back").progress, "3").progress
    assert place_of(progress)[1] > one
    ids = [question.id for question in questions(progress.answers)]
    assert "unit.3.cooling" in ids
    assert "manifold.bore" in ids


def test_a_question_mark_explains(boat):
    _, lines = walked(USUAL, until="pump.height")
    answer = run(str(boat), "--ask", lines=[*lines, "?"])
    shown = " ".join(answer.output.split())
    progress, _ = walked(USUAL, until="pump.height")
    question = current(progress)
    assert " ".join(f"Why: {question.why}".split()) in shown
    assert shown.count(question.ask) == 2


def test_options_by_number_start_and_quotes():
    progress, _ = walked(USUAL, until="boat.hull")
    assert step(progress, "2").progress.answers["boat.hull"] == "sailing multihull"
    assert step(progress, "Motor Mono").progress.answers["boat.hull"] == "motor monohull"
    assert step(progress, '"motor monohull"').progress.answers["boat.hull"] == "motor monohull"
    assert step(progress, "motor").problems  # two begin so


def test_only_pumps_that_fit_the_supply_are_offered():
    progress, _ = walked(USUAL, until="pump.fitted")
    options = current(progress).options
    assert "demo-mag-medium-230" in options
    assert all(name.endswith("-230") for name in options)


def test_a_loss_may_be_a_pressure():
    progress, _ = walked(USUAL | {"unit.1.loss": "17 kPa"})
    unit = answered_case(progress.answers)["unit"][0]
    assert unit["water_loss"] == [{"at": "11 L/min", "pressure": "17 kPa"}]


def test_what_is_wrong_as_a_whole_is_told_before_anything_is_written(boat, monkeypatch):
    """Found only when the answers are put together: go back, mend it, go on."""
    _, lines = walked(USUAL)
    real = load_case

    def first_refused(file, catalogue, tries=[]):  # noqa: B006 - counts over the calls
        tries.append(file)
        if len(tries) == 1:
            text = Path(file).read_text(encoding="utf-8").replace('to = "pump"', 'to = "pomp"')
            Path(file).write_text(text, encoding="utf-8")
        return real(file, catalogue)

    monkeypatch.setattr("seaflow.cli.interview.load_case", first_refused)
    answer = run(str(boat), "--ask", lines=[*lines, "back", "", "yes"])
    assert f"S03  {boat}:" in answer.output
    assert "Nothing is written yet" in answer.output
    assert answer.exit_code == 0, answer.output
    assert boat.exists()


# The data.


def test_the_interview_is_well_formed():
    rows = read_table("interview.toml")["question"]
    allowed = {"id", "topic", "ask", "from", "why", "key", "or_key", "kind", "least", "most"}
    allowed |= {"default", "default_from", "needed", "example", "when", "each", "place", "thing"}
    allowed |= {"offers"}
    ids = [row["id"] for row in rows]
    assert len(set(ids)) == len(ids)
    assert ids[-1] == "write"
    for row in rows:
        assert set(row) <= allowed, row["id"]
        if "place" in row:
            continue
        assert row["ask"].endswith("?"), row["id"]
        assert row["why"].endswith("."), row["id"]
        assert ("key" in row) != ("kind" in row), row["id"]


@pytest.mark.parametrize("shared", ["yes", "no"])
def test_every_question_reads_clean_and_so_does_its_refusal(shared):
    several = USUAL | {"units": "3", "outlet.shared": shared, "cable.length": "6 m"}
    progress, _ = walked(several)
    for question in questions(progress.answers):
        said = [question.topic, question.ask, question.why, question.measure, explained(question)]
        for wrong in ("", "x", "-7", "1,5 m", "perhaps"):
            for told in problems_with(question, wrong, progress):
                said += [told.what, told.why, told.write]
        for text in said:
            assert not STRAY.search(text), f"{question.id}: {text}"


def explained(question):
    return f"{question.declared.meaning} {question.example}"


def test_a_name_with_braces_stays_as_it_was_typed():
    progress, _ = walked(USUAL | {"unit.1.name": "{to} {n}"})
    asked = {question.id: question.ask for question in questions(progress.answers)}
    assert "from pump to {to} {n}?" in asked["run.3.length"]


def test_back_passes_over_no_question_of_own_parts():
    progress, _ = walked_with_own(WITH_OWN)
    known = {name: text for name, text in progress.answers.items() if name != "write"}
    asked, gone_over = list(known), []
    progress = progress.with_answers(known)
    while progress.answers:
        before, progress = progress, step(progress, "back").progress
        gone_over += set(before.answers) - set(progress.answers)
    assert gone_over == asked[::-1]


def test_the_order_is_that_of_a_site_visit():
    asked = [question.id.split(".")[0] for question in questions({"units": "2"})]
    order = list(dict.fromkeys(asked))
    visit = ["boat", "sea", "supply", "units", "unit", "intake", "seacock", "strainer", "pump"]
    visit += ["cable", "manifold", "outlet", "run", "write"]
    assert order == visit


# Own parts.


OWN = str(Path(__file__).parents[2] / "docs" / "examples" / "own-parts.toml")
WITH_OWN = USUAL | {
    "model": "cabin-16",
    "coil": "coil-15",
    "strainer.model": "yard strainer",
    "pump.fitted": "yard-pump-230",
}


def walked_with_own(answers):
    """The progress and the lines of an interview with own parts."""
    progress, lines = Progress(catalogue=load_parts([OWN]).catalogue), []
    while (question := current(progress)) is not None:
        lines.append(line_for(question, answers))
        taken = step(progress, lines[-1])
        assert taken.problems == (), question.id
        progress = taken.progress
    return progress, lines


def test_own_parts_are_offered_and_the_case_is_sized_with_them(boat):
    _, lines = walked_with_own(WITH_OWN)
    answer = run(str(boat), "--ask", "--parts", OWN, lines=lines)
    assert answer.exit_code in (0, 1), answer.output
    for name in ("yard-pump-230", "yard-strainer", "cabin-16", "coil-15"):
        assert re.search(rf"^ +\d+  {name}$", answer.output, re.M), name
    assert f"seaflow size {boat} --parts {OWN}" in answer.output
    sized = CliRunner().invoke(main, ["size", str(boat), "--parts", OWN, "--samples", "0"])
    assert sized.exit_code in (0, 1), sized.output
    assert "S16" in CliRunner().invoke(main, ["size", str(boat)]).output
    case = load_case(str(boat), load_parts([OWN]).catalogue).case
    assert case.pump[0].fitted == "yard-pump-230"
    assert case.unit[0].refrigerant == "R-410A"
    assert case.unit[0].water_flow.least == pytest.approx(2.5 * 3.785411784e-3 / 60)
    assert case.unit[0].tube.bore == pytest.approx(0.015)


def test_what_stands_on_a_sheet_is_not_asked():
    by_sheet, _ = walked_with_own(WITH_OWN)
    plain, _ = walked_with_own(WITH_OWN | {"model": "skip", "coil": "skip"})
    gone = set(plain.answers) - set(by_sheet.answers)
    told = ("cooling", "power", "refrigerant", "rated", "least", "loss_flow", "loss", "cut_out")
    assert gone == {f"unit.1.{name}" for name in told}


def test_without_own_units_nobody_is_asked_for_one():
    progress, _ = walked(USUAL)
    assert not [name for name in progress.answers if name.endswith((".model", ".coil"))][1:]
    assert "strainer.model" in progress.answers


def test_an_interview_with_own_parts_is_taken_up_with_them(boat):
    _, lines = walked_with_own(WITH_OWN)
    answer = run(str(boat), "--ask", "--parts", OWN, lines=[*lines[:25], "stop"])
    assert f"seaflow new {boat} --ask --parts {OWN}" in answer.output
    assert f"--parts {OWN}" in kept(boat).read_text(encoding="utf-8")
    again = run(str(boat), "--ask", "--parts", OWN, lines=lines[25:])
    assert again.exit_code in (0, 1), again.output
    assert boat.exists()


def test_own_parts_go_with_asking(boat):
    answer = run(str(boat), "--parts", OWN)
    assert answer.exit_code == 2
    assert "it goes with --ask" in answer.output
    assert not boat.exists()
