"""Whatever is typed, there is an answer or a list of problems: every command over hostile input.

The seed is fixed, so it never fails by chance; tests/proof/fuzz.py runs it with fresh ones.
"""

import re
from random import Random

import pytest
from hostile import GOOD, Run, failure, few_draws, folder_for, random_boats, random_run, smaller
from hypothesis import given, settings
from hypothesis import strategies as st

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case

RUNS = 700
LINE_END = re.compile(rb"\r\n|\r|\n")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("fuzz")


def test_every_command_answers_or_refuses():
    known = random_boats(20, 1)
    with few_draws(), folder_for() as folder:
        for number in range(RUNS):
            run = random_run(Random(number), known)
            assert failure(run, folder) is None, smaller(run, folder)


def test_a_run_that_fails_is_made_small(monkeypatch):
    """Of a run that fails for one of its words and one line of its file, these are left."""
    run = Run(("check", "boat.toml", "--json"), {"boat.toml": b"a\nb\nc\nd\ne\n"}, "yes\nno\n")

    def refuse(tried, folder):
        if "--json" in tried.words and b"d\n" in tried.files["boat.toml"]:
            raise AssertionError(tried.words)

    monkeypatch.setattr("hostile.check", refuse)
    with folder_for() as folder:
        small, error = smaller(run, folder)
    assert small == Run(("check", "--json"), {"boat.toml": b"d\n"})
    assert "--json" in str(error)


def load(file, content):
    """The case, or None if it was refused with problems that all say something."""
    file.write_bytes(content)
    try:
        return load_case(str(file)).case
    except SeaflowError as error:
        assert error.problems
        for problem in error.problems:
            assert problem.what
            assert problem.write
            assert problem.line is None or problem.line <= len(LINE_END.split(content))
        return None


@settings(max_examples=100, deadline=None)
@given(content=st.binary(max_size=200))
def test_bytes_are_refused(folder, content):
    assert load(folder / "case.toml", content) is None


@settings(max_examples=150, deadline=None)
@given(value=st.text(max_size=30))
def test_any_text_as_a_quantity(folder, value):
    quoted = "".join(
        f"\\U{ord(letter):08X}" for letter in value if not 0xD800 <= ord(letter) < 0xE000
    )
    text = GOOD.read_text(encoding="utf-8").replace('"2.4 m"', f'"{quoted}"')
    load(folder / "case.toml", text.encode("utf-8"))
