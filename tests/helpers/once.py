"""Studies that are asked once, for tests that look at many faces of one answer.

A command asks its study anew for every face. Between the faces of one boat nothing changes, so here
a study answers once to the same words.
"""

import pickle
from contextlib import ExitStack, contextmanager
from copy import deepcopy
from dataclasses import fields, replace
from functools import lru_cache, wraps
from importlib import import_module
from unittest.mock import patch

from seaflow.boat.case import Case
from seaflow.boat.reader import text
from seaflow.studies.survey import gathered

ASKED = (  # where the commands find them as they are asked
    ("studies.size.size", "size"),
    ("studies.place.study", "place"),
    ("studies.balance.study", "balance"),
    ("studies.improve.study", "improve"),
    ("studies.energy.study", "energy"),
    ("studies.heating.study", "heating"),
    ("studies.survey.findings", "survey"),
    ("studies.baseline.sheet", "baseline"),
    ("studies.diagnose.answer", "setup_of"),
    ("studies.diagnose.answer", "diagnose"),
)


MOST_TEXTS = 64  # kept at once


@contextmanager
def each_text_read_once():
    """Keep the last texts that were read as TOML, with the places of their keys."""
    parsed = lru_cache(MOST_TEXTS)(text.parsed)

    def read(file, letters):
        found, raw = parsed(file, letters)
        return found, deepcopy(raw)  # those who read it take things out

    with patch.object(text, "parsed", read):
        yield


@contextmanager
def each_asked_once():
    """Keep what is loaded and answered until the end; what was refused is asked again."""
    with ExitStack() as changed:
        for place, name in ASKED:
            module = import_module(f"seaflow.{place}")
            changed.enter_context(patch.object(module, name, _kept(getattr(module, name), _values)))
        yield


def _kept(function, key_of):
    answers = {}

    @wraps(function)
    def asked(*words, **named):
        key = pickle.dumps(key_of(*words, **named))
        if key not in answers:
            answers[key] = function(*words, **named)
        return answers[key]

    return asked


def _values(*words, **named):
    """What the words of a question are known by: their values.

    How progress is told and where a case stands make no other answer.
    """
    every = (*words, *named, *named.values())
    plain = (replace(word, text=None) if isinstance(word, Case) else word for word in every)
    return [word for word in plain if not callable(word)]


@contextmanager
def each_loop_run_once():
    """Keep how a surveyed loop runs: what is only seen on a boat turns no pump faster.

    A loop is known by all that is recorded but what was seen, when, and in which file.
    """
    with ExitStack() as changed:
        for name in ("run_loop", "judged_with"):
            kept = _kept(getattr(gathered, name), _loop)
            changed.enter_context(patch.object(gathered, name, kept))
        yield


def _loop(case, network, *rest):
    return _unseen(case), network.name, rest[-1].name


def _unseen(case):
    """A case without what was seen of its things, on which visit, and its text."""
    kept = {field.name: getattr(case, field.name) for field in fields(case)}
    kept |= dict.fromkeys(("text", "seen", "visit", "finding"))
    for name, things in kept.items():
        if isinstance(things, tuple) and any(hasattr(one, "seen") for one in things):
            kept[name] = tuple(replace(one, seen=None) for one in things)
    return kept
