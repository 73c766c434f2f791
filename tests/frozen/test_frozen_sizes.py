"""Frozen numbers: what the shipped boats were answered when these were last looked at.

They prove nothing but that the answer has not moved. After a change that is meant to move it,
look at what moved and why, then write them anew with

    python tests/frozen/test_frozen_sizes.py
"""

import json
import sys
from pathlib import Path

import pytest

FILE = Path(__file__).with_name("sizes.json")
HELPERS = Path(__file__).parents[1] / "helpers"
# Settled heads leave flows good to about 1e-9; libraries and processors round differently.
MOVED = 1e-6  # relative

if str(HELPERS) not in sys.path:  # when run as a script
    sys.path.insert(0, str(HELPERS))

from sizing import NAMES, sized  # noqa: E402

pytestmark = pytest.mark.frozen


def numbers_of(name):
    """Needs, heads, ranking and operating points of one shipped boat."""
    return {loop.name: loop_numbers(loop) for loop in sized(name).loops}


def loop_numbers(loop):
    return {
        "needs": {
            need.name: [need.flow, need.least, need.heat_rejected, need.condensing_temperature]
            for need in loop.needs
        },
        "heads": [loop.heads.flow, loop.heads.head, loop.heads.friction],
        "ranking": [
            f"{item.part.name}: {'yes' if item.judgement.recommended else 'no'}"
            for item in loop.pumps
        ],
        "flow": {item.part.name: [at.flow for at in item.at] for item in loop.pumps},
        "head": {item.part.name: [at.head for at in item.at] for item in loop.pumps},
        "power": {item.part.name: [at.power for at in item.at] for item in loop.pumps},
        "bores": {item.thing: [item.suggested, item.velocity] for item in loop.bores},
    }


def flat(value, path=""):
    """Every leaf of nested dictionaries and lists, by its path."""
    if isinstance(value, dict):
        return {
            k: v for name, item in value.items() for k, v in flat(item, f"{path}/{name}").items()
        }
    if isinstance(value, list):
        pairs = enumerate(value)
        return {k: v for number, item in pairs for k, v in flat(item, f"{path}/{number}").items()}
    return {path: value}


@pytest.mark.parametrize("name", NAMES)
def test_the_answer_has_not_moved(name):
    frozen = flat(json.loads(FILE.read_text(encoding="utf-8"))[name])
    now = flat(json.loads(json.dumps(numbers_of(name))))
    assert set(now) == set(frozen)
    for path, value in frozen.items():
        if isinstance(value, float):
            assert now[path] == pytest.approx(value, rel=MOVED), path
        else:
            assert now[path] == value, path


def kept(old, new):
    """The new value, with every number that has not moved left as it was written."""
    if isinstance(new, dict) and isinstance(old, dict):
        return {name: kept(old.get(name), item) for name, item in new.items()}
    if isinstance(new, list) and isinstance(old, list) and len(new) == len(old):
        return [kept(before, now) for before, now in zip(old, new, strict=True)]
    both = isinstance(new, float) and isinstance(old, float)
    return old if both and new == pytest.approx(old, rel=MOVED) else new


if __name__ == "__main__":
    was = json.loads(FILE.read_text(encoding="utf-8"))
    now = json.loads(json.dumps({name: numbers_of(name) for name in NAMES}))
    text = json.dumps(kept(was, now), indent=1, ensure_ascii=False)
    FILE.write_text(text + "\n", encoding="utf-8")
    print(f"wrote {FILE.name}")
