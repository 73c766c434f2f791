"""Guards on the repository: its top level, its licence, and that every test file is collected."""

from __future__ import annotations

import ast
import re
import tomllib
from pathlib import Path

from source_tree import ROOT, repository_files

TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "seaflow", "tests", "cases", "docs"}


def test_the_top_level_holds_only_what_it_should() -> None:
    found = {path.relative_to(ROOT).parts[0] for path in repository_files()}
    assert {name for name in found if not name.startswith(".")} == TOP


def test_the_package_carries_its_licence() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    (licence,) = project["license-files"]
    assert project["license"] in (ROOT / licence).read_text(encoding="utf-8")


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
