"""The same boat in disguise: a case as raw data, told in another way, and answers compared.

A case is what `tomllib` makes of its file. Each disguise returns a new one that means the same.
"""

import copy
import json
import re
import tomllib
from functools import lru_cache
from pathlib import Path

from click.testing import CliRunner
from sizing import OF_A_LOOP

from seaflow.base.glossary import glossary_entry
from seaflow.base.spread import has_spread, read_with_spread, without_typical
from seaflow.base.units import factor_and_offset
from seaflow.boat.case import Case
from seaflow.boat.defaults import default
from seaflow.boat.keys import keys_of
from seaflow.cli.main import main

COMMANDS = {
    "size": ("--samples", "32"),
    "place": (),
    "survey": (),
    "balance": (),
    "improve": ("--samples", "16"),
    "energy": (),
    "diagnose": ("--draws", "512"),
    "baseline": (),
    "heating": (),
}
ROUNDING = 1e-6  # relative, of answers from sums in another order, and heads settled to 1e-9 m
# What is told piece by piece: a hose in two is two pieces, and a joint.
# Sentences run on, some of them with a capital; marks of rows, and the ends of a run in a sketch,
# and paths of values count the rows of a table.
CARD = ("card", "ledger", "mark", "number", "ends", "path")
PIECES = (
    *CARD,
    *("items", "bores", "legs", "points", "points_seen", "points_told", "assumptions"),
    *("points_now", "points_before"),
    "points_not_accessible",
    *("findings", "kept", "look_at", "validity", "missing"),  # of each piece or point
)
HALVES = ("first", "second")
# Tables of things with a name of their own, and the keys by which others mean them.
NAMED = (
    *("through_hull", "sea_chest", "seacock", "strainer", "pump", "check_valve", "tee", "manifold"),
    *("reducer", "vented_loop", "flush_tee", "unit", "outlet", "hose", "skin_fitting"),
    *("compartment", "pump_place", "intake_place"),  # and not of duties: "at night" says when
)
MEANS = ("name", "from", "to", "on", "compartment", "pump", "intake", "between", "faces", "loop")
OTHER_UNITS = {
    "m": ("ft", "cm"),
    "m2": ("cm2", "in2"),
    "m3/s": ("gpm", "L/h"),
    "degC": ("degF",),
    "K": ("delta degF",),
    "W": ("kW", "BTU/h"),
    "Pa": ("psi", "kPa"),
    "rad": ("rad",),
    "V": ("mV",),
    "s": ("min",),
    "A s": ("Ah",),
    "kg": ("lb",),
    "-": ("%",),
}
UNSURE = {"m": None, "m3/s": None, "W": None, "m2": None, "degC": "1 K", "V": "5 V"}  # how far
STEPS = {"degF": "delta degF"}  # of a scale that does not begin at nothing


def read(path):
    """A case file as raw data."""
    return tomllib.loads(Path(path).read_text(encoding="utf-8"))


def written(raw):
    """Raw data as the text of a case file."""
    lines = [f"{key} = {_value(raw[key])}" for key in raw if not _is_table(raw[key])]
    for table, content in raw.items():
        for row in content if isinstance(content, list) and _is_table(content) else (content,):
            if _is_table(content):
                head = f"[[{table}]]" if isinstance(content, list) else f"[{table}]"
                lines += ["", head, *(f"{key} = {_value(value)}" for key, value in row.items())]
    return "\n".join(lines) + "\n"


def _is_table(value):
    return isinstance(value, dict) or (
        isinstance(value, list) and bool(value) and isinstance(value[0], dict)
    )


def _value(value):
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_value(item)}" for key, item in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_value(item) for item in value) + "]"
    return json.dumps(value, ensure_ascii=False)


def answer(folder, raw, *words):
    """What a command answers about a case, as data; None where the case is refused."""
    return _answered(str(folder), written(raw), *words)


@lru_cache(64)  # one boat meets several disguises
def _answered(folder, text, *words):
    file = Path(folder) / "boat.toml"
    file.write_text(text, encoding="utf-8")
    command, *options = words
    done = CliRunner().invoke(main, [command, str(file), "--json", *options])
    assert done.exit_code in (0, 1, 2, 3), (done.exception, done.output)
    return None if done.exit_code == 2 else json.loads(done.stdout)


def names_in(raw):
    """Every name that a case gives to something."""
    things = [thing for table in NAMED for thing in raw.get(table, ())]
    found = [thing["name"] for thing in things if "name" in thing]
    found += [user["name"] for thing in things for user in thing.get("also_feeds", ())]
    found += [pump["name"] for pump in raw.get("seen", {}).get("bilge_pump", ())]
    found += [thing["loop"] for thing in things if "loop" in thing]
    return list(dict.fromkeys(found))


def renamed(raw, names):
    """The case with other names, by old name."""

    def change(value, key=""):
        if isinstance(value, dict):
            return {name: change(item, name) for name, item in value.items()}
        if isinstance(value, list):
            return [change(item, key) for item in value]
        return names.get(value, value) if key in MEANS else value

    return {
        table: change(content) if table not in ("boat", "meta") else content
        for table, content in raw.items()
    }


def begun(name):
    """A name as it begins a sentence."""
    return f"{name[:1].upper()}{name[1:]}"


def with_names_back(data, names):
    """An answer about a renamed case, in the old names."""
    text = json.dumps(data, ensure_ascii=False)
    for old, new in sorted(names.items(), key=lambda pair: -len(pair[1])):
        text = text.replace(new, old).replace(begun(new), begun(old))
    return json.loads(text)


def reordered(raw, shuffle):
    """The case with its tables, and the rows and keys of each, in another order.

    What a row means by being the first is written out before.
    """
    raw = copy.deepcopy(raw)
    for table, key, first in (("pump_place", "pump", "pump"), ("intake_place", "intake", None)):
        intakes = [*raw.get("through_hull", ()), *raw.get("sea_chest", ())]
        for row in raw.get(table, ()):
            row.setdefault(key, (raw[first] if first else intakes)[0]["name"])
    found = {}
    for table in shuffle(list(raw)):
        content = raw[table]
        if isinstance(content, dict):
            content = {key: content[key] for key in shuffle(list(content))}
        elif _is_table(content):
            follow = table == "duty" and any("start" not in row for row in content)
            rows = content if follow else shuffle(content)
            content = [{key: row[key] for key in shuffle(list(row))} for row in rows]
        found[table] = content
    return found


def with_quantities(raw, told):
    """The case with every quantity told anew; `told` is given its text, its key and its unit."""

    def change(record, table):
        known = {spelled: key for _, spelled, key in keys_of(record)}
        return {
            name: each(known[name], value) if name in known else value
            for name, value in table.items()
        }

    def each(key, value):
        if isinstance(value, list) and key.many:
            return [each(key, item) for item in value]
        if isinstance(value, dict) and key.of is not None:
            return change(key.of, value)
        unit = glossary_entry(key.quantity).unit if key.quantity else None
        return told(str(value), key, unit) if unit else value

    return change(Case, raw)


def in_other_units(raw, choose):
    """The case with every quantity in another unit; `choose` picks one of several."""
    return with_quantities(raw, lambda text, _, unit: _in_another(text, unit, choose))


def _in_another(text, unit, choose):
    if unit not in OTHER_UNITS:
        return text
    shown = choose(OTHER_UNITS[unit])
    number, half = read_with_spread(without_typical(text), unit)
    factor, offset = factor_and_offset(unit, shown)
    told = f"{factor * number + offset!r} {shown}"
    if without_typical(text) != text:
        told += " typical"
    return told if half is None else f"{told} +/- {factor * half:.9g} {STEPS.get(shown, shown)}"


def half_known(raw, rng):
    """The case with four in ten of its lengths, flows, plates and the like unsure or typical."""

    def told(text, key, unit):
        if unit not in UNSURE or has_spread(text) or rng.random() > 0.4:
            return text
        half = UNSURE[unit] or f"{rng.choice((5, 10))} %"
        return f"{text} {rng.choice(('typical ', ''))}+/- {half}"

    return with_quantities(raw, told)


def with_defaults(raw):
    """The case with every key that has a default written at it."""

    def change(record, table):
        found = dict(table)
        for _, name, key in keys_of(record):
            if name in found and isinstance(found[name], dict) and key.of is not None:
                found[name] = change(key.of, found[name])
            elif name in found and key.of is not None and key.many:
                found[name] = [change(key.of, row) for row in found[name]]
            elif name not in found and key.default:
                found[name] = default(key.default).text
        return found

    return change(Case, {"design": {}, **raw})


def can_be_split(raw, row):
    """Whether a hose can be told as two that are the same boat.

    Its points on the way lie evenly on both sides. Where its two ends and points lie is known, or a
    joint at a known place would be more than was told. What is unsure of all hoses is measured with
    one tape, so that halves go together; but nothing of it is typical, or length and bore of each
    half would be drawn by themselves, and the two together be surer than the whole.
    """
    hose = raw["hose"][row]
    via = hose.get("via", [])
    heights = [_place(raw, hose[end]).get("height", "") for end in ("from", "to")]
    heights += [place["height"] for place in via]
    unsure = any(map(has_spread, heights))
    typical = any(without_typical(text) != text for text in (*heights, *_texts(hose)))
    return (len(via) % 2 == 1 or not via) and not unsure and not typical


def _texts(value):
    if isinstance(value, (dict, list)):
        every = value.values() if isinstance(value, dict) else value
        return [text for one in every for text in _texts(one)]
    return [value] if isinstance(value, str) else []


def split_hose(raw, row):
    """The case with one hose in two of half length, joined by nothing that costs head."""
    raw = copy.deepcopy(raw)
    hose = raw["hose"][row]
    via = hose.pop("via", [])
    middle = len(via) // 2
    place = via[middle] if via else _between(_place(raw, hose["from"]), _place(raw, hose["to"]))
    place = {key: f"{_number(text)!r} m" for key, text in place.items()}
    bore = f"{_number(hose['bore'])!r} m"
    joint = {"name": point_on(hose), "bore": bore}
    joint |= {"second_bore": bore, "loss": "0"}
    joint |= {"at": place} if "aft" in place else place
    fittings = list(hose["fittings"])
    last = len(fittings) - 1 - fittings[::-1].index("hose barb")
    name = name_of(hose)
    half = {**hose, "length": _half(hose["length"])}
    one = {**half, "to": joint["name"], "name": f"{name}, {HALVES[0]} half"}
    one["fittings"] = fittings[:last] + fittings[last + 1 :]
    other = {**half, "from": joint["name"], "name": f"{name}, {HALVES[1]} half"}
    other["fittings"] = ["hose barb"]
    other.pop("balancing_valve", None)
    if via[:middle]:
        one["via"], other["via"] = via[:middle], via[middle + 1 :]
    raw.setdefault("reducer", []).append(joint)
    raw["hose"][row : row + 1] = [one, other]
    return raw


def point_on(hose):
    """What a point on its way is called."""
    on = hose.get("name", f"the hose from {hose['from']} to {hose['to']}")
    return f"the point on {on}"


def _number(text):
    """A length without how sure it is [m]."""
    return read_with_spread(without_typical(text), "m")[0]


def _half(length):
    """Half of a length, as sure as the whole."""
    number, half = read_with_spread(length, "m")
    told = f"{0.5 * number!r} m"
    return told if half is None else f"{told} +/- {0.5 * half:.9g} m"


def name_of(hose):
    """What a hose is called, with a name of its own or without."""
    return hose.get("name", f"hose {hose['from']} to {hose['to']}")


def _place(raw, name):
    """Where the thing that a hose names stands, as keys of a place."""
    things = {thing.get("name"): thing for table in NAMED for thing in raw.get(table, ())}
    thing = things[things[name].get("on", name)]
    return thing.get("at", {key: thing[key] for key in ("height",) if key in thing})


def _between(one, other):
    return {
        key: f"{0.5 * (_number(one[key]) + _number(other[key]))!r} m" for key in one if key in other
    }


def with_barbs(raw):
    """The case with two barbs written on every hose that names none."""
    raw = copy.deepcopy(raw)
    for hose in raw["hose"]:
        fittings = hose.get("fittings", [])
        if "hose barb" not in fittings:
            hose["fittings"] = ["hose barb", *fittings, "hose barb"]
    return raw


def _as_one_hose(data):
    """An answer with two pieces of a hose named once; without clamps: a dry half takes fewer."""
    if isinstance(data, dict):
        return {key: _as_one_hose(item) for key, item in data.items()}
    if not isinstance(data, list):
        return data
    kept = [item for item in data if not (isinstance(item, dict) and item.get("kind") == "clamp")]
    words = all(isinstance(item, str) for item in kept)
    return list(dict.fromkeys(kept)) if words else [_as_one_hose(item) for item in kept]


def _less_what_names(data, point):
    """An answer without what asks for a joint to be moved as the ends of the hose have to be."""
    if isinstance(data, list):
        return [_less_what_names(item, point) for item in data]
    if not isinstance(data, dict):
        return data
    return {
        key: [item for item in value if point not in json.dumps(item, ensure_ascii=False)]
        if key in ("reasons", "moves") and isinstance(value, list)
        else _less_what_names(value, point)
        for key, value in data.items()
    }


def without(data, keys):
    """An answer without some keys, wherever they stand."""
    if isinstance(data, dict):
        return {key: without(item, keys) for key, item in data.items() if key not in keys}
    return [without(item, keys) for item in data] if isinstance(data, list) else data


def differences(one, other, tolerance, any_order=False, where=""):
    """Where two answers differ by more than rounding; words count, and numbers in them."""
    if isinstance(one, dict) and isinstance(other, dict):
        if set(one) != set(other):
            return [f"{where}: keys {sorted(set(one) ^ set(other))}"]
        pairs = [(one[key], other[key], f"{where}.{key}") for key in one]
    elif isinstance(one, list) and isinstance(other, list):
        if len(one) != len(other):
            return [f"{where}: {len(one)} and {len(other)} items"]
        if any_order:
            one, other = sorted(one, key=_rank), sorted(other, key=_rank)
        pairs = [(a, b, f"{where}[{i}]") for i, (a, b) in enumerate(zip(one, other, strict=True))]
    elif _same(one, other, tolerance, any_order):
        return []
    else:
        return [f"{where}: {one!r} and {other!r}"]
    return [text for a, b, at in pairs for text in differences(a, b, tolerance, any_order, at)]


def _rank(value):
    """An order of items that rounding does not change: by their words, then roughly by numbers."""
    text = json.dumps(_ranked(value), sort_keys=True)
    numbers = [float(f"{float(found):.3g}") for found in _NUMBER.findall(text)]
    return sorted(re.split(r"\W+", _NUMBER.sub("", text))), numbers


def _ranked(value):
    if isinstance(value, dict):
        return {key: _ranked(item) for key, item in value.items()}
    return sorted(map(_ranked, value), key=_rank) if isinstance(value, list) else value


_NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[+-]?\d+)?")


def _same(one, other, tolerance, any_order):
    if isinstance(one, bool) or one is None or isinstance(other, bool) or other is None:
        return one is other
    if isinstance(one, (int, float)) and isinstance(other, (int, float)):
        return abs(one - other) <= tolerance * max(abs(one), abs(other), 1e-2)
    if not isinstance(one, str) or not isinstance(other, str):
        return False
    words = [_NUMBER.sub("#", text) for text in (one, other)]
    if any_order:
        words = [sorted(re.split(r"\W+", text.casefold())) for text in words]  # any may begin it
    numbers = [_NUMBER.findall(text) for text in (one, other)]
    return words[0] == words[1] and (
        sorted(numbers[0]) == sorted(numbers[1])
        or all(_as_shown(a, b) for a, b in zip(*numbers, strict=True))
    )


def _as_shown(one, other):
    """Whether two numbers of a sentence differ by no more than a unit of their last digit."""
    digits = len(one.partition(".")[2])
    return abs(float(one) - float(other)) <= 1.01 * 10.0**-digits


def asked(folder, raw, command, loop=None):
    """What a command answers; a diagnosis and a sheet are of one loop."""
    options = ("--loop", loop) if command in OF_A_LOOP and loop else ()
    return answer(folder, raw, command, *COMMANDS[command], *options)


def first_loop(raw):
    intake = [*raw.get("through_hull", ()), *raw.get("sea_chest", ())][0]
    return intake.get("loop", intake["name"])


def same_told_otherwise(folder, raw, rng, commands=tuple(COMMANDS)):
    """Differences of commands between a boat and the same with other names, order and units."""

    def shuffled(items):
        return rng.sample(items, len(items))

    raw = with_barbs(raw)
    old = names_in(raw)
    names = {name: f"{rng.choice('AQmz')}x{i}y" for i, name in enumerate(shuffled(old))}
    other = reordered(in_other_units(renamed(raw, names), rng.choice), shuffled)
    loop = first_loop(raw)
    for command in commands:
        one = asked(folder, raw, command, loop)
        told = asked(folder, other, command, names[loop])
        if one is None or told is None:
            assert one is told, command
            continue
        one, told = without(one, CARD), without(with_names_back(told, names), CARD)
        for text in differences(one, told, ROUNDING, any_order=True):
            yield f"{command}{text}"


def same_in_two_pieces(folder, raw, rng):
    """Differences of commands between a boat and the same with a hose in two."""
    # a place lays the hoses beside the pump anew, up to the next thing; improve takes long
    kept = [name for name in COMMANDS if name not in ("place", "improve")]
    return in_two_pieces(folder, raw, row_to_split(raw, rng), kept)


def row_to_split(raw, rng):
    """One of the hoses that can be told as two, None where of each too little is sure."""
    found = [row for row in range(len(raw["hose"])) if can_be_split(raw, row)]
    return rng.choice(found) if found else None


def in_two_pieces(folder, raw, row, commands):
    """Differences of some commands between a boat and the same with this hose in two."""
    raw = with_barbs(raw)
    other, name = split_hose(raw, row), name_of(raw["hose"][row])
    for command in commands:
        one, told = (asked(folder, boat, command, first_loop(raw)) for boat in (raw, other))
        if one is not None:
            one = _as_one_hose(one)
            for half in HALVES:
                told = with_names_back(told, {name: f"{name}, {half} half"})
            told = _as_one_hose(told)
            if not raw["hose"][row].get("via"):
                told = _less_what_names(told, point_on(raw["hose"][row]))
            for text in differences(without(one, PIECES), without(told, PIECES), ROUNDING):
                yield f"{command}{text}"
