"""The NPSH that `size` tells is the least of its worst cases, and the margin what is left of it."""

import pytest
from sizing import NAMES, sized


@pytest.mark.parametrize("name", NAMES)
def test_the_least_of_the_worst_cases_is_told(name):
    for loop in sized(name).loops:
        for pump in loop.pumps[:1]:
            told = [at.npsh_available for at in pump.at]
            assert any(value is not None for value in told)
            least = min(value for value in told if value is not None)
            assert loop.suction.npsh_available == pytest.approx(least)
            if pump.part.required_npsh is None:
                assert loop.suction.npsh_margin is None
            else:
                left = least - pump.part.required_npsh
                assert loop.suction.npsh_margin == pytest.approx(left)
