"""Write the generated pages of docs/ from the declarations, tables and tests they describe.

python docs/make.py             writes the generated pages
python docs/make.py --console   also runs the console blocks of all pages and writes anew
                                what they print
python docs/make.py --dock      also draws the boats of docs/at-the-dock.html anew
"""

from __future__ import annotations

import sys
from collections.abc import Callable

from generator import console
from generator.answers import answers, schemas
from generator.case import case_file, parts_file
from generator.certainty import certainty_cases
from generator.checks import verification
from generator.code import commands, functions, modules, sources
from generator.data import assumptions, glossary_page, parts_page, problems, seas
from generator.readme import readme
from generator.survey import survey_rules
from generator.text import ROOT

PAGES: dict[str, Callable[[], str]] = {
    "answers.md": answers,
    "assumptions.md": assumptions,
    "case-file.md": case_file,
    "certainty-cases.md": certainty_cases,
    "commands.md": commands,
    "functions.md": functions,
    "glossary.md": glossary_page,
    "modules.md": modules,
    "parts-file.md": parts_file,
    "parts.md": parts_page,
    "problems.md": problems,
    "readme.md": readme,
    "seas.md": seas,
    "sources.md": sources,
    "survey-rules.md": survey_rules,
    "verification.md": verification,
}


def write() -> None:
    """Write every generated page."""
    for name, make in PAGES.items():
        (ROOT / "docs" / name).write_text(make(), encoding="utf-8")
    folder = ROOT / "seaflow" / "data" / "schemas"
    folder.mkdir(exist_ok=True)
    for name, text in schemas().items():
        (folder / name).write_text(text, encoding="utf-8")


def write_dock() -> None:
    """Write the page of owners who know no more of their boat than the size of the unit."""
    from seaflow.present.page.owner import any_boat_html
    from seaflow.studies.page.any_boat import any_boats

    page = any_boat_html(any_boats(), "metric")
    (ROOT / "docs" / "at-the-dock.html").write_text(page, encoding="utf-8")


if __name__ == "__main__":
    write()
    if "--dock" in sys.argv[1:]:
        write_dock()
    if "--console" in sys.argv[1:]:
        console.rewrite()
