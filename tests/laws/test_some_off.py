"""Of several units in one loop some are off: the water runs as ever, and the others are judged."""

from dataclasses import replace

import pytest
from sizing import MOTOR, shipped

from seaflow.boat import network
from seaflow.studies.balance.study import balance
from seaflow.studies.design.judge import GRADES
from seaflow.studies.energy.study import energy
from seaflow.studies.improve.study import improve
from seaflow.studies.page.study import boat_page
from seaflow.studies.place.study import place
from seaflow.studies.size.curves import boat_curves
from seaflow.studies.size.size import size

FEW = (64, 20)  # simulated days, and their seed
ROUNDING = 1e-9
SOME = [(0,), (1,), (2,), (0, 1), (1, 2), (0, 2)]  # of the three units of the motor yacht


def with_off(rows):
    case = shipped(MOTOR)
    units = tuple(replace(one, switched_on=one.row not in rows) for one in case.unit)
    return replace(case, unit=units)


@pytest.mark.parametrize("rows", SOME)
@pytest.mark.parametrize("samples", [0, 64])
def test_water_through_a_unit_that_is_off_is_counted_and_asks_for_nothing(rows, samples):
    (on,), case = size(shipped(MOTOR), samples, 20).loops, with_off(rows)
    (off,) = (answer := size(case, samples, 20)).loops
    assert off.flow_needed == pytest.approx(on.flow_needed, rel=ROUNDING)
    assert off.heads.head == pytest.approx(on.heads.head, rel=ROUNDING)
    assert on.flow_needed * (1.0 - ROUNDING) <= off.asks.flow <= on.asks.flow * (1.0 + ROUNDING)
    assert off.asks.head <= on.asks.head * (1.0 + ROUNDING)
    grades = {item.part.name: GRADES.index(item.judgement.grade) for item in on.pumps}
    for item in off.pumps:
        assert GRADES.index(item.judgement.grade) <= grades[item.part.name]
    states = [unit.state for unit in off.chosen.design.units]
    assert [state == "off" for state in states] == [unit.row in rows for unit in case.unit]
    (before,) = boat_curves(shipped(MOTOR), size(shipped(MOTOR), samples, 20))
    (curves,) = boat_curves(case, answer)
    assert curves.asked.flow <= before.asked.flow * (1.0 + ROUNDING)


@pytest.mark.parametrize("rows", SOME[:1] + SOME[-1:])
def test_other_questions_answer_for_the_units_that_are_on(rows):
    case = with_off(rows)
    (found,) = network.loops(case)
    improved = improve(case, sampling=(16, 20))
    for answer in (balance(case), energy(case), improved, boat_page(case, FEW).asked.size):
        assert [loop.name for loop in answer.loops] == [found.name]
        assert answer.at_rest == ()
    assert [one.pump for one in place(case).pumps] == [found.pumps[0].name]
