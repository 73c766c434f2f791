"""Frozen records behave as the library's own dataclasses do, made anew from the same class."""

import dataclasses
import pickle
from copy import copy

import pytest

from seaflow.base import records


class Plain:
    """One field without a default, one with, one that is made."""

    number: float
    name: str = "bilge"
    rows: list[int] = dataclasses.field(default_factory=list)
    told: str = dataclasses.field(default="", compare=False, metadata={"unit": "-"})


class Named:
    """Keywords after a word without one."""

    end: float
    start: float = dataclasses.field(default=1.0, kw_only=True)

    def __post_init__(self) -> None:
        if self.end < self.start:
            raise ValueError("the wrong way round")


class Single:
    """A single field."""

    number: float


class Empty:
    """Nothing."""


OF_A_TYPE = ("__dict__", "__weakref__")
BODIES = (Plain, Named, Single, Empty)
WORDS = {Plain: (2.0,), Named: (3.0,), Single: (float("nan"),), Empty: ()}


def both(body: type, **options: bool) -> list[type]:
    """Return the class made by the library and by seaflow."""
    kinds = []
    for maker in (dataclasses.dataclass, records.dataclass):
        again = type(body.__name__, (), {k: v for k, v in vars(body).items() if k not in OF_A_TYPE})
        again.__qualname__ = body.__qualname__
        kinds.append(maker(frozen=True, **options)(again))
    return kinds


@pytest.mark.parametrize("slots", [True, False])
@pytest.mark.parametrize("body", BODIES)
def test_a_record_is_what_the_library_makes(body: type, slots: bool) -> None:
    library, ours = both(body, slots=slots)
    theirs, mine = library(*WORDS[body]), ours(*WORDS[body])
    assert repr(mine) == repr(theirs)
    assert dataclasses.asdict(mine).keys() == dataclasses.asdict(theirs).keys()
    assert mine == copy(mine) and mine != theirs
    assert hasattr(mine, "__dict__") is hasattr(theirs, "__dict__") is not slots
    for entry in dataclasses.fields(ours):
        for change in (lambda name: setattr(mine, name, 0), lambda name: delattr(mine, name)):
            with pytest.raises(dataclasses.FrozenInstanceError):
                change(entry.name)


@pytest.mark.parametrize("maker", [0, 1])
def test_fields_are_filled_compared_and_replaced(maker: int) -> None:
    plain, named = both(Plain, slots=True)[maker], both(Named)[maker]
    one, other = plain(2.0, told="here"), plain(2.0, told="there")
    assert one == other and one.rows == [] and one.rows is not other.rows
    assert dataclasses.replace(one, number=3.0) != one
    assert named(2.0, start=1.5).start == 1.5
    for wrong in (lambda: named(2.0, 1.5), named):
        with pytest.raises(TypeError, match="__init__"):
            wrong()
    with pytest.raises(ValueError, match="wrong way"):
        named(0.5)


@pytest.mark.parametrize("maker", [0, 1])
def test_a_hash_goes_by_what_is_compared_and_none_by_identity_alone(maker: int) -> None:
    single = both(Single, slots=True)[maker]
    assert hash(single(2.0)) == hash((2.0,)) and {single(2.0), single(2.0)} == {single(2.0)}
    alone = both(Single, slots=True, eq=False)[maker]
    assert alone(2.0) != alone(2.0)


@records.dataclass(frozen=True, slots=True)
class Base:
    """A record that others build on."""

    width: float


@records.dataclass(frozen=True, slots=True)
class Box(Base):
    """A record that builds on another."""

    height: float = 1.0


def test_records_build_on_each_other_and_travel() -> None:
    box = Box(2.0, 3.0)
    assert (box.width, box.height) == (2.0, 3.0) and repr(box) == "Box(width=2.0, height=3.0)"
    assert pickle.loads(pickle.dumps(box)) == box and Box(2.0) != Base(2.0)
