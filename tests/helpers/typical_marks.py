"""Shipped cases with values marked typical, in memory: what an answer then draws."""

from dataclasses import is_dataclass, replace

from seaflow.boat.keys import keys_of

# By last word of the path: how far such boats are taken to differ here, as a share or in SI.
SHARES = {
    **{"bore": 0.15, "length": 0.3, "port": 0.15, "basket_area": 0.4, "conductor": 0.3},
    **{"head": 0.3, "pressure": 0.3, "rated": 0.2, "least": 0.2, "cooling": 0.1},
    **{"input_power": 0.2, "roughness": 0.5, "clean_loss": 0.4, "capacity": 0.2, "hours": 0.2},
}
WIDTHS = {
    **{
        "height": 0.2,
        "aft": 0.5,
        "starboard": 0.4,
        "warmest": 2.0,
        "coldest": 2.0,
        "salinity": 2.0,
    },
    **{"lowest_voltage": 5.0, "highest_voltage": 5.0, "freeboard": 0.2, "beam": 0.3},
}


def numbers(record, path=()):
    """Every path to a number that a key of the case holds, with the number."""
    for name, spelled, _ in keys_of(type(record)):
        value = getattr(record, name)
        for place, one in enumerate(value) if isinstance(value, tuple) else [(None, value)]:
            here = (*path, spelled) if place is None else (*path, spelled, place)
            if is_dataclass(one):
                yield from numbers(one, here)
            elif isinstance(one, float):
                yield here, one


def marked(case, *tables):
    """A case in which every number of these tables that can be typical is so."""
    found = {}
    for path, value in numbers(case):
        last = next(part for part in reversed(path) if isinstance(part, str))
        if tables and path[0] not in tables:
            continue
        if last in SHARES and value > 0.0:
            found[path] = SHARES[last] * value
        elif last in WIDTHS:
            found[path] = WIDTHS[last]
    return replace(case, spreads=found, typical=frozenset(found))


def known(case, *paths):
    """A case in which some typical values have become known."""
    left = {path: half for path, half in case.spreads.items() if path not in paths}
    return replace(case, spreads=left, typical=case.typical & set(left))
