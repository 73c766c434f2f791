"""Constants of nature that more than one layer needs."""

GRAVITY = 9.80665  # m/s2, exact by definition (CGPM 1901)
ATMOSPHERE = 101325.0  # Pa, exact by definition (CGPM 1954)
