"""Fittings against fluids where our form is our own, and against rival correlations elsewhere."""

import fluids.filters
import fluids.fittings
import numpy as np
import pytest
from fluids.filters import square_edge_screen

from seaflow.base.tables import read_table
from seaflow.physics.flow import fittings, junctions, screens
from seaflow.physics.flow.friction import darcy_friction_factor

SAME_RTOL = 1e-12  # the same formula coded twice
CONTRACTION_ATOL = 0.10  # published forms for a contraction spread by 0.09
SCREEN_RTOL = 0.15  # two handbooks, open share 0.3 to 0.7

RATIOS = np.linspace(0.05, 1.0, 39)


def test_expansion_is_the_librarys():
    library = [fluids.fittings.diffuser_sharp(Di1=r, Di2=1.0) for r in RATIOS]
    ours = fittings.step_coefficient(RATIOS, 1.0)
    assert np.allclose(ours, library, rtol=SAME_RTOL, atol=1e-15)


def test_contraction_against_the_library_and_its_rivals():
    ours = fittings.step_coefficient(1.0, RATIOS)
    library = [fluids.fittings.contraction_sharp(Di1=1.0, Di2=float(r)) for r in RATIOS]
    idelchik = 0.5 * (1.0 - RATIOS**2) ** 0.75
    hooper = [
        fluids.fittings.contraction_sharp(1.0, float(r), Re=1e5, fd=0.02, method="Hooper")
        for r in RATIOS
    ]
    assert np.allclose(ours, library, rtol=SAME_RTOL, atol=1e-15)
    assert np.allclose(ours, idelchik, rtol=0, atol=CONTRACTION_ATOL)
    assert np.allclose(ours[RATIOS > 0.5], np.array(hooper)[RATIOS > 0.5], atol=CONTRACTION_ATOL)


def test_transfer_is_the_librarys():
    for start, end in ((0.0127, 0.019), (0.025, 0.019), (0.03, 0.03)):
        ours = fittings.transfer_coefficient(1.7, start, end)
        assert ours == pytest.approx(fluids.fittings.change_K_basis(1.7, start, end), rel=SAME_RTOL)


@pytest.mark.parametrize("method", ["Rennels", "Miller", "Ito", "Crane"])
def test_the_tables_bend_holds_published_correlations_in_its_spread(method):
    low, high = read_table("parts/fittings.toml")["swept bend"]["spread"]
    for radius in (1.5, 2.0, 3.0):
        for bore in (0.016, 0.019, 0.025):
            rival = fluids.fittings.bend_rounded(
                Di=bore, angle=90, bend_diameters=radius, Re=3e4, roughness=1e-5, method=method
            )
            assert low <= rival <= high


def test_library_fittings_over_the_bores_of_boats():
    bores = np.linspace(0.01, 0.06, 11)
    swing = [fluids.fittings.K_swing_check_valve_Crane(D=float(b)) for b in bores]
    assert np.allclose(fittings.swing_check_coefficient(bores), swing, rtol=SAME_RTOL)
    # the fully turbulent factor is Colebrook's for the roughness of clean steel pipe
    assert np.allclose(
        fittings.swing_check_coefficient(bores) / 100.0,
        darcy_friction_factor(7.5e6 * bores, 3.4126825352925e-5 * bores**-1.0112),
        rtol=2e-4,  # the library stops after one step here
    )


def test_screen_against_another_handbook():
    share = np.linspace(0.3, 0.7, 9)
    other = [square_edge_screen(float(a)) for a in share]
    assert np.allclose(screens.screen_coefficient(share), other, rtol=SCREEN_RTOL)


def test_creeping_flow_through_the_holes_of_a_basket_leaves_the_plate_within_its_spread():
    """Reynolds 90 in the holes, four tenths open: what the page on theory says of rivals."""
    ours, reynolds = screens.screen_coefficient(0.4), 90.0
    with_creep = ours + 12.0 * np.pi / reynolds / 0.4**2  # Sampson 1891, on the hole's own speed
    round_wires = fluids.filters.round_edge_screen(0.4, reynolds)
    assert with_creep / ours == pytest.approx(1.32, abs=0.02)
    assert round_wires / ours == pytest.approx(0.46, abs=0.02)
    approach = 2.5e-4 / 0.02  # m/s: 15 L/min through 200 cm2
    assert with_creep * approach**2 / (2.0 * 9.80665) < 1e-3


SHARES = np.linspace(0.02, 0.98, 49)  # of the flow that goes by the branch
# How far the constant may lie from the handbook, in velocity heads of the joint flow.
MODEL_BELOW, MODEL_ABOVE = 1.0, 2.0

JUNCTIONS = {
    "converging branch": junctions.converging_branch_coefficient,
    "diverging branch": junctions.diverging_branch_coefficient,
}


def test_joining_at_a_right_angle_by_hand():
    """The formulas of the handbook for a tee of equal bores, written out."""
    factor = np.where(SHARES <= 0.4, 0.9 * (1.0 - SHARES), 0.55)
    by_hand = factor * (1.0 + SHARES**2 - 2.0 * (1.0 - SHARES) ** 2)
    branch = junctions.converging_branch_coefficient(0.019, 0.019, 1.0 - SHARES, SHARES)
    assert np.allclose(branch, by_hand, rtol=SAME_RTOL, atol=1e-15)


def test_parting_at_a_right_angle_by_hand():
    branch = junctions.diverging_branch_coefficient(0.019, 0.019, 1.0 - SHARES, SHARES)
    assert np.allclose(branch, (1.0 + 0.3 * SHARES**2) ** 2, rtol=SAME_RTOL)


@pytest.mark.parametrize("name", JUNCTIONS)
def test_constant_of_the_table_against_the_handbook(name):
    """How far a constant on each leg's own flow lies from one that knows how the flow divides."""
    coefficient = read_table("parts/fittings.toml")["tee branch"]["k"]
    handbook = JUNCTIONS[name](0.019, 0.019, 1.0 - SHARES, SHARES)
    off = coefficient * SHARES**2 - handbook
    assert np.all(off >= -MODEL_BELOW)
    assert np.all(off <= MODEL_ABOVE)
