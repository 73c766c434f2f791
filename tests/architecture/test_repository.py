"""Guards on the repository: every test file is collected, no file says what it must not."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from source_tree import ROOT, repository_files

# Written in pieces, so that this file does not hold them.
FORBIDDEN = (
    "checks" + ".md",
    "trade" + ".md",
    "/wo" + "rk/",
    "/tm" + "p/",
    "seed " + "document",
    "Cla" + "ude",
    "LL" + "M",
)
# A path such as /framework/x or a word such as "wellmade" is none of them.
PATTERN = re.compile("|".join(rf"(?<![\w.]){re.escape(word)}" for word in FORBIDDEN))


def test_no_file_says_what_it_must_not() -> None:
    offenders = []
    for path in repository_files():
        try:
            lines = path.read_text(encoding="utf-8").splitlines()
        except UnicodeDecodeError:
            continue
        for number, line in enumerate(lines, 1):
            found = PATTERN.search(line)
            if found:
                offenders.append(f"{path.relative_to(ROOT)}:{number} says {found[0]!r}")
    assert not offenders, "\n".join(offenders)


def test_the_pattern_finds_the_words() -> None:
    assert all(PATTERN.search(f"see {word} for it") for word in FORBIDDEN)
    assert not PATTERN.search("a " + "frame" + "work/ of small things")


def files_of_tests() -> dict[str, Path]:
    """Every file on disk that looks like a file of tests."""
    found = (path for path in repository_files() if re.match(r"test_.*\.py$", path.name))
    return {str(path.relative_to(ROOT)): path for path in found}


def test_every_test_file_lies_where_it_is_looked_for() -> None:
    wrong = [name for name in files_of_tests() if not name.startswith("tests/")]
    for name, path in files_of_tests().items():
        tree = ast.parse(path.read_text(encoding="utf-8"))
        functions = (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))
        if not any(one.name.startswith("test_") for one in functions):
            wrong.append(f"{name} holds no test")
    assert not wrong


def test_every_test_file_is_collected(request) -> None:
    """Only a run of the whole suite can tell; a run of a part has nothing to say."""
    config = request.config
    part = config.args_source is not config.ArgsSource.TESTPATHS
    if part or config.option.keyword or config.option.markexpr or config.option.deselect:
        return
    collected = {str(item.path.relative_to(ROOT)) for item in request.session.items}
    assert set(files_of_tests()) == {name for name in collected if "/test_" in name}
