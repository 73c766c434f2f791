"""Laws of reading quantities: round trips, spellings that mean the same, refusals by kind."""

import contextlib
import re
import runpy
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seaflow.base import units
from seaflow.base.spellings import TRADE
from seaflow.base.spread import read_with_spread
from seaflow.base.tables import read_table
from seaflow.base.units import (
    Misread,
    example_unit,
    factor_and_offset,
    read_quantity,
    spellings,
)

ROOT = Path(__file__).parents[2]
ROUND_TRIP = 1e-9  # relative; a number goes through text with all its digits and two conversions
NOTHING = 1e-290  # in any unit; floats smaller still lose digits
SLOW_START = settings(deadline=None)  # the first reading loads the register of units
SHOWN = {
    "m": ("mm", "cm", "m", "in", "ft"),
    "m3/s": ("L/min", "gpm", "L/h", "gph", "m3/s", "m3/h", "imp_gal/min"),
    "m/s": ("kn", "m/s", "ft/s"),
    "m2": ("mm2", "cm2", "in2", "m2"),
    "Pa": ("kPa", "bar", "psi", "inHg", "Pa"),
    "W": ("kW", "BTU/h", "ton", "hp", "W"),
    "degC": ("degC", "degF"),
    "K": ("K", "delta degF"),
    "rad": ("deg", "rad"),
    "Hz": ("Hz",),
    "V": ("V", "mV"),
    "g/kg": ("g/kg",),
    "-": ("%",),
}
PAIRS = [(unit, shown) for unit, many in SHOWN.items() for shown in many if unit != "-"]
LAST_BIT = 1e-15  # relative: versions of pint multiply in another order


@pytest.mark.parametrize(("unit", "shown"), PAIRS)
@SLOW_START
@given(value=st.floats(-1e6, 1e6))
def test_round_trip(unit, shown, value):
    factor, offset = factor_and_offset(unit, "degF" if shown == "delta degF" else shown)
    written = f"{factor * value + offset!r} {shown}"
    allowed = ROUND_TRIP * (abs(value) + abs(offset / factor)) + NOTHING
    assert abs(read_quantity(written, unit) - value) <= allowed


@pytest.mark.parametrize("unit", sorted(SHOWN))
def test_the_unit_of_an_example_can_be_read(unit):
    assert read_quantity(f"1 {example_unit(unit)}", unit) > 0


@pytest.mark.parametrize(
    ("one", "other", "unit"),
    [
        ("3/4 in", "0.75 in", "m"),
        ("1 1/4 in", "1.25 in", "m"),
        ("1-1/4 in", "1.25 in", "m"),
        ('1-1/4"', "1.25 in", "m"),
        ("16 000 BTU/h", "16000 BTU/h", "W"),
        ("16000 BTU/hr", "16000 BTU/h", "W"),
        ("16000 BTUH", "16000 btu/h", "W"),
        ("1.5 tons of refrigeration", "18000 BTU/h", "W"),
        ("4 US gal/min", "4 gpm", "m3/s"),
        ("240 gph", "4 gpm", "m3/s"),
        ("1 imp gal/min", "4.54609 L/min", "m3/s"),
        ("−0.5 m", "-0.5 m", "m"),
        ("–0.5 m", "-0.5 m", "m"),
        ("-50cm", "-0.5 m", "m"),
        ("30 °C", "30 degC", "degC"),
        ("86 °F", "86 degF", "degC"),
        ("15°", "15 deg", "rad"),
        ("2.5 mm²", "2.5 mm2", "m2"),
        ("50 %", "0.5", "-"),
        (".5 m", "0.5 m", "m"),
        ("5e-1 m", "0.5 m", "m"),
        ("  2.4   m ", "2.4 m", "m"),
        ("4 gal / min", "4 gpm", "m3/s"),
        ("2 m^2", "2 m2", "m2"),
        ("30 deg C", "30 degC", "degC"),
        ("300 K", "26.85 degC", "degC"),
        ("28 C", "28 degC", "degC"),
        ("82 F", "82 degF", "degC"),
        ("16000 BTU", "16000 BTU/h", "W"),
        ("16k BTU", "16000 BTU/h", "W"),
        ("16 kBTU", "16000 BTU/h", "W"),
        ("1 ft 6 in", "18 in", "m"),
        ("-1 ft 6 in", "-18 in", "m"),
        ("3'6\"", "42 in", "m"),
        ("3’ 6 1/2”", "42.5 in", "m"),
        ("3'", "3 ft", "m"),
        ("1-1/8 in", "1.125 in", "m"),
        ("2 m 50 cm", "2.5 m", "m"),
        ("1 min 40 s", "100 s", "s"),
        ("1 h 30 min", "90 min", "s"),
        ("2 weeks", "14 day", "s"),
        ("40 s for 3 gal", "4.5 gpm", "m3/s"),
        ("3 gal in 40 s", "4.5 gpm", "m3/s"),
        ("10 L in 1 min 40 s", "6 L/min", "m3/s"),
        ("230 VAC", "230 V", "V"),
        ("1e-2 m", "1 cm", "m"),
        ("1.7E-04 m3/s", "10.2 L/min", "m3/s"),
        ("28 ℃", "28 degC", "degC"),
        ("28º C", "28 degC", "degC"),
        ("38 ‰", "38 g/kg", "g/kg"),
    ],
)
def test_spellings_that_mean_the_same(one, other, unit):
    assert read_quantity(one, unit) == pytest.approx(read_quantity(other, unit), rel=1e-14)


@pytest.mark.parametrize(
    ("text", "unit", "kind"),
    [
        ("2.4", "m", "bare"),
        ("long", "m", "number"),
        ("", "m", "number"),
        ("1/0 in", "m", "number"),
        ("1,5 m", "m", "comma"),
        ("3 spans", "m", "unknown"),
        ("16'000 BTU/h", "W", "more"),
        ("1_000 mm", "m", "more"),
        ("70-50 cm", "m", "more"),
        ("2 x 30 cm", "m", "more"),
        ("3 (", "m", "unknown"),
        ("3 bar", "m", "dimension"),
        ("3 m", "K", "dimension"),
        ("6 degC", "K", "difference"),
        ("11 degF", "K", "difference"),
        ("6 delta degC", "degC", "scale"),
        ("50 m", "-", "dimension"),
        ("15 deg", "-", "dimension"),
        ("15 %", "rad", "dimension"),
        ("36 g/kg", "-", "dimension"),
        ("3 K", "degC", "scale"),
        ("199 K", "degC", "scale"),
        ("1 m*9**9**9**9", "m", "unknown"),
        ("1 m**99", "m", "unknown"),
        ("1 (m)", "m", "unknown"),
        ("1 m+m", "m", "unknown"),
        ("1 " + "m*" * 40 + "m", "m", "unknown"),
    ],
)
def test_refusals(text, unit, kind):
    with pytest.raises(Misread) as caught:
        read_quantity(text, unit)
    assert caught.value.kind == kind


@pytest.mark.parametrize(
    ("text", "unit", "hint"),
    [
        ("3 mtr", "m", '"m"'),
        ("3 gpn", "m3/s", '"gpm"'),
        ("3 kPq", "Pa", '"kPa"'),
        ("30 R", "degC", "one of: degC, degF"),
        ("2 months", "s", "one of: h, min, day"),
        ("6 C", "K", '"6 K"'),
        ("9 F", "K", '"5 K"'),
    ],
)
def test_the_unit_offered_measures_the_same(text, unit, hint):
    with pytest.raises(Misread) as caught:
        read_quantity(text, unit)
    if hint is not None:
        assert caught.value.hint == hint


@pytest.mark.parametrize(
    ("spelled", "unit"), [(spelled, unit) for unit, all_of in TRADE.items() for spelled in all_of]
)
def test_a_number_can_be_said_in_every_spelling_in_which_it_can_be_read(spelled, unit):
    """Or a message about it could not be."""
    factor, offset = units.factor_and_offset(unit, spelled)
    if (spelled, unit) in ((one, "K") for one in TRADE["K"]):
        return  # read as a temperature, which is no difference
    read = units.convert_from(factor * 300.0 + offset, spelled, unit, "")
    assert read == pytest.approx(300.0)


@pytest.mark.parametrize(
    ("spelled", "unit"), [(spelled, unit) for unit, all_of in TRADE.items() for spelled in all_of]
)
def test_a_trade_spelling_is_the_unit_it_stands_for(spelled, unit):
    ours = TRADE[unit][spelled]
    if unit == "K":
        with pytest.raises(Misread) as caught:
            read_quantity(f"9 {spelled}", unit)
        assert caught.value.kind == "difference"
    else:
        assert read_quantity(f"9 {spelled}", unit) == read_quantity(f"9 {ours}", unit)


@given(feet=st.integers(0, 90), eighths=st.integers(0, 95))
def test_feet_and_inches_add_up(feet, eighths):
    inches = f"{eighths // 8} {eighths % 8}/8" if eighths % 8 else f"{eighths // 8}"
    read = read_quantity(f"{feet}' {inches}\"", "m")
    assert read == pytest.approx(0.3048 * feet + 0.0254 * eighths / 8.0, abs=1e-12)


def test_shares_and_angles_are_shown_in_their_own_units():
    assert factor_and_offset("-", "%") == (100.0, 0.0)
    with pytest.raises(Exception, match="convert"):
        factor_and_offset("-", "deg")


def test_a_misread_text_can_be_raised_again():
    misread = Misread("bare", "3", '"3 m"')
    with pytest.raises(Misread), contextlib.suppress(KeyError):
        raise misread  # which sets its traceback


@SLOW_START
@given(text=st.text(max_size=40), unit=st.sampled_from(sorted(SHOWN)))
def test_any_text_is_read_or_refused(text, unit):
    try:
        assert isinstance(read_quantity(text, unit), float)
    except Misread as misread:
        assert misread.hint


@pytest.mark.parametrize(
    ("text", "unit", "value", "half_width"),
    [
        ("2.4 m", "m", 2.4, None),
        ("2.4 m +/- 10 %", "m", 2.4, 0.24),
        ("-0.5 m ± 5 cm", "m", -0.5, 0.05),
        ("-0.5 m +/- 10 %", "m", -0.5, 0.05),
        ("30 degC +/- 1 K", "degC", 30.0, 1.0),
        ("50 % +/- 10 %", "-", 0.5, 0.1),
        ("230 V (±10 %)", "V", 230.0, 23.0),
        ("220-240 V", "V", 230.0, 10.0),
        ("28 to 30 degC", "degC", 29.0, 1.0),
        ("40–60 %", "-", 0.5, 0.1),
        ("4.2 m +0 -10 %", "m", 3.99, 0.21),
        ("4.2 m (+0/-10 %)", "m", 3.99, 0.21),
        ("4.2 m -0.4 m +0.2 m", "m", 4.1, 0.3),
        ("230 V +10 % -15 %", "V", 230.0, 34.5),  # a rating stays what it is
        ("1-1/4 in", "m", 0.03175, None),
        ("1e-2 m", "m", 0.01, None),  # an exponent, and no range from 1 to 2
        ("6e-1 m", "m", 0.6, None),
        ("2.5e-4 m3/s", "m3/s", 2.5e-4, None),
        ("1e-2 - 3e-2 m", "m", 0.02, 0.01),
        ("2e0 m +1e-1 -3e-1 m", "m", 1.9, 0.2),
        ("2 m +/- 1e1 %", "m", 2.0, 0.2),
    ],
)
def test_half_width(text, unit, value, half_width):
    read, spread = read_with_spread(text, unit)
    assert read == pytest.approx(value, rel=1e-14)
    assert spread == (None if half_width is None else pytest.approx(half_width, rel=1e-12))


@pytest.mark.parametrize(
    "text", ["50/60 Hz", "50 Hz / 60 Hz", "50-60 Hz", "115/230 V", "12 or 24 V"]
)
def test_one_of_two_ratings_is_never_chosen_nor_taken_for_a_fraction(text):
    with pytest.raises(Misread) as misread:
        read_with_spread(text, text.rpartition(" ")[2])
    assert misread.value.kind == "two"


@pytest.mark.parametrize(
    ("text", "said"),
    [("16,000 BTU/h", ["16000", "16.000"]), ("1,250,000 W", ["1250000"]), ("3,5 m", ["3.5"])],
)
def test_what_a_comma_parts_is_asked_and_not_advised(text, said):
    with pytest.raises(Misread) as misread:
        read_with_spread(text, "m")
    assert misread.value.kind == "comma"
    assert re.findall(r'"([\d.]+) ', misread.value.hint) == said
    assert misread.value.hint.count(" if ") == len(said)


def test_half_width_of_a_temperature_is_a_difference():
    with pytest.raises(Misread):
        read_with_spread("30 degC +/- 1 degC", "degC")


def test_the_table_of_usual_units_is_what_pint_gives():
    """To the last digit, so that it does not matter which of the two a unit was read by."""
    for unit, rows in read_table("scales.toml").items():
        for spelled, scale in rows.items():
            told = pytest.approx(tuple(scale), rel=LAST_BIT, abs=0.0)
            assert units.scale_by_pint(spelled, unit) == told, (unit, spelled)


def test_the_table_of_usual_units_is_fresh():
    made = runpy.run_path(str(ROOT / "tests" / "tables" / "make_scales.py"))
    written, again = read_table("scales.toml"), made["scales"]()
    assert {unit: [*rows] for unit, rows in written.items()} == {
        unit: [*rows] for unit, rows in again.items()
    }, "run: python tests/tables/make_scales.py"
    for unit, rows in again.items():
        for spelled, scale in rows.items():
            told = pytest.approx(scale, rel=LAST_BIT, abs=0.0)
            assert tuple(written[unit][spelled]) == told, (unit, spelled)


@pytest.mark.parametrize("system", ["metric", "us"])
def test_a_usual_case_is_read_and_shown_without_pint(system):
    program = (
        "import sys; from seaflow.cli.main import main; "
        f"main(['size', 'cases/ketch-one-unit.toml', '--samples', '0', '--units', '{system}'], "
        "standalone_mode=False)"
    )
    code = f"try:\n    {program}\nexcept SystemExit:\n    pass\nassert 'pint' not in sys.modules"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr.decode()


@pytest.mark.parametrize("unit", ["degC", "m3/s", "Pa"])
def test_ways_to_write_a_unit_come_in_the_order_of_the_table(unit):
    """So that the page of a boat has the same bytes each time."""
    rows = dict.fromkeys(word.lower() for word in read_table("scales.toml")[unit])
    found = [word for word in spellings(unit) if word in rows]
    assert len(rows) > 2
    assert found == list(rows)


@pytest.mark.parametrize(
    ("text", "unit", "value", "half"),
    [
        ("1.5 m +/- 0.2", "m", 1.5, 0.2),
        ("1.5 +/- 0.2 m", "m", 1.5, 0.2),
        ("5 ft 6 in +/- 2", "m", 66 * 0.0254, 2 * 0.0254),
        ("28 degC +/- 2", "degC", 28.0, 2.0),
        ("82 degF ± 1.8", "degC", 250 / 9, 1.0),
        ("230 V +/- 10", "V", 230.0, 10.0),
        ("35 +/- 2", "-", 35.0, 2.0),
    ],
)
def test_a_unit_behind_one_of_value_and_half_width_goes_for_both(text, unit, value, half):
    assert read_with_spread(text, unit) == pytest.approx((value, half))


@pytest.mark.parametrize("text", ["1,5 m +/- 0.2 m", "1.5 m +/- 0,2 m", "28 degC +/- 2 degC"])
def test_what_to_write_for_one_part_of_a_quantity_keeps_the_other(text):
    unit = "m" if "m" in text else "degC"
    with pytest.raises(Misread) as refused:
        read_with_spread(text, unit)
    (write, *_) = re.findall('"([^"]+)"', refused.value.hint)
    value, half = read_with_spread(write, unit)
    assert (value, half) == pytest.approx((28.0, 2.0) if unit == "degC" else (1.5, 0.2))
