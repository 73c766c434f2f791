"""Everything that seaflow says of each problem: a bad case, or a bad command, and its whole text.

Run as a program it writes the texts anew: python tests/helpers/said.py. Read what changed.
"""

import os
import sys
import tempfile
import tomllib
from contextlib import chdir
from pathlib import Path
from unittest.mock import patch

from by_model import build_loops
from click.testing import CliRunner

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.parts.own_parts import load_parts
from seaflow.cli.main import main
from seaflow.model.conditions import Conditions
from seaflow.model.operate import operate
from seaflow.present.problems import problems_text

FOLDER = Path(__file__).parents[1] / "messages"
COMMANDS = FOLDER / "commands.toml"
ASKED_OF_THE_MODEL = "M01-not-recorded"  # no command heels a boat whose places are not recorded


def cases():
    """Bad cases by the name of their text."""
    return {path.stem: path for path in sorted(FOLDER.glob("[A-Z]*.toml"))}


def parts():
    """Bad files of own parts by the name of their text."""
    files = [path for path in sorted((FOLDER / "parts").iterdir()) if path.stem != "good"]
    return {f"parts-{path.stem}" if path.stem[0] != "P" else path.stem: path for path in files}


def commands():
    """Bad commands by the name of their text."""
    return tomllib.loads(COMMANDS.read_text(encoding="utf-8"))


def names():
    """The names of all texts, sorted."""
    return sorted([*cases(), *parts(), *commands(), ASKED_OF_THE_MODEL])


def said(name):
    """What is said of one bad case, file of parts or command."""
    if name in commands():
        return _typed(commands()[name])
    with chdir(FOLDER):
        if name in cases():
            return _noted(lambda: load_case(f"{name}.toml").warnings)
        if name in parts():
            file = parts()[name].relative_to(FOLDER).as_posix()
            return _noted(lambda: load_parts([file]).warnings)
        return _noted(_heeled)


def _noted(load):
    try:
        return problems_text(load())
    except SeaflowError as error:
        return problems_text(error.problems)


def _heeled():
    case = load_case("good.toml").case
    (built,) = build_loops(case, {"pump": Catalogue().pump("demo-mag-medium-230")})
    operate(built.loop, Conditions(sea_temperature=30.0, heel=0.2))
    return ()


def _typed(row):
    """The text and the exit code of one command, run in a folder with the files it needs."""
    with tempfile.TemporaryDirectory() as folder, chdir(folder):
        good = (FOLDER / "good.toml").read_text(encoding="utf-8")
        boat = good.replace(row.get("without", "\0"), row.get("instead", ""))
        Path("boat.toml").write_text(boat, encoding="utf-8")
        for file, content in row.get("files", {}).items():
            Path(file).write_bytes(content.encode("utf-8"))
        for file, size in row.get("sizes", {}).items():
            Path(file).write_bytes(b"#" * size)
        for inner in row.get("folders", ()):
            os.mkdir(inner)
        lacking = dict.fromkeys(row.get("lacking", ()))  # a package is None where it is missing
        with patch.dict(sys.modules, lacking):
            answer = CliRunner().invoke(main, row["type"])
        return f"{answer.stderr.rstrip()}\n(exit code {answer.exit_code})"


if __name__ == "__main__":
    for each in names():
        (FOLDER / f"{each}.txt").write_text(said(each) + "\n", encoding="utf-8")
