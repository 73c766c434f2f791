"""What a misread sheet costs: the flow that would be told of a boat, beside the true one.

python tests/proof/sheets.py    prints a table; the sheet is invented, the boat the shipped ketch
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case
from seaflow.boat.parts.catalogue import Catalogue
from seaflow.boat.parts.own_parts import load_parts
from seaflow.studies.size.size import size

CASE = Path(__file__).parents[2] / "cases" / "ketch-one-unit.toml"
PLATE = "230 V 50 Hz\n"
METRIC = "Q [l/min];H [m]\n0;4.2\n10;3.8\n20;2.6\n30;0\n"
GALLONS = "GPM;m\n0;4.2\n2.2;3.8\n4.4;2.6\n6.6;0\n"
FEET = "Q [l/min];H [ft]\n0;13.8\n10;12.5\n20;8.5\n30;0\n"
PSI = "Q [l/min];psi\n0;6.0\n10;5.4\n20;3.7\n30;0\n"
LITRES = "LPH;m\n0;4.2\n600;3.8\n1,200;2.6\n1,800;0\n"
BOTH = "l/min;50 Hz [m];60 Hz [m]\n0;4.2;6.0\n10;3.8;5.6\n20;2.6;4.4\n30;0;2.2\n"
# The slip, the sheet as it is, and as the slip reads it; each says what the boat has.
SLIPS = (
    ("a curve at 60 Hz taken for one at 50", PLATE.replace("50", "60") + METRIC, PLATE + METRIC),
    ("imperial gallons for US", PLATE + GALLONS.replace("GPM", "imp gpm"), PLATE + GALLONS),
    ("feet for metres", PLATE + FEET, PLATE + FEET.replace("ft", "m")),
    ("psi for metres", PLATE + PSI, PLATE + PSI.replace("psi", "m")),
    (
        "1,800 L/h for 1.8",
        "comma: thousands\n" + PLATE + LITRES,
        "comma: decimals\n" + PLATE + LITRES,
    ),
    (
        "the column at 60 Hz for that at 50",
        PLATE + BOTH.replace(";60 Hz [m]", ";other"),
        PLATE + BOTH.replace("50 Hz [m]", "other").replace("60 Hz [m]", "H [m]"),
    ),
)


def told(text: str) -> str:
    """Return the flow on the boat with the pump of a sheet and the verdict, or the refusal."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "sheet.csv"
        file.write_text(text, encoding="utf-8")
        try:
            own = load_parts([str(file)]).catalogue.own
        except SeaflowError as error:
            return f"refused: {error.problems[0].code}"
    name = own[0].name
    change = {"pump": {"pump": {"fitted": name}}, "design": {"pumps": [name]}}
    loop = size(load_case(str(CASE), Catalogue(own), change).case, 0).loops[0]
    assert loop.chosen is not None
    return f"{loop.chosen.design.flow * 60000:.1f} L/min, {loop.grade}"


def main() -> None:
    """Print the table."""
    print(f"{'slip':<38}{'as it is':<18}as it would be read")
    for said, text, slip in SLIPS:
        print(f"{said:<38}{told(text):<18}{told(slip)}")


if __name__ == "__main__":
    main()
