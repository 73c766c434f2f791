"""What a surveyor finds that the case does not list: openings and seacocks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from seaflow.boat.case import Case
from seaflow.boat.keys import keys_of
from seaflow.boat.reader.reading import Reading
from seaflow.boat.reader.record import read_record
from seaflow.boat.reader.text import Path
from seaflow.boat.tables.recorded_hull import SkinFitting, SkinHose
from seaflow.boat.tables.things import Intake, Outlet, Seacock
from seaflow.forms.checklist import PLACE, SEEN, name_of_thing, plain_row


def new_fittings(raw: Mapping[str, Any], case: Case, reading: Reading) -> Iterator[SkinFitting]:
    """Yield the openings of the hull that the case does not list yet."""
    for path, item in _new("skin_fitting", raw, case, reading):
        row = _with_seen("skin_fitting", _gathered(item, PLACE, "at"), path, reading)
        yield read_record(SkinFitting, plain_row(SkinFitting, row, path, reading), path, reading)


def new_skin_hoses(raw: Mapping[str, Any], case: Case, reading: Reading) -> Iterator[SkinHose]:
    """Yield the hoses on other openings of the hull that the case does not list yet."""
    fittings = [item.name for item in case.skin_fitting]
    fittings += [row["name"] for row in raw.get("skin_fitting") or () if "name" in row]
    known = [*fittings, *(cock.name for cock in case.seacock if cock.on in fittings)]
    for path, item in _new("skin_hose", raw, case, reading):
        if item.get("on") in known:
            row = _with_seen("skin_hose", item, path, reading)
            yield read_record(SkinHose, row, path, reading)
        else:
            _not_on(path, item, (known, None), reading)


def _with_seen(table: str, item: dict[str, Any], path: Path, reading: Reading) -> dict[str, Any]:
    """Return a row with what was seen of the thing gathered in a table of its own."""
    seen = tuple(spelled for _, spelled, _ in keys_of(SEEN[table]))
    row = _gathered(item, seen, "seen")
    if "seen" in row:
        row["seen"] = plain_row(SEEN[table], row["seen"], path, reading)
    return row


def new_seacocks(raw: Mapping[str, Any], case: Case, reading: Reading) -> Iterator[Seacock]:
    """Yield the seacocks that the case does not list yet; a block of name and place tells none.

    A word that there is none is an answer too; its bore is then that of the opening.
    """
    openings: tuple[Intake | Outlet | SkinFitting, ...]
    openings = (*case.intakes, *case.outlet, *case.skin_fitting)
    bores = {thing.name: f"{1e3 * thing.bore:.6g} mm" for thing in openings}
    known = [(cock.on, cock.name) for cock in case.seacock]
    for path, item in _new("seacock", raw, case, reading):
        if set(item) <= {"name", "on"}:
            if "on" not in item:
                _not_on(path, item, (list(bores), None), reading)
            continue
        taken = next((name for on, name in known if on == item.get("on")), None)
        if item.get("on") not in bores or taken is not None:
            _not_on(path, item, (list(bores), taken), reading)
            continue
        row = _with_seen("seacock", item, path, reading)
        if item.get("type") == "none":
            row.setdefault("bore", bores[item["on"]])
        yield read_record(Seacock, row, path, reading)


def _not_on(
    path: Path, item: Mapping[str, Any], where: tuple[list[str], str | None], reading: Reading
) -> None:
    names, taken = where
    kind = str(path[0]).replace("skin_", "")
    what = f'there is no {kind} "{item.get("name")}" on this boat, and its block names no opening'
    if "on" in item:
        what = f'the {kind} is on "{item["on"]}", which is no opening of the hull that is listed'
    write = "Names there are: " + ", ".join(f'"{name}"' for name in names) + "."
    if taken is not None:
        what = f'"{item["on"]}" has a seacock already, "{taken}"'
        write = f'Write name = "{taken}" if it is that one.'
    why = "What is on no opening of the hull would be judged as none."
    reading.note("A01", (*path, "on"), what, why=why, write=write)


# A block whose name the case does not know adds a thing of these tables.
NEW = {"skin_fitting": new_fittings, "seacock": new_seacocks, "skin_hose": new_skin_hoses}


def _new(
    table: str, raw: Mapping[str, Any], case: Case, reading: Reading
) -> Iterator[tuple[Path, dict[str, Any]]]:
    """Yield the blocks whose names the table does not know; a name of something else is refused."""
    own = {name_of_thing(item) for item in getattr(case, table)}
    others = {item.name: item.table for item in (*case.things, *case.skin_fitting)}
    others |= {one.label: "skin_hose" for one in case.skin_hose}
    others |= {hose.label: "hose" for hose in case.hose}
    for row, item in enumerate(raw.get(table) or ()):
        name = item.get("name")
        if name in own or (others.get(name) == table and set(item) <= {"name", "on"}):
            continue  # of a thing that is there already, or a block that says nothing more of one
        if name is None:
            example = f"{table.replace('_', ' ')} by the engine"
            reading.note(
                "K02",
                (table, row),
                f"a block [[{table}]] has answers and no name",
                why="Findings name what they are about.",
                write=f'Add a name of its own, such as name = "{example}".',
            )
            continue
        if name in others:
            kind = others[name].replace("_", " ")
            reading.note(
                "S02",
                (table, row, "name"),
                f'the name "{name}" is taken: a {kind} of this boat is called so',
                why="What is told of it could be meant of either, and would be lost.",
                write=f'Write another name, such as name = "{name}, {table.replace("_", " ")}"; '
                f"answers on the {kind} go into a block [[{_asked_as(others[name])}]].",
            )
            continue
        others[name] = table
        yield (table, row), dict(item)


def _asked_as(table: str) -> str:
    return "intake" if table in ("through_hull", "sea_chest") else table


def _gathered(item: Mapping[str, Any], keys: tuple[str, ...], under: str) -> dict[str, Any]:
    """Return a row with some of its keys gathered in a table of their own."""
    inner = {key: item[key] for key in keys if key in item}
    own = {key: value for key, value in item.items() if key not in keys}
    return own | {under: inner} if inner else own
