"""Whatever is typed, there is an answer or a list of problems: every command over hostile input.

The seed is fixed, so it never fails by chance; tests/proof/fuzz.py runs it with fresh ones.
"""

import shutil

import pytest
from hostile import GOOD, check, runs
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case

RUNS = 700  # about 45 s of processor time


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("fuzz")


@seed(1)
@settings(
    max_examples=RUNS,
    deadline=None,
    database=None,
    phases=[Phase.generate, Phase.shrink],
    suppress_health_check=list(HealthCheck),
)
@given(run=runs())
def test_every_command_answers_or_refuses(folder, run):
    shutil.rmtree(folder)
    folder.mkdir()
    check(run, folder)


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
            assert problem.line is None or problem.line <= content.count(b"\n") + 1
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
