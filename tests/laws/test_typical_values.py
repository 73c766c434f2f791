"""Known, typical, unknown are states of a value: how it is read, drawn, and told."""

from pathlib import Path

import pytest

from seaflow.base.glossary import glossary_entry, names
from seaflow.base.problems import SeaflowError
from seaflow.base.tables import read_table
from seaflow.base.units import read_with_spread
from seaflow.boat.load import load_case

CASES = Path(__file__).parents[2] / "cases"


def ketch(tmp_path, *changes):
    """The ketch with pieces of her file changed, each of which stands there once."""
    text = (CASES / "ketch-one-unit.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    file = tmp_path / "ketch.toml"
    file.write_text(text, encoding="utf-8")
    return load_case(str(file)).case


WARMEST = 'warmest = "30 degC"'


@pytest.mark.parametrize(
    ("said", "half_width", "typical"),
    [
        ("30 degC", None, False),
        ("30 degC +/- 1 K", 1.0, False),
        ("30 degC typical +/- 1 K", 1.0, True),
        ("typical 30 degC +/- 1 K", 1.0, True),
        ("Typical 30 degC", 2.0, True),
        ("30 degC typical", 2.0, True),
        ("30 degC typical ± 1.5 K", 1.5, True),
    ],
)
def test_a_value_is_known_or_typical(tmp_path, said, half_width, typical):
    case = ketch(tmp_path, (WARMEST, f'warmest = "{said}"'))
    path = ("sea", "warmest")
    assert case.sea.warmest == 30.0
    assert case.spreads.get(path) == half_width
    assert case.typical == ({path} if typical else frozenset())


def test_a_value_of_a_list_and_one_of_a_table_within_a_table_can_be_typical(tmp_path):
    case = ketch(
        tmp_path,
        (WARMEST, f'{WARMEST}\nmonths = ["20 degC", "24 degC typical +/- 2 K"]'),
        ('{ at = "15 L/min", head = "1.3 m" }', '{ at = "15 L/min", head = "1.3 m typical" }'),
    )
    lost = ("unit", 0, "water_loss", 0, "head")
    assert case.typical == {("sea", "months", 1), lost}
    assert case.spreads[lost] == pytest.approx(0.32 * 1.3)


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('frequency = "50 Hz"', 'frequency = "50 Hz typical"', "K16"),
        ('sound_at_berth = "33 dB"', 'sound_at_berth = "33 dB typical"', "K15"),
        (WARMEST, 'warmest = "30 degC typical +/- 0 K"', "K15"),
        (WARMEST, 'warmest = "30 degC typical typical"', "K06"),
        (WARMEST, 'warmest = "typical"', "K04"),
        ('\nhull = "sailing monohull"', '\nhull = "sailing monohull typical"', "K16"),
        ("runs_unattended = false", 'runs_unattended = "typical"', "K16"),
    ],
)
def test_what_cannot_be_drawn_is_no_typical_value(tmp_path, old, new, code):
    with pytest.raises(SeaflowError) as raised:
        ketch(tmp_path, (old, new))
    assert [problem.code for problem in raised.value.problems] == [code]


def test_a_name_may_be_called_typical(tmp_path):
    assert ketch(tmp_path, ("Demo ketch Morning", "typical Morning")).typical == frozenset()


def test_the_usual_width_of_a_kind_of_value_can_be_read_and_is_sourced():
    for name, row in read_table("typical_widths.toml").items():
        assert name in names()
        unit = glossary_entry(name).unit
        number = "1" if unit == "-" else {"degC": "30 degC"}.get(unit, f"1 {unit}")
        half = read_with_spread(f"{number} +/- {row['half']}", unit)[1]
        assert half is not None and half > 0.0, name
        assert row["source"]
