"""No file takes more than some memory and time, and none is waited for."""

import os
from pathlib import Path

import pytest
from absurd import ANSWERS, CASES, GOOD, READINGS, SHEETS
from bounded import Server
from heavy import half_known, heavy, with_places

from seaflow.base.constants import MOST_DRAWS, MOST_OF_CHOICES
from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case
from seaflow.boat.parts.own_parts import load_parts
from seaflow.boat.reader.bounds import acting, shown
from seaflow.boat.reader.text import read_text

SECONDS, MEGABYTES = 5, 300  # of processor time, and of memory at the most
# The seconds hold on a core that does nothing else; a machine of the tests may be half as fast, and
# half of its core another's.
ALLOWANCE = 3
USES = [
    *((f"case, {name}", ("check", "file.toml"), text) for name, text in CASES.items()),
    *((f"sheet, {name}", ("parts", "--parts", "file.csv"), text) for name, text in SHEETS.items()),
    *(
        (f"readings, {name}", ("diagnose", "boat.toml", "--readings", "file.toml"), text)
        for name, text in READINGS.items()
    ),
    *(
        (f"answers, {name}", ("survey", "boat.toml", "--answers", "file.toml"), text)
        for name, text in ANSWERS.items()
    ),
    ("kept answers", ("new", "file.toml", "--ask"), CASES["dots"]),
]


@pytest.mark.parametrize(("name", "words", "text"), USES, ids=[name for name, *_ in USES])
def test_an_absurd_file_is_read_or_refused_within_bounds(bounded, tmp_path, name, words, text):
    (tmp_path / "boat.toml").write_text(GOOD, encoding="utf-8")
    file = "file.toml.answers.toml" if name == "kept answers" else words[-1]
    (tmp_path / file).write_text(text, encoding="utf-8")
    bounded(tmp_path, words)


@pytest.fixture(scope="module")
def bounded():
    """What a command answers that keeps to its bounds."""

    def run(folder, words):
        done = server.run(folder, words, ALLOWANCE * SECONDS)
        assert done.returncode in (0, 1, 2, 3), (done.returncode, done.stderr[-500:])
        assert done.megabytes < MEGABYTES
        return done

    with Server() as server:
        yield run


YACHT = {"loops": 4, "units": 2, "rooms": 24, "places": 8, "intakes": 2, "duties": 24}
LOOPS = {"loops": 4, "units": 2}
# The heaviest boat that is taken, for each command.
HEAVIEST = {
    "check": {**YACHT, "joined": 24, "findings": 400},
    **dict.fromkeys(("size", "improve", "balance", "heating"), LOOPS),
    "place": {"rooms": 24, "places": 8, "intakes": 2, "joined": 24},
    "energy": {**LOOPS, "duties": 24},
    "survey": {**LOOPS, "openings": 216, "visits": 100},
    "baseline": {"units": 6},
    "diagnose": {"units": 6},
}
STORED = "".join(
    f'[[reading]]\ndate = "2025-{1 + day // 28:02}-{1 + day % 28:02}"\nloop = "loop 0"\n'
    f'sea = "{20 + 0.01 * day:.2f} degC"\nbucket = ["outlet 0 0={60 + day % 3}"]\n\n'
    for day in range(300)
)


@pytest.mark.parametrize("command", HEAVIEST)
def test_every_command_keeps_its_bounds_on_the_heaviest_boat(bounded, tmp_path, command):
    (tmp_path / "boat.toml").write_text(heavy(**HEAVIEST[command]), encoding="utf-8")
    words = [command, "boat.toml"]
    if command in ("baseline", "diagnose"):
        (tmp_path / "boat.readings.toml").write_text(STORED, encoding="utf-8")
        words += ["--sea", "27 degC"]
    done = bounded(tmp_path, words)
    assert done.stdout, done.stderr[-500:]  # answered, and not refused


def test_a_half_known_boat_of_three_units_keeps_the_bounds(bounded, tmp_path):
    """What is only typical of a boat is drawn, and every change is asked of what is drawn."""
    half_known = Path(__file__).parents[1] / "helpers" / "half_known_catamaran.toml"
    (tmp_path / "boat.toml").write_text(half_known.read_text("utf-8"), encoding="utf-8")
    done = bounded(tmp_path, ["improve", "boat.toml"])
    assert "typical" in done.stdout, done.stderr[-500:]


FEW_WORDS = (
    *(
        "new",
        "boat.toml",
        "--boat",
        "motor yacht 15 m",
        "--unit",
        "16k",
        "--unit",
        "2 x 9000 BTU/h",
    ),
    *("--supply", "230 V 50 Hz", "--sea", "Mallorca"),
)
# What is asked of a boat of which little more is known, with so many places for her pump.
ASKED = {
    "page": (("-o", "boat.html"), 4),
    "place": ((), 16),
    "improve": (("--pump", "demo-mag-large-230"), 4),
}


@pytest.mark.parametrize("command", ASKED)
def test_a_boat_of_three_units_known_by_a_few_words_keeps_the_bounds(bounded, tmp_path, command):
    """All of her is drawn, and each pump, place and change is asked of what is drawn."""
    options, places = ASKED[command]
    bounded(tmp_path, FEW_WORDS)
    file = tmp_path / "boat.toml"
    file.write_text(with_places(file.read_text("utf-8"), places), encoding="utf-8")
    done = bounded(tmp_path, [command, "boat.toml", *options])
    assert "typical" in done.stdout, done.stderr[-500:]


SIX_UNITS = (*FEW_WORDS[:2], "--boat", "motor yacht 24 m", "--unit", "6 x 9 kBTU/h", *FEW_WORDS[8:])
# Nearly all of her is drawn: six units on one pump with all places there may be, and four loops.
ONE_PUMP = {"units": 6, "rooms": 24, "places": 16, "intakes": 1, "joined": 24}
UNSURE = {"place": ONE_PUMP, "survey": LOOPS, "size": LOOPS}


def test_the_page_of_six_units_of_few_words_with_all_places_keeps_the_bounds(bounded, tmp_path):
    bounded(tmp_path, SIX_UNITS)
    file = tmp_path / "boat.toml"
    file.write_text(with_places(file.read_text("utf-8"), 16), encoding="utf-8")
    done = bounded(tmp_path, ["page", "boat.toml", "-o", "boat.html"])
    assert "typical" in done.stdout, done.stderr[-500:]


@pytest.mark.parametrize("command", UNSURE)
def test_the_heaviest_boat_of_which_nothing_is_sure_keeps_the_bounds(bounded, tmp_path, command):
    (tmp_path / "boat.toml").write_text(half_known(heavy(**UNSURE[command])), encoding="utf-8")
    done = bounded(tmp_path, [command, "boat.toml"])
    assert done.stdout, done.stderr[-500:]


@pytest.mark.parametrize("owner", [(), ("--owner",)])
def test_a_yacht_of_eight_units_in_four_loops_is_answered(bounded, tmp_path, owner):
    """Each of her loops has its charts on the page, and its boats on the owner's."""
    (tmp_path / "boat.toml").write_text(half_known(heavy(**YACHT)), encoding="utf-8")
    done = bounded(tmp_path, ["page", "boat.toml", "-o", "boat.html", *owner])
    page = (tmp_path / "boat.html").read_text("utf-8")
    assert len(page) > 100_000, done.stderr[-500:]
    assert ("--owner -o dock.html" in page) is not bool(owner)
    assert all(f"loop {number}" in page.lower() for number in range(4))


MOST = {
    "size": ("--samples", MOST_DRAWS),
    "improve": ("--samples", MOST_OF_CHOICES),
    "diagnose": ("--draws", MOST_DRAWS),
}


@pytest.mark.parametrize("command", MOST)
def test_the_most_boats_that_may_be_simulated_keep_the_bounds(bounded, tmp_path, command):
    (tmp_path / "boat.toml").write_text(heavy(**HEAVIEST[command]), encoding="utf-8")
    words = [command, "boat.toml", *map(str, MOST[command])]
    words += ["--sea", "27 degC"] if command == "diagnose" else []
    assert bounded(tmp_path, words).stdout


MANY = [
    *({key: number} for key, number in (("loops", 4), ("duties", 24), ("rooms", 24))),
    *({key: number} for key, number in (("visits", 100), ("findings", 400), ("openings", 238))),
    *({key: number} for key, number in (("feeds", 12), ("losses", 24), ("zones", 12))),
    *({key: number} for key, number in (("fittings", 40), ("via", 40))),
    *({"rooms": 20, key: number} for key, number in (("places", 16),)),
    *({"rooms": 20, "places": 1, key: number} for key, number in (("intakes", 16), ("joined", 24))),
]


@pytest.mark.parametrize("most", MANY, ids=[list(one)[-1] for one in MANY])
def test_more_of_a_kind_than_any_boat_has_is_refused_where_it_stands(tmp_path, most):
    file, key = tmp_path / "boat.toml", list(most)[-1]
    for number, too_many in ((most[key], False), (most[key] + 1, True)):
        file.write_text(heavy(**{**most, key: number}), encoding="utf-8")
        try:
            load_case(str(file))
            found = []
        except SeaflowError as refused:
            found = [one for one in refused.problems if one.code == "F16"]
        assert bool(found) is too_many, (number, found)
        assert all(one.line and one.why and one.write for one in found)


def test_more_pumps_of_ones_own_than_anybody_weighs_are_refused(tmp_path):
    file = tmp_path / "pumps.csv"
    head = "part,name,source,supply,voltage,frequency,shut_off_head,free_flow\n"
    row = "pump,p{0},told,ac,230 V,50 Hz,{1} m,30 L/min\n"
    for number in (40, 41):
        rows = [row.format(one, 3.0 + 0.2 * one) for one in range(number)]
        file.write_text(head + "".join(rows), encoding="utf-8")
        if number == 40:
            load_parts([str(file)])
            continue
        with pytest.raises(SeaflowError) as refused:
            load_parts([str(file)])
        assert [one.code for one in refused.value.problems] == ["F16"]
    with pytest.raises(SeaflowError) as refused:  # beside what is wrong with other files
        load_parts([str(tmp_path / "gone.csv"), str(file)])
    assert [one.code for one in refused.value.problems] == ["F01", "F16"]


@pytest.mark.parametrize("name", ["/dev/zero", "fifo"])
def test_what_never_ends_is_not_waited_for(bounded, tmp_path, name):
    (tmp_path / "boat.toml").write_text(GOOD, encoding="utf-8")
    os.mkfifo(tmp_path / "fifo")
    for words in (
        ("check", name),
        ("check", "boat.toml", "--parts", name),
        ("diagnose", "boat.toml", "--readings", name),
        ("survey", "boat.toml", "--answers", name),
    ):
        done = bounded(tmp_path, words)
        assert done.returncode == 2
        assert "F15" in done.stdout + done.stderr


def test_the_bounds_leave_room_for_every_shipped_boat():
    import tomllib

    from seaflow.boat.reader.bounds import MOST_ROWS, MOST_TABLES, excess

    for path in (Path(__file__).parents[2] / "cases").glob("*.toml"):
        raw = tomllib.loads(path.read_text(encoding="utf-8"))
        tenfold = {name: rows * 10 for name, rows in raw.items() if isinstance(rows, list)}
        assert excess(tenfold) is None, (path, MOST_ROWS, MOST_TABLES)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (f"schema = 1\nx = {'9' * 5000}\n\n\ny = 1\n", 2),
        ("x = " + "{a=" * 5000 + "1" + "}" * 5000, None),
    ],
)
def test_what_cannot_be_read_for_its_size_is_named_where_it_stands(tmp_path, text, line):
    file = tmp_path / "file.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(SeaflowError) as refused:
        read_text(str(file))
    (problem,) = refused.value.problems
    assert (problem.code, problem.line) == ("F16", line)


PLAIN = ("a", "\u00e9", "\u00a0", "\u2003", "\u200c", "\u200d", "\u06f1", "\U0001f6a4")
ACTING = ("\x07", "\x1b", "\x85", "\u00ad", "\u202e", "\u2028", "\u2029", "\ue000", "\ud800")


@pytest.mark.parametrize("beside", ["", "boat", "\u00a0"])
def test_a_text_acts_if_one_of_its_characters_does(beside):
    """A space that does not break and the joiners of some scripts are shown, and not told off."""
    for one in PLAIN:
        assert not acting(beside + one)
        assert shown(beside + one + beside) == beside + one + beside
    for one in ACTING:
        for text in (beside + one, one + beside, beside + one + beside):
            assert acting(text)
            assert shown(text) == text.replace(one, "\ufffd")
