"""What any command says of any shipped case is finished: no Python, no stray mark, no odd word."""

import re

import printed
import pytest

COMMANDS = (*printed.main.commands, "help", "problems")
# What must not stand in a text, with a text that has it and one that only looks so.
MARKS = {
    "a tuple, list or dictionary": (
        r"[(\[{]'|'[)\]}]|', '",
        "quieter than bilge(' by the model', ', within')",
        "the maker's (least) flow, [UNIT=]VALUE",
    ),
    "no number": (
        r"\b(?:nan|inf|NaN|Infinity|null)\b|\bNone\b(?!\.| (?:of|was|is|has)\b)",
        "flow: None",
        "None of it.",
    ),
    "a truth value": (r"\b(?:True|False)\b(?! if)", "shut: True", "True if it is shut"),
    "an object": (
        r"<[A-Za-z][^>]*>|\bobject at 0x|\b(?:np|numpy)\.\w+\(|\b[A-Z]\w+\(\w+=",
        "<Ending.FLOWING: 1>",
        "flow < need and > least",
    ),
    "an unfilled brace": (
        r"\{\w*(?:[:.!][^}]*)?\}",
        "Does the {outlet} leak?",
        'at = { aft = "1 m" }',
    ),
    "a private mark": ("[\ue000-\uf8ff]", "\ue000flow|0.1\ue001", "½ in"),
    "a doubled or stray mark": (
        r"[?!,;:.][,;]|[?!,;:]\.(?!\.)|,\?|\?\?|::|(?<![./])\.\.(?![./])|\s[,;](?=\s)|\s\.(?=\s)|\(\s|\s\)",
        "where it shall stand,?",
        "and so on ... (see ../x): ok?",
    ),
    "a number as Python writes it": (
        r"\d\.\d{6,}|\d[eE][+-]\d|(?<![\w.])-0(?:\.0+)?(?![.\d])",
        "6.1e-05 m, -0.0 K",
        "-0.05 m",
    ),
    "a doubled word": (r"\b([a-z]{2,}) \1\b", "the the pump", "that thatch"),
}
# Words that nobody says at the dock, or that ask for a glossary; a space is any white space.
WORDS = {
    "corner": r"(?<!bronze.)(?<!hard.)corners?",
    "floor": r"floor(?! floats)",
    "reckon": r"reckon(?:s|ed|ing)?",
    "hang on": r"hangs? on(?! its hoses)",
    "own choice": r"own choice",
    "shall": r"shall",
    "whence": r"whence",
    "is due": r"is due",
    "less is to be said": r"less is to be said",
    "sound boat": r"a sound boat",
    "swallow": r"swallow(?:s|ed)?",
    "nine of ten": r"(?:nine|eight) (?:chances in|of) ten",
    "favourable end": r"favourable end",
    "look for the like": r"look for the like",
    "told from": r"told from",
    "cannot tell apart": r"cannot tell apart",
    "give or take": r"give or take",
    "event of its own": r"event of its own",
    "none beats": r"none of the others beats",
    "let go": r"lets? go",
    "heed": r"heed",
    "no verdict": r"no verdict",
    "it stops nothing": r"it stops nothing",
}
# Where such a mark or word still stands. To be emptied, never to grow.
STILL_MARKED: dict[str, set[str]] = {}
STILL_SAID = {}


@pytest.fixture(scope="module")
def texts(tmp_path_factory, asked_once):
    return printed.everything(tmp_path_factory.mktemp("printed"))


def prose(label, text):
    """The lines of sentences: none of a file quoted under a problem, of TOML only the comments."""
    lines = text.split("\n")
    if label.endswith(".csv"):
        return ""
    if label.endswith(".toml"):
        lines = [line.lstrip("# ") for line in lines if line.startswith("# ")]
    return "\n".join(line for line in lines if not re.match(r" *\d* *\|", line))


def word(pattern):
    return rf"(?i)\b{pattern}\b".replace(" ", r"\s+")


def found(pattern, texts, command):
    """Each place of a command's texts where the pattern stands, with what is around it."""
    return [
        f"{label}: ...{' '.join(text[max(0, one.start() - 60) : one.end() + 40].split())}..."
        for label, whole in texts.items()
        if label.split()[0] == command
        for text in [prose(label, whole)]
        for one in re.finditer(pattern, text)
    ]


def offenders(patterns, texts, command):
    """What stands in a command's texts, by the name of the pattern."""
    every = {name: found(pattern, texts, command) for name, pattern in patterns.items()}
    return {name: places for name, places in every.items() if places}


def assert_no_new(every, known):
    new = {name: places for name, places in every.items() if name not in known}
    shown = (f"{name}\n  " + "\n  ".join(places[:5]) for name, places in new.items())
    assert not new, "\n".join(shown)
    assert known <= set(every), f"gone, so take it from the list: {known - set(every)}"


@pytest.mark.parametrize("command", COMMANDS)
def test_no_mark_that_no_writer_meant(command, texts):
    patterns = {name: pattern for name, (pattern, _, _) in MARKS.items()}
    assert_no_new(offenders(patterns, texts, command), STILL_MARKED.get(command, set()))


@pytest.mark.parametrize("command", COMMANDS)
def test_no_word_that_asks_for_a_glossary(command, texts):
    patterns = {name: word(pattern) for name, pattern in WORDS.items()}
    assert_no_new(offenders(patterns, texts, command), STILL_SAID.get(command, set()))


def test_every_command_is_asked(texts):
    assert {label.split()[0] for label in texts} == set(COMMANDS)


@pytest.mark.parametrize("name", MARKS)
def test_a_pattern_finds_what_it_should_and_no_more(name):
    pattern, bad, good = MARKS[name]
    assert re.search(pattern, bad)
    assert not re.search(pattern, good)
