"""When two curves are one pump's: by their points, their plates and their lines, on paper."""

from dataclasses import replace

import pytest
from made import L
from sizing import KETCH, shipped

from seaflow.boat.parts.same_pump import same_points, same_pump
from seaflow.boat.parts.sheets import CurvePoint, PumpSheet


def sheet(*points, **more):
    """A shipped pump with these points of litres a minute and metres."""
    case = shipped(KETCH)
    name = next(iter(case.catalogue.rows("pumps")))
    base = case.catalogue.sheet("pumps", name)
    assert isinstance(base, PumpSheet)
    rows = tuple(CurvePoint(flow=flow * L, head=head) for flow, head in points)
    plain = {"shut_off_head": None, "free_flow": None, "exponent": None}
    return replace(base, points=rows, **plain | more)


STRAIGHT = ((0.0, 4.0), (10.0, 3.0), (20.0, 2.0), (30.0, 1.0), (40.0, 0.0))
ALSO = ((0.0, 4.0), (5.0, 3.5), (15.0, 2.5), (35.0, 0.5), (40.0, 0.0))
BENT = ((0.0, 4.0), (10.0, 2.2), (20.0, 2.0), (30.0, 1.8), (40.0, 0.0))
FEW = ((0.0, 4.0), (20.0, 2.0), (40.0, 0.0))


def test_points_are_the_same_within_a_fiftieth_of_their_axes():
    one = [(0.0, 4.0), (40.0, 0.0)]
    assert same_points(one, one[::-1]) and not same_points([], [])
    assert same_points(one, [(0.79, 4.079), (39.21, -0.079)])
    assert not same_points(one, [(0.81, 4.0), (40.0, 0.0)])
    assert not same_points(one, [(0.0, 4.081), (40.0, 0.0)])
    assert not same_points(one, [*one, (20.0, 2.0)])


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        (STRAIGHT, STRAIGHT, True),
        (STRAIGHT, ALSO, True),
        (STRAIGHT, FEW, True),
        (BENT, FEW, False),  # the few lie on the bent one, and not the other way round
        (STRAIGHT, BENT, False),
        (STRAIGHT, ((0.0, 4.0), (10.0, 3.0), (20.0, 2.0), (30.0, 1.0)), False),  # ends before
        (STRAIGHT, ((0.0, 4.0), (40.0, 0.0)), False),  # two points are any line
        (STRAIGHT, tuple((flow, 1.03 * head) for flow, head in ALSO), False),
    ],
)
def test_curves_are_one_if_each_lies_on_the_other(one, other, same):
    first, second = sheet(*one), sheet(*other)
    assert same_pump(first, second) == same_pump(second, first) == same


def test_plates_part_two_pumps_where_both_tell():
    one = sheet(*STRAIGHT, voltage=230.0, power=100.0)
    others = {"frequency": 60.0, "duty": "other", "self_priming": None, "motor": "x"}
    for key, other in others.items():
        told = getattr(one, key)
        for value, same in ((other, told is None or other is None), (None, True), (told, True)):
            assert same_pump(one, replace(one, **{key: value})) == same, (key, value)
    for key, value in (("voltage", 230.0), ("power", 100.0)):
        assert same_pump(one, replace(one, **{key: 1.019 * value}))
        assert not same_pump(one, replace(one, **{key: 1.022 * value}))
        assert not same_pump(one, replace(one, **{key: 0.97 * value}))
