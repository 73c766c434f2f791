"""The page of the survey's rules, from the register."""

from __future__ import annotations

from collections.abc import Iterator

from generator.text import page, table
from seaflow.base.tables import read_table
from seaflow.present.quantities import Show
from seaflow.studies.survey.judged import CHECKS
from seaflow.studies.survey.rules import Rule, items, rules
from seaflow.studies.survey.severity import NEAR, sizes


def survey_rules() -> str:
    """Return items and rules of the survey."""
    known = rules()
    rows = [
        (number, look_at, _named(number, known) or f"no rule: {why}")
        for number, look_at, why in items()
    ]
    published = [(row["name"], row["seen"]) for row in read_table("requirements.toml").values()]
    detail = [
        (
            f"`{rule.id}`",
            rule.item,
            rule.question,
            rule.severity + (f"; {rule.varies}" if rule.varies else ""),
            _needs(rule),
            rule.why,
            rule.do,
            rule.basis,
            f"{Show().sentence(rule.rests_on)}.",
        )
        for rule in sorted(known, key=lambda one: one.item)
    ]
    head = ("rule", "item", "question", "severity", "judged by", "why", "what to do")
    head = (*head, "rests on", "basis")
    return page(
        "Rules of the survey",
        INTRO,
        "## How grave a finding is\n",
        *_severities(),
        "## What a survey looks at\n",
        table(("item", "look at", "rules"), rows),
        "## The rules\n",
        table(head, detail),
        INPUTS_TOLD,
        *(f"- **{word}**: {says}." for word, says in _inputs().items()),
        "## Published requirements named\n",
        table(("requirement", "how much of it was read"), published),
        ADDING,
    )


INTRO = """
`seaflow survey` puts these questions to a case. Each is answered for every thing it applies to: a
finding, kept, or not recorded. Anything not recorded is a question, not a pass: it stands under
"Check on board".
"""

GRAVE = """
A rule names its row and its column, and nothing else makes a severity. Where the facts move a
finding to another column, the table of rules says when; where a measure does, it does so from here:
"""

ONLY_UP = """
A hose that lets in more than the bilge pumps deliver makes a finding of its own, and a graver one
without an alarm. A pump that keeps up, or none at all, makes no other finding lighter. A critical
finding rests on something that was read or on common practice, never on memory alone; a test holds
that.
"""

ADDING = """
## Adding a rule

Write it into a file of `seaflow/data/rules`. With `table`, `key` and one of `good`, `bad`, `least`
or `most` it is complete, and the key is declared in `seaflow/boat/tables/recorded.py`,
`recorded_machines.py` or `recorded_hull.py`. If it needs numbers, give it no key and add a function
of its name to the room of `seaflow/studies/survey` it belongs to, its facts to the
chapter `seaflow/present/words/survey.py`. `harm` and `near` are its row and column in
`seaflow/data/severity.toml`. If the facts move it to another column, say in `varies` when and why.
Add a boat that breaks it, one that keeps it and one that does not record it to
`tests/laws/survey_rules.toml`; a test asks for all three.
"""


INPUTS_TOLD = """
A rule names every fact that decides it. One fact changed changes the row of its own thing, and
other rows only by rules that name it; a test holds that. Four words stand for many facts:
"""


def _severities() -> Iterator[str]:
    """Yield the table of severities, and where size decides."""
    known = read_table("severity.toml")
    rows = [(row["what"], *(row[near] for near in NEAR)) for row in known["harm"].values()]
    yield table(("what can follow", *(known["near"][near] for near in NEAR)), rows)
    means = (f"{word} {says}" for word, says in known["means"].items())
    yield f"\nMend what is {', '.join(means)}.\n"
    yield GRAVE
    head = ("measure", "second column from", "first column from", "source")
    yield table(head, sizes())
    yield ONLY_UP


def _inputs() -> dict[str, str]:
    return dict(read_table("survey_items.toml")["inputs"])


def _named(number: int, known: tuple[Rule, ...]) -> str:
    return ", ".join(f"`{rule.id}`" for rule in known if rule.item == number)


def _needs(rule: Rule) -> str:
    if rule.key is not None and rule.test is not None:
        word, value = rule.test
        shown = (
            {True: "true", False: "false"}.get(value, value)
            if not isinstance(value, list)
            else ", ".join(value)
        )
        words = {"good": "should be", "bad": "should not be", "least": "at least"}
        also = f"; also decided by: {', '.join(rule.inputs)}" if rule.inputs else ""
        return f"{rule.table}, `seen.{rule.key}`: {words.get(word, 'at most')} {shown}{also}"
    says = (CHECKS[rule.id].__doc__ or "").strip()
    return f"function: {says} Decided by: {', '.join(rule.inputs)}."
