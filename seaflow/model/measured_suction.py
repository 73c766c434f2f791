"""A strainer's loss from a gauge reading at the pump: what was measured overrules every table."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from seaflow.boat.tables.things import Pump
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Basket, Element, Pumping
from seaflow.model.loop import Link
from seaflow.model.pressures import element_losses
from seaflow.physics.flow.velocities import velocity, velocity_head
from seaflow.physics.hull.openings import head_of_pressure
from seaflow.physics.water.seawater import Seawater


def with_measured_strainer(link: Link, place: Pump, water: Seawater, blockage: float) -> Link:
    """Return the link with its strainer fitted to the suction reading of its pump.

    The reading is taken to stand for `blockage`, the state before cleaning. A link without a
    reading, a strainer or the pump's height comes back as it is, and so does one whose reading
    is explained without a strainer.
    """
    reading, level = place.measured_suction, place.level
    index = next((i for i, item in enumerate(link.elements) if isinstance(item, Basket)), None)
    if reading is None or level is None or index is None or blockage <= 0.0:
        return link
    strainer = link.elements[index]
    assert isinstance(strainer, Basket)
    now, flow = Conditions(sea_temperature=20.0), np.asarray([reading.flow])
    rest = 0.0
    for element in link.elements:
        if isinstance(element, Pumping):
            rest += _speed_head(reading.flow, element)
            break
        if element is not strainer:
            rest += float(element_losses(element, now, flow, water.kinematic_viscosity)[0])
    lost = -level - float(head_of_pressure(reading.gauge_pressure, water.density)) - rest
    if lost <= 0.0:
        return link
    found = lost / _speed_head(reading.flow, strainer)
    fitted = replace(strainer, measured=(found, blockage))
    return replace(link, elements=(*link.elements[:index], fitted, *link.elements[index + 1 :]))


def _speed_head(flow: float, element: Element) -> float:
    """Return what the speed in the bore of an element is worth [m]."""
    return float(velocity_head(velocity(flow, float(np.asarray(element.bore)))))
