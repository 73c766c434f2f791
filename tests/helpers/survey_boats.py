"""The sound boat, and boats made from it by patches of its case."""

import copy
import tomllib
from functools import cache
from pathlib import Path

from seaflow.boat.load import load_case
from seaflow.forms.starter import value_text
from seaflow.studies.survey.gathered import evidence_of

FILE = Path(__file__).with_name("sound_boat.toml")
DROP = "drop"


@cache
def sound_case():
    return load_case(str(FILE)).case


@cache
def sound_evidence():
    return evidence_of(sound_case())


def patched(patch, file=FILE):
    """A case as data, the sound boat unless named, with values put in or taken away by path."""
    raw = copy.deepcopy(tomllib.loads(file.read_text(encoding="utf-8")))
    for path, value in patch.items():
        *way, last = [int(part) if part.isdigit() else part for part in path.split(".")]
        place = raw
        for part in way:
            place = place[part]
        if value == DROP:
            del place[last]
        elif isinstance(last, int) and last == len(place):
            place.append(value)
        else:
            place[last] = value
    return raw


def text_of(raw):
    """A case as TOML text."""
    lines = [f"schema = {raw['schema']}"]
    for name, content in raw.items():
        tables = content if isinstance(content, list) else [content]
        for item in tables:
            if isinstance(item, dict):
                lines += ["", f"[[{name}]]" if isinstance(content, list) else f"[{name}]"]
                lines += [f"{key} = {value_text(value)}" for key, value in item.items()]
    return "\n".join(lines) + "\n"


def case_of(raw, folder):
    """A case as data, read as any file is."""
    path = folder / "boat.toml"
    path.write_text(text_of(raw), encoding="utf-8")
    return load_case(str(path)).case


def case_with(patch, folder):
    """The case of a patched boat."""
    return case_of(patched(patch), folder)
