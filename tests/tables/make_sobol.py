"""Write seaflow/data/sobol.toml from the direction numbers of Joe and Kuo that SciPy carries.

python tests/tables/make_sobol.py
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import scipy.stats

N_DIMENSIONS = 64
FILE = Path(__file__).parents[2] / "seaflow" / "data" / "sobol.toml"
HEAD = """\
# Direction numbers of Sobol points: Joe and Kuo 2008, SIAM Journal on Scientific Computing 30,
# 2635-2654, the set "new-joe-kuo-6", as carried by SciPy {version}. Written by
# tests/tables/make_sobol.py. A row is a dimension from the second on: the primitive polynomial as a
# binary number, both ends included, and the first odd numbers m.
"""


def main() -> None:
    """Write the table."""
    stored = np.load(Path(scipy.stats.__file__).parent / "_sobol_direction_numbers.npz")
    lines = [HEAD.format(version=scipy.__version__), "rows = ["]
    for polynomial, first in zip(
        stored["poly"][1:N_DIMENSIONS], stored["vinit"][1:N_DIMENSIONS], strict=True
    ):
        degree = int(polynomial).bit_length() - 1
        numbers = ", ".join(str(int(number)) for number in first[:degree])
        lines.append(f"    [{int(polynomial)}, {numbers}],")
    FILE.write_text("\n".join([*lines, "]"]) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
