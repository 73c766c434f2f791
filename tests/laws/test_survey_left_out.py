"""What is not recorded is asked, never found: good boats with one thing left out at a time."""

import tomllib

import pytest
from survey_boats import FILE, case_of, patched

from seaflow.base.problems import SeaflowError
from seaflow.boat.defaults import default
from seaflow.studies.survey.findings import survey

pytestmark = pytest.mark.usefixtures("loops_run_once")

CATAMARAN = FILE.with_name("power_catamaran.toml")
# Of rooms, batteries and duties the survey asks nothing.
SAYS_NOTHING = {"schema", "meta", "compartment", "partition", "pump_place", "duty", "battery"}


def left_out(file):
    """What a good boat records, one key at a time, left out of all things of its table at once."""
    raw = tomllib.loads(file.read_text(encoding="utf-8"))
    found = {}
    for table in (one for one in raw if one not in SAYS_NOTHING):
        content = raw[table]
        for row, thing in enumerate(content if isinstance(content, list) else [content]):
            path = f"{table}.{row}" if isinstance(content, list) else table
            for key, value in thing.items():
                inner = value if isinstance(value, dict) else {}
                for way in (key, *(f"{key}.{part}" for part in inner)):
                    found.setdefault((table, way), []).append(f"{path}.{way}")
    return [
        pytest.param(file, paths, id=f"{file.stem}:{'.'.join(what)}")
        for what, paths in found.items()
    ]


@pytest.mark.parametrize(("file", "paths"), left_out(FILE) + left_out(CATAMARAN))
def test_what_a_good_boat_leaves_out_is_never_found(file, paths, tmp_path):
    try:
        case = case_of(patched(dict.fromkeys(paths, "drop"), file), tmp_path)
    except SeaflowError:
        return  # a case must say that
    assert survey(case).findings == ()


def test_a_rise_that_is_recorded_is_found_where_the_same_assumed_is_asked(tmp_path):
    patch = {"design.permitted_rise": f"{default('design.permitted_rise').value:g} K"}
    told = survey(case_of(patched(patch), tmp_path))
    assumed = survey(case_of(patched({"design.permitted_rise": "drop"}), tmp_path))
    assert [item.rule for item in told.findings] == ["flow-below-need"] and not told.look_at
    assert [item.key for item in assumed.look_at] == ["permitted_rise"] and not assumed.findings


def test_the_hull_of_an_opening_is_asked_where_its_side_is_not_recorded(tmp_path):
    """38 mm at 0.15 m let in 117 L/min: more than the port pump delivers, less than the other."""
    patch = {"skin_fitting.0.at.starboard": "drop"}
    (asked,) = survey(case_of(patched(patch, CATAMARAN), tmp_path)).look_at
    assert (asked.thing, asked.key) == ("starboard toilet", "starboard")
