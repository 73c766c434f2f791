"""Commands in processes of their own that are ended when they take too long.

Each is a fork of one process that has read the package already, so that not each of them has to.
"""

from __future__ import annotations

import importlib
import json
import os
import pkgutil
import resource
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

ADDRESSES = 4 << 30  # bytes
WAITED_FOR = 120  # s, where nothing is worked out meanwhile
KILO = 1024.0


@dataclass(frozen=True)
class Done:
    """How a command ended, what it said, and the most memory that it took [MB]."""

    returncode: int
    stdout: str
    stderr: str
    megabytes: float


class Server:
    """The process that is forked; it ends with the block that it is used in."""

    def __enter__(self):
        self.process = subprocess.Popen(
            [sys.executable, __file__],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "OMP_NUM_THREADS": "1"},
        )
        return self

    def __exit__(self, *_):
        self.process.communicate()  # no more words, so it ends

    def run(self, folder: Path, words, seconds: int) -> Done:
        """Run a command in a folder with so much processor time, loading the package included."""
        asked = {"folder": str(folder), "words": [str(word) for word in words], "seconds": seconds}
        self.process.stdin.write(json.dumps(asked) + "\n")
        self.process.stdin.flush()
        ended = json.loads(self.process.stdout.readline())
        texts = [_file(folder, name).read_text(encoding="utf-8") for name in ("out", "err")]
        return Done(ended["returncode"], *texts, ended["megabytes"])


def _file(folder: Path, name: str) -> Path:
    return Path(folder).with_name(f"{Path(folder).name}.{name}")


def _serve() -> None:
    import seaflow

    for module in pkgutil.walk_packages(seaflow.__path__, "seaflow."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            _command(**json.loads(line))
        _, status, used = os.wait4(child, 0)
        code = os.waitstatus_to_exitcode(status)
        print(json.dumps({"returncode": code, "megabytes": used.ru_maxrss / KILO}), flush=True)


def _command(folder: str, words: list[str], seconds: int) -> None:
    """Run a command here and end; the time since this program began is spent already."""
    left = max(1, int(seconds - time.process_time()))
    for number, (path, how) in enumerate(
        (
            (Path(os.devnull), os.O_RDONLY),
            (_file(Path(folder), "out"), os.O_WRONLY | os.O_CREAT | os.O_TRUNC),
            (_file(Path(folder), "err"), os.O_WRONLY | os.O_CREAT | os.O_TRUNC),
        )
    ):
        os.dup2(os.open(path, how), number)
    os.chdir(folder)
    resource.setrlimit(resource.RLIMIT_CPU, (left, left))
    resource.setrlimit(resource.RLIMIT_AS, (ADDRESSES, ADDRESSES))
    signal.alarm(WAITED_FOR)
    from seaflow.cli.main import main

    code = 1
    try:
        main(words)
    except SystemExit as ended:
        code = int(ended.code or 0)
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


if __name__ == "__main__":
    _serve()
