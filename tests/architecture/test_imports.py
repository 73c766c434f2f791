"""What the package loads before it is asked for anything, asked of a fresh interpreter."""

from __future__ import annotations

import subprocess
import sys

import pytest
from source_tree import ROOT

NUMBERS = {"numpy", "scipy", "fluids", "ht", "gsw", "pint"}
HEAVY = {"scipy.optimize", "scipy.stats", "matplotlib", "pandas"}
STUDIES = """
import importlib, pkgutil, seaflow.studies
for one in pkgutil.walk_packages(seaflow.studies.__path__, "seaflow.studies."):
    importlib.import_module(one.name)
"""
SIZE = """
from click.testing import CliRunner
from seaflow.cli.main import main
answer = CliRunner().invoke(main, ["size", "cases/ketch-one-unit.toml"])
assert answer.exit_code in (0, 1), answer.output
"""


def loaded(code: str) -> set[str]:
    """Modules that a fresh interpreter holds after running the code."""
    script = f"{code}\nimport sys\nprint('\\n' + ' '.join(sys.modules))"
    command = [sys.executable, "-c", script]
    run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    return set(run.stdout.splitlines()[-1].split())


@pytest.mark.parametrize("name", ["seaflow", "seaflow.base.units", "seaflow.cli.main"])
def test_loads_without_the_numbers(name: str) -> None:
    extra = NUMBERS & loaded(f"import {name}")
    assert not extra, f"import {name} also loads {sorted(extra)}"


@pytest.mark.parametrize("words", [["--help"], ["--version"], ["size", "--help"]])
def test_help_comes_without_the_numbers(words: list[str]) -> None:
    extra = NUMBERS & loaded(
        "from click.testing import CliRunner\nfrom seaflow.cli.main import main\n"
        f"answer = CliRunner().invoke(main, {words})\nassert answer.exit_code == 0, answer.output"
    )
    assert not extra, f"seaflow {' '.join(words)} also loads {sorted(extra)}"


def test_studies_load_no_heavy_library() -> None:
    assert not HEAVY & loaded(STUDIES)


def test_sizing_a_boat_loads_no_heavy_library() -> None:
    assert not HEAVY & loaded(SIZE)


def test_the_tube_library_works_when_a_tube_is_described_and_not_before() -> None:
    tubes = "import seaflow.model.operate, seaflow.physics.heat.tubes as tubes\n"
    assert "ht" not in loaded(tubes)
    film = "tubes.film_coefficient(2.5e-4, 0.0127, 0.2, 8.4e-7, 0.61, 5.6)"
    assert "ht" in loaded(tubes + film)


def test_the_fittings_library_works_when_a_barb_is_described_and_not_before() -> None:
    fittings = "import seaflow.physics.flow.fittings as fittings\n"
    assert "fluids" not in loaded(fittings)
    assert "fluids" in loaded(fittings + "fittings.barb_coefficient(0.0143, 0.019)")
