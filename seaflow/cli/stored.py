"""The file of readings beside a case: its rows read, and one more stored."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from seaflow.base.problems import Problem, SeaflowError
from seaflow.cli.files import alone, write_whole

if TYPE_CHECKING:
    from seaflow.boat.reader.text import CaseText

ENDING = ".readings.toml"
START = "# Readings of a healthy boat, taken with seaflow baseline; they correct the model of it.\n"
WRITTEN_BY = "one written by seaflow baseline --store"


class Row(dict[str, object]):
    """One table of a file of readings.

    `stands` are file and line of each key that comes from a file, and with "" of the whole table.
    """

    def __init__(
        self, told: Mapping[str, object], stands: Mapping[str, tuple[str, int | None]]
    ) -> None:
        super().__init__(told)
        self.stands = stands

    def under(self, told: Mapping[str, object]) -> Row:
        """Return this row with what was told over it; with that it stands nowhere as a whole."""
        typed = {*told, *([""] if told else [])}
        kept = {key: at for key, at in self.stands.items() if key not in typed}
        return Row({**self, **told}, kept)


def file_beside(case_file: str) -> str:
    """Return the name of the file of readings that belongs to a case.

    They belong to the boat, so they stand beside the file that holds her, wherever a link stands.

    Raises
    ------
    SeaflowError
        If others stand beside the link.
    """
    at_link = str(Path(case_file).with_suffix("")) + ENDING
    if not os.path.islink(case_file):
        return at_link
    real = str(Path(os.path.realpath(case_file)).with_suffix("")) + ENDING
    if os.path.lexists(at_link) and os.path.realpath(at_link) != os.path.realpath(real):
        raise _refused(
            at_link,
            "these readings stand beside a link to the boat, not beside the boat",
            f'They belong to the boat, and hers are kept in "{real}".',
            "Move them there, below those that it holds.",
        )
    return real


def rows_in(file: str) -> list[Row]:
    """Return the rows of a file of readings as they stand.

    Raises
    ------
    SeaflowError
        If there is no such file, or it holds no readings.
    """
    from seaflow.boat.load import refuse_sheet
    from seaflow.boat.reader.not_toml import in_columns
    from seaflow.boat.reader.text import parsed, read_characters

    text = read_characters(file, WRITTEN_BY)
    if in_columns(text):
        refuse_sheet(file, "readings")
        what = "these are columns of a table, as a spreadsheet writes them, and no file of readings"
        write = (
            "Write [[reading]] on a line of its own and below it a line for each reading, such as "
            'sea = "27.5 degC" and discharge = "33 degC". Or tell each by its option: '
            '--sea "27.5 degC".'
        )
        why = "Each set of readings is a table of its own, and each value has its unit."
        raise SeaflowError([Problem("D03", what, why=why, write=write, file=file)])
    try:
        found = parsed(file, text)
    except SeaflowError:
        refuse_sheet(file, "readings")
        raise
    return _rows(*found)


def store(file: str, row: Mapping[str, object]) -> None:
    """Add a row to a file of readings, which need not exist yet, or leave the file as it is.

    Raises
    ------
    SeaflowError
        If the file cannot be read, added to or written, or if it holds that row already.
    """
    from seaflow.boat.reader.text import parsed, read_characters

    with alone(file):
        old, text = [], START
        if os.path.exists(file):
            old, text = rows_in(file), read_characters(file, WRITTEN_BY)
        if _plain(row) in map(_plain, old):
            raise kept_already(file)
        more = f"{text.rstrip()}\n\n{_text(row)}"
        try:
            told = _rows(*parsed(file, more))
        except SeaflowError as error:
            if error.problems[0].code != "F05":
                raise
            told = []
        if list(map(_plain, told)) != [*map(_plain, old), _plain(row)]:
            raise _refused(
                file,
                "a row cannot be added to this file as it is written",
                "Below a list such as reading = [{ ... }] no [[reading]] can stand; "
                "the file is left as it is.",
                "Write each of its rows as [[reading]] on a line of its own with the keys below.",
            )
        write_whole(file, more)


def kept_already(file: str) -> SeaflowError:
    """Return what is said of readings that a file has."""
    return _refused(
        file,
        "these readings stand in the file already",
        "Counted twice they would weigh twice.",
        "Nothing needs doing; give --store another date if they were read again.",
    )


def _rows(text: CaseText, raw: dict[str, Any]) -> list[Row]:
    from seaflow.boat.reader.other_kind import refuse_other_kind

    refuse_other_kind(text, raw, "readings")
    rows = raw.get("reading")
    known = isinstance(rows, list) and all(isinstance(row, dict) for row in rows)
    if not known or set(raw) - {"reading", "schema"}:
        what = "this file holds no readings"
        write = 'Write [[reading]] on a line of its own and below it such as sea = "27 degC".'
        why = "Each set of readings stands in a table of its own."
        raise SeaflowError([Problem("D03", what, why=why, write=write, file=text.file)])
    assert isinstance(rows, list)
    return [
        Row(row, {key: (text.file, text.line(("reading", n, key))) for key in ("", *row)})
        for n, row in enumerate(rows)
    ]


def _plain(row: Mapping[str, object]) -> dict[str, tuple[str, ...]]:
    """Return a row as texts, however each was written."""
    return {
        key: tuple(map(str, value)) if isinstance(value, list) else (str(value),)
        for key, value in row.items()
    }


def _text(row: Mapping[str, object]) -> str:
    """Return one row as the text of a file of readings."""
    from seaflow.forms.starter import value_text

    lines = ["[[reading]]"]
    for key, value in row.items():
        if isinstance(value, list):
            shown = "[" + ", ".join(value_text(str(item)) for item in value) + "]"
        else:
            shown = value_text(str(value))
        lines.append(f"{key} = {shown}")
    return "\n".join(lines) + "\n"


def _refused(file: str, what: str, why: str, write: str) -> SeaflowError:
    return SeaflowError([Problem("D07", what, why=why, write=write, file=file)])
