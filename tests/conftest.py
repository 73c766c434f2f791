"""Makes the helpers of the tests and the makers of the docs importable by name.

Each test file is imported alone. `asked_once` is for files that look at many faces of one answer,
`loops_run_once` for files that survey one boat many times.
"""

import sys
from pathlib import Path

import pytest
from hypothesis import settings

# The same draws each time, so that nothing fails by chance; --hypothesis-profile chance draws anew.
settings.register_profile("same", derandomize=True)
settings.register_profile("chance", derandomize=False)
settings.load_profile("same")

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE / "helpers"), str(HERE.parent / "docs")]


@pytest.fixture(scope="session", autouse=True)
def read_once():
    """Let no text of a case be parsed twice: nothing else is in it the second time."""
    from once import each_text_read_once

    with each_text_read_once():
        yield


@pytest.fixture(scope="module")
def asked_once():
    """Let each boat be loaded once, and each question about it be answered once."""
    from once import each_asked_once

    with each_asked_once():
        yield


@pytest.fixture(scope="module")
def loops_run_once():
    """Let each loop that is surveyed be run once, whatever else is seen on its boat."""
    from once import each_loop_run_once

    with each_loop_run_once():
        yield
