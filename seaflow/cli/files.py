"""Files that a command writes: never over another file, and never half."""

from __future__ import annotations

import os
from pathlib import Path

from seaflow.base.problems import Problem, SeaflowError


def require_free(file: str) -> None:
    """Refuse a name that is taken, or whose folder does not exist.

    Raises
    ------
    SeaflowError
        If something bears the name, or there is no folder to hold it.
    """
    path = Path(file)
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


def write_new(file: str, text: str) -> None:
    """Write a file that must not exist yet.

    Raises
    ------
    SeaflowError
        If the name is taken, or the file cannot be written.
    """
    require_free(file)
    try:
        with open(file, "x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
    except FileExistsError:
        require_free(file)
    except OSError as error:
        raise _cannot(file, error) from None


def write_whole(file: str, text: str) -> None:
    """Write or replace a file in one go, so that it is never half written.

    Raises
    ------
    SeaflowError
        If it cannot be written.
    """
    import tempfile  # heavy for a command that writes nothing

    folder = Path(file).resolve().parent
    try:
        handle, name = tempfile.mkstemp(dir=folder, prefix=".seaflow-", suffix=".part")
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as stream:
                stream.write(text)
                stream.flush()
                os.fsync(stream.fileno())
            os.replace(name, file)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise _cannot(file, error) from None


def _cannot(file: str, error: OSError) -> SeaflowError:
    what = f"the file cannot be written: {error.strerror}"
    why = "The disk or its permissions do not let this program write it."
    return _refused("W03", file, what, (why, "Name a file in a folder that you may write to."))


def _refused(code: str, file: str, what: str, words: tuple[str, str]) -> SeaflowError:
    """Return an error of one problem; `words` are why it matters and what to do."""
    why, write = words
    return SeaflowError([Problem(code, what, why=why, write=write, file=file)])
