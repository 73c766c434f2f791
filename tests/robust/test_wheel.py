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
