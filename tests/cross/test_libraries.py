"""The libraries below keep the values that their own pages print: plumbing, no truth about us."""

from __future__ import annotations

import ht
import pytest

# Printed in the documentation of ht. Ours stand on these, and other tests compare with them
# (ids IC-5 and IC-6).
PRINTED_TOLERANCE = 1e-8


@pytest.mark.parametrize(
    ("function", "printed"),
    [
        (ht.helical_turbulent_Nu_Schmidt, 466.25700),
        (ht.helical_turbulent_Nu_Mori_Nakayama, 496.25225),
        (ht.helical_turbulent_Nu_Xin_Ebadian, 474.11413),
    ],
)
def test_library_keeps_its_coils(function, printed: float) -> None:
    assert function(2e5, 0.7, 0.01, 0.2) == pytest.approx(printed, rel=PRINTED_TOLERANCE)


def test_library_keeps_its_straight_tube_and_its_mean_temperature_difference() -> None:
    tube = ht.Nu_conv_internal(Re=1e5, Pr=0.7)
    assert tube == pytest.approx(183.71057902604906, rel=PRINTED_TOLERANCE)
    assert pytest.approx(43.200409294, rel=PRINTED_TOLERANCE) == ht.LMTD(100.0, 60.0, 30.0, 40.2)
    parallel = ht.LMTD(100.0, 60.0, 30.0, 40.2, counterflow=False)
    assert parallel == pytest.approx(39.752511180, rel=PRINTED_TOLERANCE)


def test_older_correlation_gives_the_textbook_its_number() -> None:
    """308 in the large condenser of the textbook (id HX-3e), which our film does not use."""
    older = ht.turbulent_Dittus_Boelter(Re=59567.0, Pr=5.83, heating=True, revised=True)
    assert older == pytest.approx(308.0, abs=0.5)  # half a unit of the last digit
