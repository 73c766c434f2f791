"""Records of answers with a few of their fields given, and what is told of answers in short."""

from dataclasses import MISSING, fields

L = 1.0 / 60000.0  # m3/s in a litre a minute


def made(kind, /, **given):
    """A record of a kind; what is not given and has no default is None."""
    missing = [one for one in fields(kind) if one.default is one.default_factory is MISSING]
    return kind(**{one.name: None for one in missing if one.init} | given)


def kinds_of(answer, said):
    """The kinds of facts, without the name of the answer that they belong to."""
    return [one.kind.removeprefix(f"{answer}.") for one in said]
