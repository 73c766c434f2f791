"""Friction against fluids and a root search of our own, over the whole range."""

import numpy as np
import pytest
from fluids.fittings import diffuser_sharp
from fluids.friction import (
    Churchill_1977,
    Colebrook,
    friction_factor,
    helical_laminar_fd_Mori_Nakayama,
    helical_laminar_fd_White,
    helical_turbulent_fd_Mori_Nakayama,
    helical_turbulent_fd_Schmidt,
)

from seaflow.physics.flow import friction

COLEBROOK_RTOL = 2e-9  # the library's two steps leave less than a billionth
CHURCHILL_RTOL = 0.03  # explicit form, known to leave Colebrook by this much at low Reynolds
SAME_FORMULA_RTOL = 1e-8  # the same correlation coded twice, over a straight factor good to 1e-9
MAINSTREAM_RTOL = (
    0.15  # mainstream coil correlations, in coils as tight as ten bores; others differ by 80 %
)
LAMINAR_COIL_RTOL = 0.06  # the two laminar coil correlations, away from creeping flow

REYNOLDS = np.geomspace(4000.0, 1e8, 60)
ROUGHNESSES = (0.0, 1e-6, 1e-5, 1e-4, 1e-3, 5e-3, 1e-2, 2e-2, 5e-2)


@pytest.mark.parametrize("rough", ROUGHNESSES)
def test_turbulent_factor_is_colebrooks(rough):
    ours = friction.darcy_friction_factor(REYNOLDS, rough)
    library = [friction_factor(Re=float(re), eD=rough) for re in REYNOLDS]
    implicit = [Colebrook(Re=float(re), eD=rough, tol=-1) for re in REYNOLDS[::10]]
    assert np.allclose(ours, library, rtol=COLEBROOK_RTOL, atol=0)
    assert np.allclose(ours[::10], implicit, rtol=COLEBROOK_RTOL, atol=0)


@pytest.mark.parametrize("rough", ROUGHNESSES)
def test_turbulent_factor_satisfies_the_implicit_equation(rough):
    root = friction.darcy_friction_factor(REYNOLDS, rough) ** -0.5
    right = -2.0 * np.log10(rough / 3.7 + 2.51 * root / REYNOLDS)
    assert np.allclose(root, right, rtol=COLEBROOK_RTOL, atol=0)


@pytest.mark.parametrize("rough", ROUGHNESSES)
def test_turbulent_factor_is_near_churchills(rough):
    ours = friction.darcy_friction_factor(REYNOLDS, rough)
    other = [Churchill_1977(Re=float(re), eD=rough) for re in REYNOLDS]
    assert np.allclose(ours, other, rtol=CHURCHILL_RTOL, atol=0)


def test_laminar_factor_is_the_librarys():
    reynolds = np.geomspace(1e-3, 2000.0, 40)
    library = [friction_factor(Re=float(re)) for re in reynolds]
    assert np.allclose(friction.darcy_friction_factor(reynolds, 1e-3), library, rtol=1e-14, atol=0)


@pytest.mark.parametrize("ratio", [0.02, 0.0635, 0.1])
def test_coil_factor_is_whites_then_mori_and_nakayamas(ratio):
    slow, fast = np.geomspace(100.0, 1900.0, 12), np.geomspace(1.5e4, 2e5, 12)

    def coiled(reynolds):
        straight = friction.darcy_friction_factor(reynolds, 0.0)
        return straight * friction.coil_friction_multiplier(reynolds, ratio, 1.0)

    white = [helical_laminar_fd_White(re, ratio, 1.0) for re in slow]
    mori = [helical_turbulent_fd_Mori_Nakayama(re, ratio, 1.0) for re in fast]
    schmidt = [helical_turbulent_fd_Schmidt(re, ratio, 1.0) for re in fast]
    assert np.allclose(coiled(slow), white, rtol=SAME_FORMULA_RTOL, atol=0)
    assert np.allclose(coiled(fast), mori, rtol=SAME_FORMULA_RTOL, atol=0)
    assert np.allclose(coiled(fast), schmidt, rtol=MAINSTREAM_RTOL, atol=0)
    brisk = slow[slow * ratio**0.5 > 100.0]
    other = [helical_laminar_fd_Mori_Nakayama(re, ratio, 1.0) for re in brisk]
    assert np.allclose(coiled(brisk), other, rtol=LAMINAR_COIL_RTOL, atol=0)


def test_corrugated_factor_is_a_row_of_expansions():
    for bore, pitch in ((0.01905, 0.004), (0.0254, 0.004), (0.0508, 0.005), (0.03, 0.008)):
        one = diffuser_sharp(Di1=bore, Di2=bore + 0.438 * pitch)
        assert friction.corrugated_friction_factor(bore, pitch) * pitch / bore == pytest.approx(
            one, rel=1e-12
        )


def test_slime_raises_friction_as_much_as_was_measured():
    """Half a millimetre of slime all over: up to 70 % in a channel (Schultz and others 2015)."""
    left, speed = 0.018, 0.98  # m and m/s: a 19 mm hose at 15 L/min
    reynolds = speed * left / 8.4e-7
    slime = friction.darcy_friction_factor(reynolds, friction.GROWTH_ROUGHNESS * 5e-4 / left)
    smooth = friction.darcy_friction_factor(reynolds, 1e-5 / left)
    assert slime / smooth == pytest.approx(1.7, rel=0.1)
