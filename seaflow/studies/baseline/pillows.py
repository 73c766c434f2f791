"""What the pump alone should be heard at, at each pillow, where the case says enough for it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from seaflow.boat.case import Case
from seaflow.boat.tables.rooms import PumpPlace
from seaflow.boat.tables.things import Pump, apart
from seaflow.studies.diagnose.simulate import Flotilla
from seaflow.studies.place.house import house_of
from seaflow.studies.place.routes import candidates
from seaflow.studies.place.sound import SoundAt, footing_of, heard
from seaflow.studies.place.source import source_of

SAME_PLACE = 0.25  # m from the pump to a place of the case that is taken for its own; own choice


def sound_at_pillows(flotilla: Flotilla) -> Iterator[SoundAt]:
    """Yield the level at each berth with the pump where it stands, or nothing."""
    case, pump = flotilla.setup.case, flotilla.setup.place
    place = _where_it_stands(case, pump)
    if place is None or not case.compartment:
        return
    running = flotilla.point.pumps[pump.name].speed_ratio
    source = source_of(flotilla.setup.part, case.supply.frequency, float(np.median(running)))
    yield from heard(case, house_of(case), place, source, footing_of(place))


def _where_it_stands(case: Case, pump: Pump) -> PumpPlace | None:
    """Return the place of the case at which the pump stands, or None."""
    if pump.at is None:
        return None
    places = [candidate.place for candidate in candidates(case, pump.name)]
    near = [(way, place) for place in places if (way := apart(pump.at, place.at)) is not None]
    near = [(way, place) for way, place in near if way <= SAME_PLACE]
    return min(near, key=lambda item: item[0])[1] if near else None
