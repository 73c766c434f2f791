"""No advice of the survey makes another rule fail: it is done, and the boat surveyed anew."""

import tomllib
from collections import Counter
from pathlib import Path

import pytest
from survey_boats import FILE, case_of, patched

from seaflow.studies.survey.findings import survey

TOLD = tomllib.loads(Path(__file__).with_name("survey_advice.toml").read_text(encoding="utf-8"))
ROWS = [
    pytest.param(FILE.with_name(f"{boat['name']}.toml"), row, id=f"{boat['name']}:{row['rule']}")
    for boat in TOLD["boat"]
    for row in boat["advice"]
]


def found(file, patch, folder):
    answer = survey(case_of(patched(patch, file), folder))
    return Counter((item.rule, item.where) for item in answer.findings)


@pytest.mark.parametrize(("file", "row"), ROWS)
def test_advice_that_is_followed_cures_and_brings_no_other_finding(file, row, tmp_path):
    before, after = found(file, row["broken"], tmp_path), found(file, row["cured"], tmp_path)
    assert row["rule"] in {rule for rule, _ in before}
    assert row["rule"] not in {rule for rule, _ in after}
    assert after - before == Counter()
