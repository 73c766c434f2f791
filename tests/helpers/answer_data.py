"""What answers are made of: kinds of facts, and as data every number with its unit."""

MOST_WORDS = 60  # of an answer's first lines, cautions not counted
METRIC = r"\d ?(?:L/min|m|mm|kW|kPa|°C|K|m/s)(?![\w/])"


def bare_numbers(value, path=""):
    """Every number outside a value with its unit, facts, counts and the format, by its path."""
    if isinstance(value, dict):
        if set(value) == {"value", "unit"} or {"kind", "text"} <= set(value) or path == ".format":
            return
        for name, item in value.items():
            if name not in ("format", "drawn_boats", "n_pumps"):  # a version, and counts
                yield from bare_numbers(item, f"{path}.{name}")
    elif isinstance(value, list):
        for item in value:
            yield from bare_numbers(item, path)
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        yield path


def kinds_of(facts):
    """Kinds of some facts, in order."""
    return tuple(item.kind for item in facts)
