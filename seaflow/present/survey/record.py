"""What the record of a survey shows, in text and page: ledger, findings by thing, limits."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from importlib.metadata import version

from seaflow.base.facts import Amount
from seaflow.base.tables import read_table
from seaflow.boat.reader.known import HOWS, NOT_ACCESSIBLE
from seaflow.boat.tables.recorded_record import OPEN
from seaflow.forms.checklist import QUESTIONS
from seaflow.present.card import capital
from seaflow.present.survey import titles
from seaflow.present.survey.sections import Section, finding_rows
from seaflow.present.survey_units import SurveyShow
from seaflow.present.words import survey as words
from seaflow.studies.survey.findings import Survey
from seaflow.studies.survey.following import STILL_OPEN
from seaflow.studies.survey.hung import Finding
from seaflow.studies.survey.ledger import LedgerRow, Recommendation
from seaflow.studies.survey.recorded import LedgerFact
from seaflow.studies.survey.rules import PUBLISHED, rules
from seaflow.studies.survey.severity import SEVERITIES

YEAR, DAY = 365.25 * 86400.0, 86400.0  # s
LONG = 60  # letters of a line that is not told twice
LARGE = 1e-4  # m2: an area above it is that of a basket, not of a wire


@dataclass(frozen=True, slots=True)
class RecordRow:
    """A row of the ledger in words: what is recorded, in order, found, and not seen."""

    mark: str
    thing: str
    recorded: tuple[str, ...] = ()
    in_order: str = ""
    as_told: str = ""
    found: str = ""
    not_seen: str = ""


@dataclass(frozen=True, slots=True)
class Advised:
    """A thing with findings: the one thing to do, what that cures, and each finding in parts."""

    title: str
    do: str
    cures: str
    findings: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()


@dataclass(frozen=True, slots=True)
class Says:
    """Says the parts of a survey in one system of units."""

    answer: Survey
    show: SurveyShow
    sources: Mapping[str, int] = field(default_factory=dict)

    def ledger(self) -> Iterator[RecordRow]:
        """Yield every thing that anything is recorded or judged of.

        What is word for word that of an earlier thing is told once.
        """
        before: dict[str, str] = {}
        for row in self.answer.ledger:
            if row.facts or row.findings or row.left_open:
                seen, told = _in_order(row, self.answer)
                yield RecordRow(
                    row.mark,
                    _title(row),
                    tuple(_once(line, row.mark, before) for line in self._recorded(row)),
                    _once(seen, row.mark, before),
                    _once(told, row.mark, before),
                    "; ".join(self._found(row)),
                    "; ".join(_not_seen(row)),
                )

    def _recorded(self, row: LedgerRow) -> Iterator[str]:
        """Yield facts by how, when and by whom they are known."""
        known: dict[tuple[str, str, str], list[LedgerFact]] = {}
        head = (self.answer.record.date or "", self.answer.record.surveyor or "")
        for item in row.facts:
            if item.how != NOT_ACCESSIBLE:
                day, who = (item.date, item.by)
                day, who = ("", "") if (day, who) == head else (day, who)
                known.setdefault((item.how, day, who), []).append(item)
        for (how, day, who), facts in known.items():
            said = "; ".join(self._facts(facts))
            yield f"{_by(how, day, who)}: {said}"

    def _facts(self, facts: list[LedgerFact]) -> Iterator[str]:
        """Yield values, then what is so, then what is not."""
        plain = [item for item in facts if not isinstance(item.value, bool)]
        if plain:
            yield ", ".join(f"{_key(item)} {self._value(item)}" for item in plain)
        for truth, word in ((True, "yes"), (False, "no")):
            same = [_key(item) for item in facts if item.value is truth]
            if same:
                yield f"{word} to {', '.join(same)}"

    def _value(self, item: LedgerFact) -> str:
        value = item.value
        if not isinstance(value, Amount):
            return str(value)
        if value.kind == "duration":
            years = value.value >= YEAR
            return f"{value.value / (YEAR if years else DAY):.3g} {'years' if years else 'days'}"
        is_basket = value.kind == "area" and value.value > LARGE
        return self.show("basket_area" if is_basket else value.kind, value.value)

    def _found(self, row: LedgerRow) -> Iterator[str]:
        own = [item for item in self.answer.findings if item.number in row.findings]
        for severity in SEVERITIES:
            numbers = [item.number for item in own if item.severity == severity]
            if numbers:
                yield f"{severity} {', '.join(numbers)}"

    def advice(self) -> Iterator[Advised]:
        """Yield the things with findings, gravest first, each finding under its thing."""
        rows = {number: row for row in self.answer.ledger for number in row.findings}
        done = set()
        for item in self.answer.findings:
            row = rows[item.number]
            if row.mark not in done and row.recommendation is not None:
                done.add(row.mark)
                yield self._advised(row)

    def _advised(self, row: LedgerRow) -> Advised:
        advice = row.recommendation
        assert advice is not None
        own = [item for item in self.answer.findings if item.number in row.findings]
        told = []
        for item in own:
            rows = finding_rows(item, self.show, self.sources)
            kept = [one for one in rows if one[0] != "Do" or item.number in advice.leaves]
            told.append((finding_title(item), tuple(kept)))
        many = len(own) > 1
        cures = titles.CURES.format(numbers=", ".join(advice.cures)) if many else ""
        return Advised(f"{row.mark} {_title(row)}", self._do(advice), cures, tuple(told))

    def grave(self) -> tuple[str, ...]:
        """Return what decides: the critical and major findings by thing, with what to do."""
        rows = {number: row for row in self.answer.ledger for number in row.findings}
        things: dict[str, list[Finding]] = {}
        for severity in SEVERITIES[:2]:
            for item in self.answer.found_at(severity):
                things.setdefault(rows[item.number].mark, []).append(item)
        return tuple(self._decides(rows[found[0].number], found) for found in things.values())

    def _decides(self, row: LedgerRow, found: list[Finding]) -> str:
        numbers = ", ".join(item.number for item in found)
        what = "; ".join(self.show.text(self.show.sentence(item.found)) for item in found)
        do = "" if row.recommendation is None else f" Do: {self._do(row.recommendation)}"
        return f"{found[0].severity.upper()} {numbers} {capital(row.thing)}: {what}.{do}"

    def _do(self, advice: Recommendation) -> str:
        first = "" if advice.first is None else f"{self.show.whole(advice.first)} "
        return f"{first}{self.show.text(advice.do)}"

    def asked(self) -> tuple[str, ...]:
        """Return the critical questions that are still open."""
        return tuple(
            f"{capital(item.thing)}: {self.show.question(item.question, item.not_accessible)}"
            for item in self.answer.open_at(SEVERITIES[0])
        )

    def changed(self) -> Section:
        """Return what changed since earlier visits."""
        rows = []
        for item in self.answer.changes:
            state = "" if item.state == OPEN else f"{titles.STATES[item.state]} {item.on}".strip()
            there = titles.BECAME.get(item.became, item.became)
            there = "still there" if item.became == STILL_OPEN and state else there
            rows.append((item.number, item.thing, there, state))
        return Section(titles.CHANGED, head=titles.CHANGED_HEAD, rows=tuple(rows), names=4)

    def limits(self) -> Section:
        """Return what nobody could look at, by thing and why, and how much is not recorded."""
        rows = [("", item, titles.BY_SURVEYOR) for item in self.answer.record.not_seen]
        for row in self.answer.ledger:
            shut = {item.key: item.why or NOT_ACCESSIBLE for item in row.not_accessible}
            for why in dict.fromkeys(shut.values()):
                keys = ", ".join(_plain(key) for key, said in shut.items() if said == why)
                rows.append((f"{row.mark} {row.thing}", keys, f"{NOT_ACCESSIBLE}: {why}"))
        left = sum(not item.not_accessible for item in self.answer.look_at)
        head, note = titles.LIMITS_HEAD, titles.NOT_RECORDED.format(left=left, where=words.LOOK_AT)
        line = note if left else titles.ALL_SEEN
        lines = (line,) if left or not rows else ()
        return Section(titles.LIMITS, head=head, rows=tuple(rows), names=3, lines=lines)


def says(answer: Survey, system: str) -> Says:
    """Return what says a survey in one system of units, with its sources numbered."""
    named: dict[str, int] = {}
    for rule in rules():
        if rule.basis == PUBLISHED:
            for name in rule.rests_on["standards"]:  # type: ignore[attr-defined]
                named.setdefault(name, len(named) + 1)
    return Says(answer, SurveyShow(system), named)


def sources(said: Says) -> Section:
    """Return the published requirements that the rules lean on, numbered."""
    lines = tuple(f"{number}. {name}." for name, number in said.sources.items())
    return Section(titles.SOURCES, lead=titles.CHECK_EDITION, lines=lines)


def legend() -> Section:
    """Return what severities, words for how a fact is known, and numbers mean."""
    means = read_table("severity.toml")["means"]
    grave = "; ".join(f"{word}: {means[word]}" for word in SEVERITIES)
    lines = (titles.SEVERITY.format(means=grave), titles.KNOWN.format(hows=", ".join(HOWS)))
    return Section(titles.LEGEND, lines=(*lines, titles.NUMBER))


def made_by() -> str:
    """Return which version of the program made a record."""
    return titles.MADE_BY.format(version=version("seaflow"))


def finding_title(item: Finding) -> str:
    """Return number, severity and place of a finding, and what became of it."""
    state = "" if item.state == OPEN else f" ({titles.STATES[item.state]} {item.on}".rstrip() + ")"
    return f"{item.number} {item.severity.upper()}: {item.where}{state}"


def _title(row: LedgerRow) -> str:
    if row.table in ("hose", "skin_hose") or not row.ends:
        name = row.thing
        if len(row.ends) == 2 and not all(end in name for end in row.ends):
            name += f", {row.ends[0]} to {row.ends[1]}"
        return name
    return f"{row.thing}, on {row.ends[0]}"


def _in_order(row: LedgerRow, answer: Survey) -> tuple[str, str]:
    """Return the items that a thing keeps as seen, and those that it keeps if what was told is
    right; "in part" where something of them is open or told. None of which anything was found.
    """
    of = {rule.id: rule.item for rule in rules()}
    found = {item.item for item in answer.findings if item.number in row.findings}
    short = {one["number"]: one["short"] for one in read_table("survey_items.toml")["item"]}
    waits = {of[name] for name in row.waiting}
    seen, told = ({of[name]: "" for name in names} for names in (row.in_order, row.as_told))

    def listed(kept: Iterable[int], not_all: Container[int]) -> str:
        return "; ".join(
            f"{short[item]}{' (in part)' if item in waits or item in not_all else ''}"
            for item in kept
            if item not in found
        )

    return listed(seen, told), listed(told, seen)


def _not_seen(row: LedgerRow) -> Iterator[str]:
    shut = {item.key: item for item in row.not_accessible}
    for key in (*shut, *(one for one in row.left_open if one not in shut)):
        why = shut[key].why if key in shut else ""
        yield f"{_plain(key)}{f' ({why})' if why else ''}"


def _once(line: str, mark: str, before: dict[str, str]) -> str:
    """Return a line, or which thing it was told of before where it is a long one."""
    if len(line) < LONG:
        return line
    first = before.setdefault(line, mark)
    if first == mark:
        return line
    how, colon, _ = line.partition(": ")
    return f"{how}: as {first}" if colon else f"as {first}"


def _by(how: str, day: str, who: str) -> str:
    """Return how, by whom and on which day facts are known."""
    when = ", ".join(filter(None, (f"by {who}" if who else "", day)))
    return f"{capital(how)} {when}".rstrip()


def _key(item: LedgerFact) -> str:
    return _plain(item.key) + (f" (photo {item.photo})" if item.photo else "")


def _plain(key: str) -> str:
    """Return what a fact is called; its key in words where that says enough."""
    name = key.removeprefix("cable.")
    short: str = read_table(QUESTIONS)["short"].get(name, name.replace("_", " "))
    return short
