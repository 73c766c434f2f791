"""Constants that more than one layer needs."""

GRAVITY = 9.80665  # m/s2, exact by definition (CGPM 1901)
ATMOSPHERE = 101325.0  # Pa, exact by definition (CGPM 1954)
KELVIN = 273.15  # of the freezing point of water, 0 degC
DAY = 86400.0  # s
MOST_DRAWS = 16_384  # simulated boats of one question: what 300 MB carry of the largest boat
MOST_OF_CHOICES = 1_024  # the same of a question that tries them with each of many choices
HAIR = 1e-6  # m; heights that differ by less are one height, told apart by rounding alone
