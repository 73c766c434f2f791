"""Records of answers with a few of their fields given, for what looks at no other."""

from dataclasses import MISSING, fields


def made(kind, /, **given):
    """A record of a kind; what is not given and has no default is None."""
    missing = [one for one in fields(kind) if one.default is one.default_factory is MISSING]
    return kind(**{one.name: None for one in missing if one.init} | given)
