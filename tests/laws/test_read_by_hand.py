"""What a key of a case takes and what it does not, asked of the reader key by key."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from seaflow.boat import seas
from seaflow.boat.case import Case
from seaflow.boat.keys import keys_of
from seaflow.boat.reader import record


def all_keys(kind, seen=()):
    """All keys of a record and of those in it."""
    for name, _, declared in keys_of(kind):
        if declared.of is not None and declared.of not in seen:
            yield from all_keys(declared.of, (*seen, declared.of))
        yield name, declared


CHOICES = [(name, one) for name, one in all_keys(Case) if one.choices]


class Heard:
    """A reading that only keeps what was found wrong."""

    def __init__(self):
        self.found = []

    def at_key(self, code, path, fault, **rest):
        self.found.append((code, path, rest))


@pytest.mark.parametrize(("name", "declared"), CHOICES)
def test_a_choice_takes_each_of_its_words_and_no_other(name, declared):
    for word in declared.choices:
        heard = Heard()
        assert record._one(word, declared, ("boat", name), heard) == word and not heard.found
    heard = Heard()
    assert record._one("no such word", declared, ("boat", name), heard) == declared.choices[0]
    ((code, path, rest),) = heard.found
    assert (code, path) == ("K11", ("boat", name))
    assert all(f'"{word}"' in rest["write"] for word in declared.choices)


def test_there_are_choices_and_a_text_of_another_key_is_free():
    assert len(CHOICES) > 10
    free = replace(CHOICES[0][1], choices=())
    heard = Heard()
    assert record._one("no such word", free, ("boat", "name"), heard) == "no such word"
    assert not heard.found


@pytest.mark.parametrize(
    ("kind", "raw", "taken"),
    [
        ("flag", True, True),
        ("flag", "true", None),
        ("flag", 1, None),
        ("number", 3, 3),
        ("number", True, None),
        ("number", 3.0, None),
        ("text", "a", "a"),
        ("text", 3, None),
    ],
)
def test_a_value_of_another_kind_is_refused(kind, raw, taken):
    declared = replace(CHOICES[0][1], meaning="Of a boat.", choices=(), kind=kind)
    heard = Heard()
    assert record._one(raw, declared, ("boat", "name"), heard) == taken
    assert len(heard.found) == (taken is None)


def test_of_places_near_in_letters_two_are_offered_for_each_word(monkeypatch):
    alike = ("porta", "portb", "portc", "portd", "lagoa", "lagob", "lagoc")
    places = [(word, SimpleNamespace(name=word.upper())) for word in alike]
    monkeypatch.setattr(seas, "_names", lambda: places)
    one, two = seas._near("porte", []), seas._near("porte lagoe", [])
    assert len(one) == 2 and {name[:4] for name in one} == {"PORT"}
    assert 4 <= len(two) <= seas.NEAR and {name[:4] for name in two} == {"PORT", "LAGO"}
    likely = [place for _, place in places]
    assert seas._near("porte", likely) == tuple(place.name for place in likely[: seas.NEAR])
