"""Cases for tests of the size study: shipped ones, and shipped ones with a few words changed."""

import random
import re
from functools import cache
from pathlib import Path

from seaflow.base.problems import SeaflowError
from seaflow.boat import network
from seaflow.boat.load import load_case
from seaflow.model.build import build_loop
from seaflow.studies.design.need import unit_needs
from seaflow.studies.size.size import size

FOLDER = Path(__file__).parents[2] / "cases"
NAMES = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))
OF_A_LOOP = ("diagnose", "baseline")
KETCH, MOTOR, CATAMARAN = "ketch-one-unit", "motor-three-units", "catamaran-two-loops"
SLOOP, BAD = "battery-sloop-variable", "badly-arranged"


def path_of(name):
    """The file of a shipped case."""
    return FOLDER / f"{name}.toml"


def text_of(name):
    """The text of a shipped case."""
    return path_of(name).read_text(encoding="utf-8")


def edited(text, *changes):
    """The text with each (old, new) changed; every old must stand in it exactly once."""
    for old, new in changes:
        assert text.count(old) == 1, (old, text.count(old))
        text = text.replace(old, new)
    return text


def said_of(folder, text, *changes):
    """What is said of a case with texts replaced: its problems, or else its warnings."""
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    try:
        return load_case(str(written(folder, text, "boat.toml"))).warnings
    except SeaflowError as error:
        return error.problems


def shuffled(text, seed):
    """The same case with its sections in another order."""
    first, *sections = re.split(r"^(?=\[)", text, flags=re.MULTILINE)
    random.Random(seed).shuffle(sections)
    return first + "\n".join(sections)


def written(folder, text, name="case.toml"):
    """The file that now holds this text."""
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return file


def load_text(folder, text):
    """The case in this text."""
    return load_case(str(written(folder, text))).case


@cache
def shipped(name):
    """A shipped case."""
    return load_case(str(path_of(name))).case


@cache
def sized(name):
    """The answer for a shipped case, without samples."""
    return size(shipped(name), 0)


def built_loops(case):
    """The loops of a case with the first pump of the catalogue everywhere."""
    part = case.catalogue.pumps()[0]
    return [
        build_loop(case, found, {place.name: part for place in found.pumps})
        for found in network.loops(case)
    ]


def needs_of(case):
    """The needs of all units of a case, by name."""
    return {need.name: need for built in built_loops(case) for need in unit_needs(case, built)}


def ranking(answer):
    """What a reader of the ranking sees: loop by loop, each pump and whether it will do."""
    return {
        loop.name: [(item.part.name, item.judgement.recommended) for item in loop.pumps]
        for loop in answer.loops
    }


def loop_words(command, file):
    """The words that name a loop of a file, for a command that is asked of one of several."""
    found = network.loops(load_case(str(file)).case) if command in OF_A_LOOP else ()
    return ("--loop", found[0].name) if len(found) > 1 else ()
