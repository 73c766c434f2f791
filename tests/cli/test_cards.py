"""The cards: short, within eighty columns, and with what every card must have."""

import json
import re
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner
from sizing import loop_words

from seaflow.base.tables import read_table
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.cli.main import main
from seaflow.cli.view import has_words
from seaflow.present.card import Block, block, card, card_data, card_text
from seaflow.present.quantities import Show
from seaflow.studies.design.named import pump_named

pytestmark = pytest.mark.usefixtures("asked_once")

CASES = sorted(Path(__file__).parents[2].joinpath("cases").glob("*.toml"))
COMMANDS = {  # with what else they are called
    "size": ("--samples", "64"),
    "balance": (),
    "diagnose": ("--draws", "512", "--stream", "weak"),
    "survey": (),
    "energy": (),
    "improve": ("--samples", "16"),
    "place": (),
    "heating": (),
    "baseline": (),
}
EXITS = (0, 1, 3)
CAREFUL = "Local codes and licensed practice decide."
LINES, LINES_MORE, COLUMNS = 30, 12, 80
LABELS = ("Yes", "How sure", "Find out", "Watch")


@cache
def shown(command, file, *options):
    words = [command, *COMMANDS[command], *loop_words(command, str(file)), *options, str(file)]
    return CliRunner().invoke(main, words)


@cache
def loops_of(file):
    return len(network.loops(load_case(str(file)).case))


CARDS = [
    pytest.param(command, file, units, id=f"{command}-{file.stem}-{units}")
    for command in COMMANDS
    for file in CASES
    for units in ("metric", "us")
]


@pytest.mark.parametrize(("command", "file", "units"), CARDS)
def test_a_card_is_short_and_narrow_and_has_its_hazard(command, file, units):
    result = shown(command, file, "--units", units)
    if result.exit_code not in EXITS:
        assert result.stdout == "" and result.exit_code == 2
        return  # a question that this boat cannot be asked
    lines = result.stdout.splitlines()
    allowed = LINES if command == "diagnose" else LINES + LINES_MORE * (loops_of(file) - 1)
    assert len(lines) <= allowed
    assert max(map(len, lines)) <= COLUMNS
    assert CAREFUL in " ".join(result.stdout.split())
    assert lines[-1].startswith("More ")


@cache
def told(command, file):
    """The answer as data, or None for a question that this boat cannot be asked."""
    result = shown(command, file, "--json")
    return json.loads(result.stdout) if result.exit_code in EXITS else None


def judged_of(command, file, answer):
    """What an answer judges, of which its card must name one or more in each group."""
    if command == "survey":
        return [[answer["boat"]]]
    if command == "place":
        return [[one["name"] for one in pump["places"]] for pump in answer["pumps"]]
    if command == "diagnose":
        return [[answer["pump"]], [answer["looks"][0]["place"]]]
    if command in ("energy", "improve"):
        return [[loop.get("pump") or loop["now"]["pump"]] for loop in answer["loops"]]
    case = load_case(str(file)).case
    found = {loop.name: [unit.name for unit in loop.units] for loop in network.loops(case)}
    names = [answer["loop"]] if "loop" in answer else [one["name"] for one in answer["loops"]]
    return [found[name] for name in names]


def share_of(command, answer):
    """The first share or band of an answer, as its card may write it; none where it has none."""
    if command == "size":
        best = [one["pumps"][0]["judgement"] for one in answer["loops"] if one["pumps"]]
        return [f"{one['keeps_rise']['value']:.0%}" for one in best]
    if command == "energy":
        return [f"{one['judgement']['keeps_rise']['value']:.0%}" for one in answer["loops"]]
    if command == "diagnose":
        likeliest = max(one["chance"]["value"] for one in answer["looks"][:2])
        return [f"{likeliest:.0%}"]  # an easy place may come before it
    if command == "baseline":
        warm = next(one for one in answer["expected"] if one["unit"] == "degC")
        return [f"({warm['low']:.1f} to {warm['high']:.1f})"]
    if command == "survey":
        return [f"{answer['points_seen']} of {answer['points']}"]
    return []


ANSWERS = [
    pytest.param(command, file, id=f"{command}-{file.stem}")
    for command in COMMANDS
    for file in CASES
]


@pytest.mark.parametrize(("command", "file"), ANSWERS)
def test_a_card_names_what_it_judges_how_sure_it_is_and_its_hazards(command, file):
    answer = told(command, file)
    if answer is None:
        return
    card_said = " ".join(shown(command, file).stdout.split()).lower()
    for names in judged_of(command, file, answer):
        assert any(name.lower() in card_said for name in names)
    for share in share_of(command, answer):
        assert share in card_said
    briefs = [one["brief"] for one in answer["cautions"] if one["brief"]]
    careful = [one for one in answer["card"]["blocks"] if one["label"] == "Careful"]
    assert bool(careful) == bool(briefs)
    if command != "diagnose":
        assert all(one in " ".join(careful[0]["says"]) for one in briefs)
        return
    look = answer["looks"][0]  # here each hazard stands before the action that needs it
    act = card_said.index(look["act"].lower())
    for one in look["cautions"]:
        assert card_said.index(one["brief"].lower()) < act


@pytest.mark.parametrize(("command", "file", "units"), CARDS)
def test_the_full_answer_begins_with_the_card(command, file, units):
    if units == "us":
        return
    short = shown(command, file)
    if short.exit_code in EXITS:
        whole = shown(command, file, "--full")
        assert whole.stdout.startswith(short.stdout)
        assert len(whole.stdout.splitlines()) > len(short.stdout.splitlines())


def test_a_card_that_is_too_long_spares_sentences_and_says_how_many():
    said = [
        f"Sentence {number} of a card that is far too long for any screen." for number in range(40)
    ]
    made = card("A boat", [block("Yes", "It will do."), block("Watch", *said, kept=1, listed=True)])
    text = card_text(made)
    assert len(text.splitlines()) == LINES
    left = next(one.left for one in made.blocks if one.label == "Watch")
    assert f"({left} more: --full)" in text and left + text.count("Sentence") == len(said)


def test_whatever_the_order_of_the_loops_each_says_as_much():
    said = [f"Sentence {number} of a card that is too long for a screen." for number in range(9)]
    port, starboard = (
        [Block(name, apart=True), *(block(label, *said, kept=1, listed=True) for label in LABELS)]
        for name in ("Port", "Starboard")
    )
    told = [
        [(one.label, one.says, one.left) for one in card("A boat", loops, loops=2).blocks]
        for loops in ([*port, *starboard], [*starboard, *port])
    ]
    assert any(left for _, _, left in told[0])
    assert sorted(told[0]) == sorted(told[1])
    assert told[0][1:5] == told[0][6:]


def test_data_of_a_card_hold_what_the_screen_has_no_lines_for():
    said = [f"Sentence {number} of a card that is too long for a screen." for number in range(40)]
    made = card("A boat", [block("Yes", "It will do."), block("Watch", *said, kept=1, listed=True)])
    assert any(one.left for one in made.blocks)
    assert card_data(made)["blocks"][1]["says"] == said


def test_what_a_block_cannot_spare_stays():
    said = [
        f"Sentence {number} of a card that is far too long for any screen." for number in range(40)
    ]
    text = card_text(card("A boat", [block("No", *said, listed=True)]))
    assert all(one in text for one in said)


def test_a_card_of_several_loops_may_be_longer_and_closes_up_first():
    blocks = [block("Yes", "It will do.", apart=True) for _ in range(25)]
    one = card_text(card("A boat", blocks)).splitlines()
    assert len(one) <= LINES and one.count("") == 1  # nothing to spare: only blank lines go
    text = card_text(card("A boat", [*blocks, Block("Port hull", apart=True)], loops=2))
    assert len(text.splitlines()) <= LINES + LINES_MORE
    assert "\n\nPort hull" in text


def test_a_block_that_is_spared_whole_says_how_many_points_it_had():
    need = [f"Sentence {number} that this card cannot spare, so it stays." for number in range(40)]
    made = card("A boat", [block("No", *need, listed=True), block("Watch", *need[:3], kept=0)])
    (watch,) = (line for line in card_text(made).splitlines() if line.startswith("Watch"))
    assert watch.split()[1] == "3" and "more" not in watch


def test_a_pump_without_a_title_is_named_once():
    show = Show("metric")
    assert show.sentence(pump_named("my-pump", "my-pump", True)).count("my-pump") == 1
    named = show.sentence(pump_named("small pump", "my-pump", False))
    assert "small pump" in named and "my-pump" in named


# what no shipped boat has: several pumps, water at which a source is left
NOT_SHIPPED = {("survey", "since"), ("place", "running"), ("energy", "range"), ("heating", "range")}


@cache
def titles_of(command):
    """The titles of all sections of the answers to a command, as it lists them."""
    told = (shown(command, file, "--section", "no such words").stderr for file in CASES)
    lists = (re.findall(r"It has: (.*?)\. Give --section", " ".join(one.split())) for one in told)
    return {title for found in lists for title in "; ".join(found).split("; ") if title}


@pytest.mark.parametrize("command", COMMANDS)
def test_one_word_asks_for_each_section_of_an_answer(command):
    words = read_table("sections.toml")[command]
    assert titles_of(command)
    for word, begins in words.items():
        assert " " not in word and has_words(begins, word)
        found = [title for title in titles_of(command) if has_words(title, word)]
        assert found or (command, word) in NOT_SHIPPED, word
    for title in titles_of(command):
        assert any(has_words(title, word) for word in words), title
