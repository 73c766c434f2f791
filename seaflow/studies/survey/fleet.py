"""What `survey` tells of many boats."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.facts import Fact
from seaflow.boat.case import Case
from seaflow.studies.design.fleet import BoatRows, FleetRow
from seaflow.studies.design.judge import NO, TIGHT, YES
from seaflow.studies.survey.findings import survey

SEVERE = ("critical", "major", "minor")
GRADES = {"fit": YES, "not fit": NO, "not seen": TIGHT}


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyRow(FleetRow):
    """A boat: its findings by severity, what is left to look at, and the first finding."""

    fitness: str = ""
    critical: int | None = None
    major: int | None = None
    minor: int | None = None
    left_to_look_at: int | None = None
    at: str = ""
    first_finding: Fact | None = None


def survey_rows(file: str, case: Case) -> BoatRows:
    """Return the row of a case; nothing but what the case itself records is known of it."""
    answer = survey(case)
    critical, major, minor = (
        sum(one.severity == word for one in answer.findings) for word in SEVERE
    )
    first = answer.findings[0] if answer.findings else None
    row = SurveyRow(
        file=file,
        boat=answer.boat,
        grade=GRADES[answer.fitness],
        fitness=answer.fitness,
        left_to_look_at=len(answer.look_at),
        at=first.where if first else "",
        first_finding=first.found if first else None,
        critical=critical,
        major=major,
        minor=minor,
    )
    return BoatRows((row,), row.grade, answer.cautions)
