"""Files that a command writes: whole or not at all, and never over another file unasked.

Each is written beside its target under a name of its own and put in its place in one step, so that
a full disk, a kill or an interrupt leaves what was there before. What a kill leaves beside it is
cleared by whatever writes there next, ten minutes or more later.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from importlib import import_module
from pathlib import Path
from typing import Any

from seaflow.base.problems import Problem, SeaflowError

USUAL_MODE = 0o666  # less what the user's mask takes away
LOCK_FILE = ".seaflow.lock"
_PART = re.compile(r"\.seaflow-[0-9a-f]{12}\.part")
_STALE_AFTER = 600.0  # s; to write a file and name it takes well under one


def require_free(*files: str) -> None:
    """Refuse a name that is taken or given twice, or whose folder does not exist; and "-".

    Raises
    ------
    SeaflowError
        If something bears a name, two are one, or there is no folder to hold it; or if it is "-",
        which elsewhere means standard output.
    """
    places = [os.path.join(os.path.realpath(Path(file).parent), Path(file).name) for file in files]
    for number, file in enumerate(files):
        _require_free(file)
        if places[number] in places[:number]:
            raise _refused(
                "W05",
                file,
                "two files are to be written under this one name",
                ("Only one of them would be kept.", "Give each a name of its own."),
            )


def _require_free(file: str) -> None:
    path = Path(file)
    if file == "-":
        raise _refused(
            "W06",
            file,
            "this is no name of a file",
            (
                "Nothing is written to standard output in place of a file.",
                "Name a file; ./- if it is to be called so.",
            ),
        )
    if os.path.isdir(path):
        raise _refused(
            "W01", file, "this is a folder", ("A file is to be written.", "Name a file in it.")
        )
    if os.path.lexists(path):
        raise _refused(
            "W01",
            file,
            "there is such a file already, and it is left as it is",
            ("What is in it would be lost.", "Give another name, or move the old file away."),
        )
    if not os.path.isdir(path.parent):
        raise _refused(
            "W02",
            file,
            f'there is no folder "{path.parent}"',
            (
                "Folders are not made unasked: the name may be a slip.",
                "Make the folder, or check its name.",
            ),
        )


def write_new(*files: tuple[str, str | bytes]) -> None:
    """Write files, each given as name and content, that must not exist yet: all of them or none.

    Raises
    ------
    SeaflowError
        If a name is taken or given twice, or a file cannot be written.
    """
    require_free(*(file for file, _ in files))
    parts: list[str] = []
    done: list[str] = []
    try:
        for file, content in files:
            with _told(file):
                parts.append(_written_beside(file, content))
        for (file, _), part in zip(files, parts, strict=True):
            with _told(file):
                _put(part, file)
            done.append(file)
    except BaseException:
        _remove(done)
        raise
    finally:
        _remove(parts)
    _settle([file for file, _ in files])


def write_whole(file: str, text: str) -> None:
    """Write or replace a file; a link is followed, and who may read it stays as it was.

    Raises
    ------
    SeaflowError
        If it cannot be written.
    """
    target = os.path.realpath(file)
    parts: list[str] = []
    try:
        with _told(file):
            parts.append(_written_beside(target, text))
            if os.path.exists(target):
                os.chmod(parts[0], os.stat(target).st_mode & 0o7777)
            os.replace(parts[0], target)
    finally:
        _remove(parts)
    _settle([target])


@contextmanager
def alone(file: str) -> Iterator[None]:
    """Keep every other seaflow from writing beside `file` meanwhile, and wait for those that do.

    Where the system or the file system knows no locks nothing is waited for: better stored than
    refused.
    """
    folder = os.path.dirname(os.path.realpath(file))
    try:
        fcntl: Any = import_module("fcntl")
    except ImportError:  # no folder can be locked here, but perhaps a file
        with _alone_by_file(os.path.join(folder, LOCK_FILE), file):
            yield
        return
    with _told(file):
        handle = os.open(folder, os.O_RDONLY)
    try:
        with suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


@contextmanager
def _alone_by_file(lock_file: str, file: str) -> Iterator[None]:
    try:
        msvcrt: Any = import_module("msvcrt")
    except ImportError:
        yield
        return
    with _told(file):
        handle = os.open(lock_file, os.O_RDWR | os.O_CREAT, USUAL_MODE)
    try:
        with suppress(OSError):  # raised after ten tries in ten seconds
            msvcrt.locking(handle, msvcrt.LK_LOCK, 1)
        yield
    finally:
        os.close(handle)  # which gives the lock back


def _written_beside(file: str, content: str | bytes) -> str:
    """Write a text or bytes in the folder of a file, down to the disk, and return where it is."""
    part = os.path.join(os.path.dirname(file), f".seaflow-{os.urandom(6).hex()}.part")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, USUAL_MODE)
    try:
        if isinstance(content, str):
            content = content.encode("utf-8", errors="replace")
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
    except BaseException:
        _remove([part])
        raise
    _clear_stale(part)
    return part


def _clear_stale(part: str) -> None:
    """Remove what programs that were killed left beside a part, long before it was written.

    Both times are told by the clock of the disk. Who may not remove such a file leaves it.
    """
    with suppress(OSError), os.scandir(os.path.dirname(part) or ".") as beside:
        now = os.stat(part).st_mtime
        for other in beside:
            if _PART.fullmatch(other.name):
                with suppress(OSError):
                    seen = other.stat(follow_symlinks=False)
                    if stat.S_ISREG(seen.st_mode) and now - seen.st_mtime > _STALE_AFTER:
                        os.unlink(other.path)


def _put(part: str, file: str) -> None:
    """Give what was written its name, unless something else has taken that meanwhile."""
    try:
        os.link(part, file)
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        if os.path.lexists(file):
            raise FileExistsError(17, "there is such a file by now") from None
        os.rename(part, file)


def _remove(files: Sequence[str]) -> None:
    for file in files:
        Path(file).unlink(missing_ok=True)


def _settle(files: Sequence[str]) -> None:
    """Bring the names to the disk too, where the system lets a folder be brought there."""
    for folder in {os.path.dirname(file) or "." for file in files}:
        with suppress(OSError):
            handle = os.open(folder, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)


@contextmanager
def _told(file: str) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        what = f"the file cannot be written: {error.strerror}"
        why = "The disk or its permissions do not let this program write it."
        words = (why, "Name a file in a folder that you may write to.")
        raise _refused("W03", file, what, words) from None


def _refused(code: str, file: str, what: str, words: tuple[str, str]) -> SeaflowError:
    """Return an error of one problem; `words` are why it matters and what to do."""
    why, write = words
    return SeaflowError([Problem(code, what, why=why, write=write, file=file)])
