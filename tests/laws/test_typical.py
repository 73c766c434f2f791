"""Typical boats: a whole case from a few facts, whose geometry is that of a boat."""

from __future__ import annotations

import dataclasses

import pytest

from seaflow.forms.typical.facts import BoatFacts, Facts


def test_facts_leave_open_what_was_not_said_and_do_not_change() -> None:
    facts = Facts(boat=BoatFacts("sailing monohull", 12.0))
    assert facts.boat is not None and facts.boat.beam is None and facts.sea is None
    with pytest.raises(dataclasses.FrozenInstanceError):
        facts.units = ()  # type: ignore[misc]
