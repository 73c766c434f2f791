"""Studies that are asked once, for tests that look at many faces of one answer.

A command loads its case and asks its study anew for every face. Between the faces of one boat
nothing changes, so here a file is loaded once, and a study answers once to the same words.
"""

from contextlib import ExitStack, contextmanager
from functools import wraps
from importlib import import_module
from unittest.mock import patch

ASKED = (  # where the commands find them as they are asked
    ("forms.typical.boat", "load_case"),
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


@contextmanager
def each_asked_once():
    """Keep what is loaded and answered until the end; what was refused is asked again."""
    with ExitStack() as changed:
        for place, name in ASKED:
            module = import_module(f"seaflow.{place}")
            changed.enter_context(patch.object(module, name, _kept(getattr(module, name))))
        yield


def _kept(function):
    answers = {}

    @wraps(function)
    def asked(*words, **named):
        key = tuple(map(_key, (*words, *named, *named.values())))
        if key not in answers:  # the words are kept too, so that no identity comes twice
            answers[key] = function(*words, **named), words, named
        return answers[key][0]

    return asked


def _key(word):
    """What a word of a question is known by: its value, a loop's name, else that very object."""
    try:
        hash(word)
    except TypeError:
        return getattr(word, "name", None) or (repr(word) if not word else id(word))
    return word
