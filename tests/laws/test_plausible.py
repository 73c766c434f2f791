"""Questions about values: which unit was meant, and that what is usual is never asked about."""

import pytest

from seaflow.base.glossary import glossary_entry
from seaflow.boat.reader.plausible import guess_text, guesses, is_plausible, range_text


@pytest.mark.parametrize(
    ("name", "text", "units"),
    [
        ("shut_off_head", "0.45 m", ("bar",)),
        ("shut_off_head", "45 m", ("ft", "kPa")),
        ("bore", "19 m", ("mm",)),
        ("bore", "0.75 mm", ("cm", "in")),
        ("bore", "1 m", ("in", "cm")),
        ("length", "60 m", ("ft",)),
        ("height", "8 m", ("ft",)),
        ("volume_flow", "5 L/h", ("L/min", "gpm")),
        ("volume_flow", "900 L/min", ("gph", "L/h")),
        ("heat_flow", "16 W", ("kBTU/h",)),
        ("heat_flow", "5 W", ("kBTU/h", "kW")),
        ("heat_flow", "16 BTU/h", ("kBTU/h",)),
        ("heat_flow", "18 kW", ("kBTU/h",)),
        ("input_power", "1.4 W", ("kW",)),
        ("sea_temperature", "39 degC", ("degF",)),
        ("frequency", "69 Hz", ()),
    ],
)
def test_the_unit_that_was_meant(name, text, units):
    found = guesses(text, glossary_entry(name))
    assert tuple(unit for unit, _ in found) == units
    assert all(is_plausible(value, glossary_entry(name), unit) for unit, value in found)


def test_thousands_of_btu_are_said_with_all_their_digits():
    asked = guess_text("18 kW", glossary_entry("heat_flow"))
    assert "18000 BTU/h" in asked and "5.28 kW" in asked and "kBTU" not in asked


def test_a_plate_of_a_chiller_is_asked_about_in_kilowatts_alone():
    """The same heat in BTU/h is no slip of the pen."""
    entry = glossary_entry("heat_flow")
    assert is_plausible(17584.3, entry, "BTU/h") and is_plausible(17584.3, entry, "ton")
    assert not is_plausible(17584.3, entry, "kW") and is_plausible(10600.0, entry, "kW")


def test_the_question_names_the_value_in_the_unit_typed():
    asked = guess_text("0.45 m", glossary_entry("shut_off_head"))
    assert asked == "0.45 bar would be 4.6 m. Did you mean bar?"
    assert range_text(glossary_entry("shut_off_head"), "m") == "1.5 to 25 m"
    assert range_text(glossary_entry("shut_off_head"), "ft") == "4.92 to 82 ft"
    assert range_text(glossary_entry("growth"), "mm") == "up to 5 mm"


def test_the_ends_of_a_range_are_inside_it_and_nothing_is_never_asked_about():
    for name in ("bore", "length", "sea_temperature", "volume_flow"):
        entry = glossary_entry(name)
        assert entry.plausible is not None
        assert all(is_plausible(end, entry) for end in entry.plausible)
        assert is_plausible(0.0, entry)
        assert not is_plausible(entry.plausible[1] * 1.01, entry)
