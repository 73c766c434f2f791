"""What a command says of itself, what a shell completes of it, and how what was typed is read."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Iterator, Mapping

import click
from click.shell_completion import CompletionItem
from click.types import StringParamType

from seaflow.base.shipped import examples, page_of, pages
from seaflow.base.tables import read_table
from seaflow.present.layout import NARROW

# One for each command; it works in an empty folder once the boat it names was written there.
_EXAMPLES = {
    "balance": "balance motor-three-units.toml",
    "baseline": 'baseline ketch-one-unit.toml --sea "24 degC"',
    "check": "check ketch-one-unit.toml",
    "diagnose": 'diagnose ketch-one-unit.toml --sea "27 degC" --discharge "43 degC" --bucket 110',
    "energy": "energy battery-sloop-variable.toml",
    "example": "example battery-sloop-variable",
    "explain": "explain K02 placing",
    "heating": "heating ketch-one-unit.toml",
    "improve": "improve ketch-one-unit.toml",
    "new": "new my-boat.toml",
    "page": "page ketch-one-unit.toml -o ketch.html",
    "parts": "parts pumps demo-mag-medium-230 --curve",
    "place": "place ketch-one-unit.toml -o place.svg",
    "schema": "schema case -o case.schema.json",
    "size": "size ketch-one-unit.toml",
    "survey": "survey badly-arranged.toml -o survey.html",
}
# What to type without a file, where that goes too.
_WITHOUT_FILE = {
    "new": 'new her.toml --boat "catamaran 13.5 m 2012" --unit "2 x 12000 BTU/h"',
    "page": 'page --boat "12 m sloop" --unit 16k -o sloop.html',
    "place": 'place --boat "40 ft ketch" --unit "16000 BTU/h"',
    "size": 'size --boat "12 m sloop" --unit 16k --sea "Lesser Antilles"',
    "survey": 'survey --boat "motor yacht 15 m" --unit "2 x 9k"',
}
_BOAT, _READINGS, _REST = "The boat", "Readings", "Options"
_ANSWER, _DRAWS = "Answer", "Parts and draws"
_GROUP_OF = {
    **dict.fromkeys(("boat", "unit", "supply", "sea", "pump", "battery"), _BOAT),
    **dict.fromkeys(("full", "section", "json_", "units", "output"), _ANSWER),
    **dict.fromkeys(("summary", "go_on", "checklist"), _ANSWER),
    **dict.fromkeys(("parts", "samples", "seed", "draws"), _DRAWS),
}
_FEW = 5  # options that need no groups
_A_READING = "bucket"  # marks a command that takes readings


Words = Callable[[click.Context], Mapping[str, str] | Iterable[str]]


class Offered(StringParamType):
    """Text that is taken as it stands; a shell is offered words for it, or else names of files.

    Where `words` gives a mapping, a shell that can shows what each word stands for.
    """

    def __init__(self, words: Words | None = None) -> None:
        self.words = words

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Return what may stand here."""
        if self.words is None:
            return [CompletionItem(incomplete, type="file")]
        words = self.words(ctx)
        meaning = words if isinstance(words, Mapping) else dict.fromkeys(words)
        return [
            CompletionItem(word, help=said)
            for word, said in meaning.items()
            if word.startswith(incomplete)
        ]


class HelpText(click.HelpFormatter):
    """A help text that a narrow terminal has room for: what an option means stands below it.

    What is to be typed is never folded, for then it could not be copied.
    """

    def write_usage(self, prog: str, args: str = "", prefix: str | None = None) -> None:
        """Write how the command is called."""
        if self.width > NARROW:
            super().write_usage(prog, args, prefix)
        else:
            self.write(self._filled(f"{prefix or 'Usage: '}{prog} {args}", 0))

    def write_dl(
        self, rows: Iterable[tuple[str, str]], col_max: int = 30, col_spacing: int = 2
    ) -> None:
        """Write names and what they mean."""
        if self.width > NARROW:
            super().write_dl(rows, col_max, col_spacing)
            return
        for name, meaning in rows:
            self.write(self._filled(name, self.current_indent))
            self.write(self._filled(meaning, self.current_indent + 2))

    def _filled(self, said: str, indent: int) -> str:
        first, rest = " " * indent, " " * (indent + 2)
        return f"{textwrap.fill(said, self.width, initial_indent=first, subsequent_indent=rest)}\n"


class HelpContext(click.Context):
    """Where a command runs; its help text keeps to the terminal."""

    formatter_class = HelpText


class Command(click.Command):
    """A command with its options in groups, and an example."""

    context_class = HelpContext

    @classmethod
    def of(cls, command: click.Command) -> Command:
        """Return a command as one that says all this of itself."""
        for param in command.params:
            offered = _offered(command, param)
            if offered is not None:
                param.type = offered
        made = cls(command.name, callback=command.callback, params=command.params)
        made.help = command.help
        return made

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read what was typed; an option that counts once may not be given twice and differ.

        Raises
        ------
        click.UsageError
            If one is, or what was typed is no option of the command.
        """
        once = [
            param
            for param in self.params
            if isinstance(param, click.Option) and not (param.multiple or param.is_flag)
        ]
        parser = self.make_parser(ctx)
        for param in once:
            parser.add_option(param, param.opts, param.name, action="append")
        typed, *_ = parser.parse_args(list(args))
        for param in () if set(ctx.help_option_names) & set(args) else once:
            values = [f'"{value}"' for value in dict.fromkeys(typed.get(str(param.name), ()))]
            if len(values) > 1:
                name, told = max(param.opts, key=len), " and ".join(values)
                raise click.UsageError(f"{name} is given as {told}. Give it once.", ctx)
        return super().parse_args(ctx, args)

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the options, several kinds apart."""
        groups: dict[str, list[tuple[str, str]]] = {}
        options = [param for param in self.get_params(ctx) if isinstance(param, click.Option)]
        found = [(param, record) for param in options if (record := param.get_help_record(ctx))]
        readings = _reading_options(self)
        for param, record in found:
            name = str(param.name)
            group = _READINGS if name in readings else _GROUP_OF.get(name, _REST)
            groups.setdefault(_REST if len(found) <= _FEW else group, []).append(record)
        for title in (_BOAT, _READINGS, _REST, _ANSWER, _DRAWS):
            if title in groups:
                with formatter.section(title):
                    formatter.write_dl(groups[title])

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the example, and where more is said."""
        name = str(self.name)
        with formatter.section("Example"):
            for line in example_lines(name):
                formatter.write(f"{'':>{formatter.current_indent}}{line}\n")
        formatter.write_paragraph()
        formatter.write_text(f"More: seaflow explain {page_of(name)}")


def example_lines(command: str) -> Iterator[str]:
    """Yield the example of a command: what to type, in an empty folder, one line after another."""
    words = _EXAMPLES[command]
    for name, path in examples().items():
        if path.name in words:
            yield f"seaflow example {name}"
    yield f"seaflow {words}"
    if command in _WITHOUT_FILE:
        yield f"seaflow {_WITHOUT_FILE[command]}"


def _reading_options(command: click.Command) -> set[str]:
    """Return the names of the options that give a reading."""
    names = {str(param.name) for param in command.params}
    if _A_READING not in names:
        return set()
    table = read_table("instruments.toml")
    return names & {*table["number"], *table["sign"], _A_READING, "mode", "load", "tried"}


def _offered(command: click.Command, param: click.Parameter) -> Offered | None:
    """Return what a shell is offered for an argument or option; None to leave that to click."""
    name = str(param.name)
    metavar = param.metavar or name.upper()
    if metavar.strip("[].") == "CASE" or metavar.startswith("FILE"):
        return Offered()
    if name in _reading_options(command):
        sign = read_table("instruments.toml")["sign"].get(name)
        words = ("cooling", "heating") if name == "mode" else sign["healthy"] if sign else ()
        return Offered(lambda _: words) if words else None
    if name == "name":
        return Offered(_names) if command.name == "parts" else None
    return Offered(_KNOWN[name]) if name in _KNOWN else None


def _pumps(_: click.Context) -> Mapping[str, str]:
    return _titles("pumps")


def _tables(_: click.Context) -> Iterable[str]:
    from seaflow.boat.parts.catalogue import TABLES

    return TABLES


def _names(ctx: click.Context) -> Mapping[str, str]:
    from seaflow.boat.parts.catalogue import TABLES

    table = ctx.params.get("table")
    return _titles(table) if table in TABLES else {}


def _titles(table: str) -> Mapping[str, str]:
    from seaflow.boat.parts.catalogue import Catalogue

    return {name: str(row.get("title", "")) for name, row in Catalogue().rows(table).items()}


def _topics(_: click.Context) -> Mapping[str, str]:
    codes = {code: str(row["title"]) for code, row in read_table("problems.toml").items()}
    return {**codes, **dict.fromkeys(pages(), "")}


def _sections(ctx: click.Context) -> Mapping[str, str]:
    words: Mapping[str, str] = read_table("sections.toml")[str(ctx.command.name)]
    return words


_KNOWN = {"pump": _pumps, "section": _sections, "table": _tables, "topics": _topics}
