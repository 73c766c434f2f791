"""What is asked on board is a question, and its yes is what the key means when it is true."""

from functools import cache
from pathlib import Path

import pytest

from seaflow.base.tables import read_table
from seaflow.boat.keys import keys_of
from seaflow.boat.load import load_case
from seaflow.boat.tables.recorded_machines import BilgePump
from seaflow.boat.tables.recorded_record import Record
from seaflow.forms.checklist import KINDS, OF_BOAT, QUESTIONS, SEEN, question_of
from seaflow.forms.typical.boat import spoken_boat
from seaflow.present.survey.checklist import checklist_text
from seaflow.present.survey.checklist_page import checklist_page
from seaflow.present.survey.walk import lines, walk
from seaflow.studies.survey.findings import survey

FILES = [*sorted(Path("cases").glob("*.toml")), *sorted(Path("tests/helpers").glob("half*.toml"))]
NAMES = ["sloop", "catamaran", *(file.stem for file in FILES)]
SEEN_ON_BOARD = {**SEEN, "bilge_pump": BilgePump, "record": Record}
FLAGS = [
    (table, key, declared)
    for table, record in SEEN_ON_BOARD.items()
    for _, key, declared in keys_of(record)
    if table not in ("through_hull", "sea_chest") and declared.of is None
]


@cache
def boat(name):
    said = {"sloop": "sailing monohull 9 m", "catamaran": "11 m catamaran"}.get(name)
    if said is not None:
        return spoken_boat({"boat": said, "unit": ["12k"]}, gaps=True).loaded.case
    (file,) = [one for one in FILES if one.stem == name]
    return load_case(str(file), gaps=True).case


@pytest.mark.parametrize("name", NAMES)
def test_every_line_of_every_checklist_is_a_question(name):
    case = boat(name)
    answer = survey(case)
    every = [one for stop in walk(answer, case) for *_, some in stop.asked for one in some]
    assert all("?" in line.ask for line in lines(answer, case, tuple(every)))
    assert all("?" in item.ask for item in answer.look_at if item.table != "point")
    for text in (checklist_text(answer, case), checklist_page(answer, case)):
        assert "Yes if" not in text
        assert "No if" not in text


@pytest.mark.parametrize(("table", "key", "declared"), FLAGS, ids=lambda one: str(one)[:30])
def test_what_is_seen_on_board_has_a_question_of_its_own(table, key, declared):
    asks = read_table(QUESTIONS)["ask"]
    if key != "name":
        assert f"{table}.{key}" in asks or key in asks
        assert "?" in question_of(table, key, declared)


def test_no_question_is_of_a_key_that_is_not_there():
    """A row that nothing asks by would be a slip in its name."""
    known = set()
    inner = [
        (key, declared.of)
        for record in (*KINDS.values(), *OF_BOAT, *SEEN.values())
        for _, key, declared in keys_of(record)
        if declared.of is not None
    ]
    tables = [*KINDS.items(), *SEEN_ON_BOARD.items(), *inner]
    tables += [("boat", record) for record in OF_BOAT]
    for table, record in tables:
        known |= {f"{table}.{key}" for _, key, _ in keys_of(record)}
        known |= {key for _, key, _ in keys_of(record)}
    rows = read_table(QUESTIONS)
    assert {*rows["ask"]} - {"seacock"} <= known
    assert {*rows["short"]} <= known
