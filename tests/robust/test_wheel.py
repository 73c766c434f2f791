"""seaflow as it is installed: from a wheel, and from a checkout that can be edited.

Each is put into an environment of its own, which sees the libraries of this one, and is asked in an
empty folder. Nothing is fetched.
"""

import email
import os
import re
import shutil
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
NEEDED = ("seaflow", "cases", "docs", "pyproject.toml", "README.md")
PIP = (sys.executable, "-m", "pip", "--disable-pip-version-check", "-q")
OFFLINE = ("--no-build-isolation", "--no-deps", "--no-index")


def typed(*words, folder):
    """What a command prints; it must end well, and know nothing of this checkout."""
    known = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    done = subprocess.run(
        [str(word) for word in words],
        cwd=folder,
        env=known,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def checkout(tmp_path_factory):
    """A copy of what is needed to build, so that nothing is built in this checkout."""
    copy = tmp_path_factory.mktemp("checkout")
    for name in NEEDED:
        if (ROOT / name).is_dir():
            left = shutil.ignore_patterns("__pycache__")
            shutil.copytree(ROOT / name, copy / name, ignore=left)
        else:
            shutil.copy(ROOT / name, copy / name)
    return copy


@pytest.fixture(scope="module")
def wheel(checkout, tmp_path_factory):
    """The wheel of this checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    typed(*PIP, "wheel", *OFFLINE, "-w", folder, checkout, folder=folder)
    (found,) = folder.glob("*.whl")
    return found


def environment(folder, *what):
    """An environment with seaflow in it, and its command."""
    venv.create(folder, with_pip=False, symlinks=os.name != "nt")
    scripts = folder / ("Scripts" if os.name == "nt" else "bin")
    (python,) = (path for path in scripts.glob("python*") if path.stem == "python")
    ask = "import sysconfig; print(sysconfig.get_path('purelib'))"
    site = Path(typed(python, "-c", ask, folder=folder).strip())
    (site / "libraries.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    typed(*PIP, "--python", python, "install", *OFFLINE, "--ignore-installed", *what, folder=folder)
    return shutil.which("seaflow", path=str(scripts))


@pytest.fixture(scope="module", params=["wheel", "editable"])
def seaflow(request, wheel, checkout, tmp_path_factory):
    """The command of an installed seaflow, and of a checkout that was installed to be edited."""
    what = [wheel] if request.param == "wheel" else ["-e", checkout]
    return environment(tmp_path_factory.mktemp("environment"), *what)


def test_an_installed_seaflow_stands_alone(seaflow, tmp_path):
    boats = sorted(path.stem for path in (ROOT / "cases").glob("*.toml"))
    listed = typed(seaflow, "example", folder=tmp_path)
    assert [name for name in boats if name not in listed] == []
    assert list(tmp_path.iterdir()) == []
    typed(seaflow, "example", "ketch-one-unit", folder=tmp_path)
    typed(seaflow, "example", "own-parts", folder=tmp_path)
    words = ("size", "ketch-one-unit.toml", "--parts", "own-parts.toml", "--samples", "0")
    assert "Demo ketch" in typed(seaflow, *words, folder=tmp_path)
    assert "under water" in typed(seaflow, "explain", "place", folder=tmp_path)
    assert '"$schema"' in typed(seaflow, "schema", "case", folder=tmp_path)


# what its help says to type: examples, "Try:", and the pages with more; all in one process
ALL_OF_HELP = """
import re, shlex, seaflow
from click.testing import CliRunner
from seaflow.cli.help import example_lines
from seaflow.cli.main import main

def said(words):
    done = CliRunner().invoke(main, words)
    assert done.exit_code in (0, 1, 3), (words, done.exit_code, done.output)
    return done.stdout

lines = re.findall(r"seaflow ([^,\\n]+)", said(["--help"]).split("Try:")[1])
for name in main.commands:
    lines += [line.removeprefix("seaflow ") for line in example_lines(name)]
    lines += re.findall(r"^More: seaflow (.+)$", said([name, "--help"]), re.M)
for line in dict.fromkeys(lines):
    said(shlex.split(line))
print(len(lines), seaflow.__file__)
"""


@pytest.mark.parametrize("seaflow", ["wheel"], indirect=True)
def test_all_that_help_says_to_type_works_where_it_is_installed(seaflow, tmp_path):
    python = shutil.which("python", path=str(Path(seaflow).parent))
    count, where = typed(python, "-c", ALL_OF_HELP, folder=tmp_path).split(maxsplit=1)
    assert int(count) > 32  # an example and a page for each of sixteen commands, and what to try
    assert Path(where).is_relative_to(Path(seaflow).parents[1])


def test_the_wheel_holds_the_package_once_and_nothing_else(wheel):
    held = set(zipfile.ZipFile(wheel).namelist())
    package = {name for name in held if not re.match(r"seaflow-[^/]*\.dist-info/", name)}
    wanted = {
        path.relative_to(ROOT).as_posix()
        for pattern in ("**/*.py", "data/**/*", "py.typed")
        for path in (ROOT / "seaflow").glob(pattern)
        if path.is_file() and "__pycache__" not in path.parts
    }
    for pattern in ("cases/*.toml", "docs/*.md", "docs/*.json", "docs/examples/*"):
        wanted |= {f"seaflow/{path.relative_to(ROOT).as_posix()}" for path in ROOT.glob(pattern)}
    assert package == wanted


def test_the_description_needs_nothing_beside_it(wheel):
    """An index shows it alone: no link leads to a file, and nothing is named that is not there."""
    archive = zipfile.ZipFile(wheel)
    (name,) = (name for name in archive.namelist() if name.endswith(".dist-info/METADATA"))
    told = email.message_from_bytes(archive.read(name))
    description = told.get_payload()
    assert told["Description-Content-Type"] == "text/markdown"
    assert re.findall(r"\]\((?!https?:)[^)]*\)", description) == []
    assert len(description) > 1000
    assert told["License-Expression"] == "MIT"
    assert told["Author"]
    assert told["Keywords"]
    assert told.get_all("Classifier")
    assert told.get_all("Project-URL") is None
