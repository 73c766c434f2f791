"""A strainer's loss from a gauge reading at the pump: what was measured overrules every table."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from seaflow.base.constants import GRAVITY
from seaflow.boat.tables.things import Pump
from seaflow.model.conditions import Conditions
from seaflow.model.elements import Basket, Pumping
from seaflow.model.loop import Link
from seaflow.model.pressures import element_losses
from seaflow.physics.seawater import Seawater


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
            velocity = 4.0 * reading.flow / (np.pi * float(np.asarray(element.bore)) ** 2)
            rest += velocity**2 / (2.0 * GRAVITY)
            break
        if element is not strainer:
            rest += float(element_losses(element, now, flow, water.kinematic_viscosity)[0])
    lost = -level - reading.gauge_pressure / (float(water.density) * GRAVITY) - rest
    head = (4.0 * reading.flow / (np.pi * float(np.asarray(strainer.bore)) ** 2)) ** 2 / (
        2.0 * GRAVITY
    )
    if lost <= 0.0:
        return link
    fitted = replace(strainer, measured=(lost / head, blockage))
    return replace(link, elements=(*link.elements[:index], fitted, *link.elements[index + 1 :]))
