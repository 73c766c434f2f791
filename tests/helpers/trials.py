"""Which tests run through a line, recorded once; and whether any of them notices a change of it.

Everything happens in copies outside the tree and in one process at a time: each run of tests is a
fork that has the libraries, but nothing of seaflow, loaded already.
"""

from __future__ import annotations

import ast
import contextlib
import difflib
import hashlib
import importlib
import json
import os
import resource
import shutil
import signal
import sys
import threading
import time
import warnings
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

import pytest
from changes import Change, changed

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("seaflow", "tests", "cases", "docs", "pyproject.toml", "README.md")
# Frozen numbers, exact texts, what looks at the source and not at what it computes, and a browser.
LEFT_OUT = (
    "tests/architecture",
    "tests/browser",
    "tests/docs",
    "tests/frozen",
    "tests/messages/test_texts.py",
    "tests/cli/test_everything_printed.py",
)
LIBRARIES = ("numpy", "scipy.optimize", "gsw", "fluids", "ht", "pint", "click", "hypothesis")
LIBRARIES += ("CoolProp.CoolProp", "iapws", "seawater", "wntr", "jsonschema", "coverage")
OPTIONS = ("-q", "-n", "0", "-p", "no:cacheprovider")
OPTIONS += ("-W", "ignore::pytest.PytestAssertRewriteWarning")
NEAR = 12  # lines
EDGE = 30.0  # s of processor time beyond five times what a test took with the others of its file
QUICK = 0.2  # s
BEGIN = 1.0  # s for the first test of a file: it is read, and what its tests share is built
OUT_OF_TIME = "out of time"
FORKING = threading.Lock()
DEAF = 5  # what pytest answers if there was no test


def load_libraries() -> None:
    """Load what every test needs, so that a fork has it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for name in LIBRARIES:
            with contextlib.suppress(ImportError):
                importlib.import_module(name)


def copy_of(tree: Path, folder: Path) -> None:
    """Copy what tests need, compiled so that only a changed module is compiled again."""
    for name in COPIED:
        source = tree / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
        elif source.exists():
            shutil.copy(source, folder / name)
    import compileall
    import py_compile

    mode = py_compile.PycInvalidationMode.CHECKED_HASH
    compileall.compile_dir(folder / "seaflow", quiet=2, invalidation_mode=mode)


def fingerprint(tree: Path) -> str:
    """One short word for the state of package, cases and tests."""
    digest = hashlib.sha256()
    for name in ("seaflow", "cases", "tests"):
        for path in sorted((tree / name).rglob("*")):
            if path.suffix in (".py", ".toml", ".csv", ".json"):
                digest.update(path.relative_to(tree).as_posix().encode() + path.read_bytes())
    return digest.hexdigest()[:12]


def test_files(tree: Path) -> list[str]:
    """Every file of tests that may notice a change."""
    found = (path.relative_to(tree).as_posix() for path in (tree / "tests").rglob("test_*.py"))
    return sorted(name for name in found if not name.startswith(LEFT_OUT))


def forked(folder: Path, work: Callable[[], Any], seconds: float) -> Any:
    """What some work in a copy answers, done in a fork; None if it takes too long or dies."""
    with FORKING:  # or one child would keep the pipe of another open
        out, into = os.pipe()
        child = os.fork()
        if child:
            os.close(into)
    if child == 0:
        os.close(out)
        answer = None
        try:
            os.setpgid(0, 0)
            os.chdir(folder)
            os.environ["PYTHONPATH"] = str(folder)
            sys.path.insert(0, str(folder))
            resource.setrlimit(resource.RLIMIT_CPU, (int(seconds), int(seconds) + 5))
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1)
            os.dup2(quiet, 2)
            answer = work()
        finally:
            with os.fdopen(into, "w") as pipe:
                json.dump(answer, pipe)
            os._exit(0)
    with os.fdopen(out) as pipe:
        text = pipe.read()
    os.waitpid(child, 0)
    return json.loads(text) if text else None


# Recording.


class Recorder:
    """A plugin that gives each test a context of its own and keeps how it went."""

    def __init__(self, measured: Any) -> None:
        self.measured = measured
        self.seconds: dict[str, float] = defaultdict(float)
        self.failed: set[str] = set()

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self.measured.switch_context(item.nodeid)
        start = time.process_time()
        yield
        self.seconds[item.nodeid] = time.process_time() - start
        self.measured.switch_context("")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if not report.passed:
            self.failed.add(report.nodeid)


def _recorded_file(folder: Path, name: str) -> dict[str, Any]:
    import coverage

    measured = coverage.Coverage(
        data_file=None, source=[str(folder / "seaflow")], config_file=False
    )
    recorder = Recorder(measured)
    measured.start()
    pytest.main([*OPTIONS, name], plugins=[recorder])
    measured.stop()
    data = measured.get_data()
    tests = [test for test in recorder.seconds if test not in recorder.failed]
    place = {test: i for i, test in enumerate(tests)}
    sets: dict[tuple[int, ...], int] = {}
    lines: dict[str, dict[int, int]] = {}
    for path in data.measured_files():
        module = Path(path).relative_to(folder).as_posix()
        for line, contexts in data.contexts_by_lineno(path).items():
            some = tuple(sorted(place[context] for context in contexts if context in place))
            if some:
                lines.setdefault(module, {})[line] = sets.setdefault(some, len(sets))
    seconds = [round(recorder.seconds[test], 4) for test in tests]
    return {"tests": tests, "seconds": seconds, "sets": list(sets), "lines": lines}


def record(
    tree: Path,
    folder: Path,
    old: dict[str, Any],
    asked: tuple[list[str], int],
    say: Callable[[str], None],
) -> Iterator[dict[str, Any]]:
    """Run the tests once and yield which lines each runs through, in part and at last whole.

    `asked` is words of which a file's path has one, all if there are none, and how many are run at
    once. A file of tests that stands as
    it did is not run again; its lines are found by content. What was recorded before of the others
    stands until they are run.
    """
    copy_of(tree, folder)
    (words, jobs), state, names = asked, fingerprint(folder), test_files(folder)
    files = {name: one for name, one in old.get("files", {}).items() if name in names}
    texts = {name: hashlib.sha256((folder / name).read_bytes()).hexdigest()[:12] for name in names}
    sources = {
        path.relative_to(folder).as_posix(): path.read_text(encoding="utf-8").split("\n")
        for path in sorted((folder / "seaflow").rglob("*.py"))
    }

    def of_file(name: str) -> tuple[str, dict[str, Any] | None]:
        start = time.monotonic()
        found = forked(folder, lambda: _recorded_file(folder, name), 1800.0)
        n_tests = len(found["tests"]) if found else 0
        say(f"{name}: {n_tests} tests, {time.monotonic() - start:.0f} s")
        return name, found

    def whole() -> dict[str, Any]:
        used = {found["state"] for found in files.values()}
        kept = {name: text for name, text in old.get("sources", {}).items() if name in used}
        return {"state": state, "files": files, "sources": {**kept, state: sources}}

    with ThreadPoolExecutor(jobs) as pool:
        new = [name for name in names if files.get(name, {}).get("text") != texts[name]]
        wanted = [name for name in new if not words or any(word in name for word in words)]
        for done in as_completed([pool.submit(of_file, name) for name in wanted]):
            name, found = done.result()
            files.pop(name, None)
            if found:
                files[name] = {**found, "state": state, "text": texts[name]}
            yield whole()
    yield whole()


# Choosing.


@dataclass
class Record:
    """What was recorded, asked about the tree as it stands now; lines are found by content."""

    content: dict[str, Any]
    tree: Path
    _lines: dict[tuple[str, str], dict[int, tuple[str, int]]] = field(default_factory=dict)

    def tests_of(self, change: Change) -> dict[str, list[str]]:
        """Tests that run through a change, `direct`, and the others of their files, `beside`."""
        spots = {(str(change.module), line) for line in _span(change)}
        direct = self._direct(spots)
        if not change.function or not direct:
            direct |= self._direct(self._uses(change.names))
        beside = {
            test
            for name in {test.partition("::")[0] for test in direct}
            for test in self.content["files"][name]["tests"]
        }
        return {"direct": self._fast(direct), "beside": self._fast(beside - direct)}

    @cached_property
    def seconds(self) -> dict[str, float]:
        """How long each test took."""
        return {
            test: seconds
            for found in self.content["files"].values()
            for test, seconds in zip(found["tests"], found["seconds"], strict=True)
        }

    def _fast(self, tests: set[str]) -> list[str]:
        """Return the quick first; of a file few of whose tests these are, also slower ones."""
        of_file = Counter(test.partition("::")[0] for test in tests)
        share = {name: n / len(self.content["files"][name]["tests"]) for name, n in of_file.items()}
        return sorted(
            tests, key=lambda test: (share[test.partition("::")[0]] * self.seconds[test], test)
        )

    def _direct(self, spots: set[tuple[str, int]]) -> set[str]:
        tests: set[str] = set()
        for module, line in spots:
            for found in self.content["files"].values():
                then, number = self._then(found["state"], module, line)
                place = found["lines"].get(then, {}).get(str(number))
                if place is not None:
                    tests |= {found["tests"][i] for i in found["sets"][place]}
        return tests

    def _then(self, state: str, module: str, line: int) -> tuple[str, int]:
        """Where a line of today stood when some tests were recorded."""
        if (state, module) not in self._lines:
            self._lines[state, module] = self._matched(self.content["sources"][state], module)
        known = self._lines[state, module]
        # A line that is new since then is run by what runs the line before it.
        near = next((one for one in range(line, line - NEAR, -1) if one in known), 0)
        return known.get(near, (module, 0))

    def _matched(self, sources: dict[str, list[str]], module: str) -> dict[int, tuple[str, int]]:
        now = (self.tree / module).read_text(encoding="utf-8").split("\n")
        if sources.get(module) == now:
            return {line: (module, line) for line in range(1, len(now) + 1)}
        words = {line.strip() for line in now if len(line.strip()) > 20}
        share = {
            name: sum(line.strip() in words for line in text) for name, text in sources.items()
        }
        old = max((module, *share) if module in sources else share, key=lambda name: share[name])
        matcher = difflib.SequenceMatcher(
            None, [line.strip() for line in sources[old]], [line.strip() for line in now], False
        )
        found = {}
        for block in matcher.get_matching_blocks():
            for i in range(block.size):
                found[block.b + i + 1] = (old, block.a + i + 1)
        return found

    def _uses(self, names: tuple[str, ...], depth: int = 2) -> set[tuple[str, int]]:
        """Every line inside a function that speaks of a name, also by way of other constants."""
        wanted, spots = set(names), set()
        for _ in range(depth):
            more = set()
            for module, word, line, holder in self._spoken:
                if word in wanted:
                    spots.add((module, line))
                    more |= {holder} if holder else set()
            wanted = more - wanted
        return spots

    @cached_property
    def _spoken(self) -> list[tuple[str, str, int, str]]:
        """Every name spoken in the package: module, name, line, constant that takes it up."""
        found = []
        for path in sorted((self.tree / "seaflow").rglob("*.py")):
            module = path.relative_to(self.tree).as_posix()
            tree = ast.parse(path.read_text(encoding="utf-8"))
            holders = {
                line: target.id
                for node in tree.body
                if isinstance(node, ast.Assign)
                for target in node.targets
                if isinstance(target, ast.Name)
                for line in range(node.lineno, (node.end_lineno or node.lineno) + 1)
            }
            for node in ast.walk(tree):
                word = getattr(node, "id", None) or getattr(node, "attr", None)
                if word and isinstance(node, ast.expr):
                    found.append((module, word, node.lineno, holders.get(node.lineno, "")))
        return found


def _span(change: Change) -> range:
    first, last = change.statement
    return range(min(first, change.line), max(last, change.line) + 1)


# Trying.


class Chosen:
    """A plugin that runs the chosen tests alone, in their order."""

    def __init__(self, tests: list[str], seconds: dict[str, float]) -> None:
        self.place = {test: i for i, test in enumerate(tests)}
        self.seconds = seconds
        self.noticed = ""
        self.passed = 0

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        wanted = [item for item in items if item.nodeid in self.place]
        items[:] = sorted(wanted, key=lambda item: self.place[item.nodeid])

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        signal.signal(signal.SIGPROF, _too_long)
        signal.setitimer(signal.ITIMER_PROF, EDGE + 5.0 * self.seconds.get(item.nodeid, 0.0))
        yield
        signal.setitimer(signal.ITIMER_PROF, 0.0)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed and not self.noticed:
            self.noticed = report.nodeid
        self.passed += report.passed and report.when == "call"


def _too_long(*_: object) -> None:
    raise TimeoutError("this test takes five times as long as it did")


def _run(tests: list[str], seconds: dict[str, float]) -> dict[str, Any]:
    """Run the quick tests, then the others, file by file, until one fails."""
    quick = [test for test in tests if seconds.get(test, 0.0) < QUICK]
    others = [test for test in tests if seconds.get(test, 0.0) >= QUICK]
    passed = 0
    for some in (quick, others):
        for name in dict.fromkeys(test.partition("::")[0] for test in some):
            if not Path(name).exists():
                continue
            chosen = Chosen([test for test in some if test.startswith(f"{name}::")], seconds)
            code = pytest.main(["-x", *OPTIONS, name], plugins=[chosen])
            passed += chosen.passed
            if chosen.noticed or code not in (0, 1, DEAF):
                return {"noticed": chosen.noticed or "loading", "passed": passed}
    return {"noticed": "", "passed": passed}


def chosen_tests(record: Record, change: Change, budget: float) -> list[str]:
    """The tests to run, the fastest first: those through the change, then those beside them."""
    found, taken, begun = record.tests_of(change), [], set()
    for tests, most in ((found["direct"], budget), (found["beside"], 0.3 * budget)):
        spent = 0.0
        for test in tests:
            name = test.partition("::")[0]
            spent += record.seconds[test] + (0.0 if name in begun else BEGIN)
            begun.add(name)
            if spent > most and taken:
                break
            taken.append(test)
    return taken


def tried(change: Change, folder: Path, tests: list[str], seconds: dict[str, float]) -> str:
    """The test that notices a change made in the copy; nothing if none does."""
    target = folder / change.module
    source = target.read_bytes()
    limit = 30.0 + 3.0 * sum(seconds.get(test, 0.0) for test in tests)
    try:
        target.write_bytes(changed(source, change))
        found = forked(folder, lambda: _run(tests, seconds), limit)
    finally:
        target.write_bytes(source)
    return OUT_OF_TIME if found is None else str(found["noticed"])


def passes(test: str, folder: Path, seconds: dict[str, float]) -> bool:
    """Whether a test passes in the copy as it is; one that does not has noticed nothing."""
    found = forked(folder, lambda: _run([test], seconds), 120.0 + 4.0 * seconds.get(test, 0.0))
    return bool(found) and not found["noticed"] and found["passed"] > 0
