"""What healthy boats read, and whether a unit is hot beside them."""

from __future__ import annotations

import numpy as np

from seaflow.base.facts import Fact, amount, fact
from seaflow.studies.design.certainty.sample import weighted_quantiles
from seaflow.studies.design.limits import limit
from seaflow.studies.diagnose.faults import may_be_touched
from seaflow.studies.diagnose.infer import Posterior
from seaflow.studies.diagnose.predict import predicted
from seaflow.studies.diagnose.readings import HIGH_SIDE, Number, Readings, instruments
from seaflow.studies.diagnose.simulate import supply_range

TRIPPED = ("tripped", "yes")
WET = ("bilge", "salt water")
PART = ("load", "part")
PART_LOAD = "part_load"  # the fault
LIKELIER = 0.5  # than not
LITTLE_HEAT = ("discharge", "watts", *HIGH_SIDE)  # low at part load
UNUSUAL = 0.05  # of healthy boats that read so far out, or that show such a sign
OF_HEAT = ("discharge", *HIGH_SIDE)  # readings that show a unit hot, or cold while it heats
LOW_VOLTS = ("diagnose.flat_bank", "diagnose.low_mains")  # what is said of low volts
FAR = 2.0  # times the most rise of healthy boats, from which on it is acted on; our assumption


def usual_of(posterior: Posterior, number: Number) -> tuple[float, float] | None:
    """Return between which ends healthy boats would read, or None where they tell nothing.

    Volts that were read are met by every boat: they are held to those of the supply.
    """
    if number.kind == "volts":
        low, _, high = supply_range(posterior.flotilla.setup)
        return low, high
    plain = posterior.flotilla.as_they_come
    seen = predicted(plain, number.kind, number.place)
    if seen is None or number.kind == "sea":
        return None
    # as such boats are, and not as they were drawn, which is oftener where the readings point
    usual = plain.hypotheses.healthy & np.isfinite(seen)
    weight = np.where(usual, np.exp(plain.log_prior), 0.0)
    if weight.sum() <= 0.0:
        return None
    low, high = weighted_quantiles(seen, weight, (UNUSUAL, 1.0 - UNUSUAL))
    return low, high


def at_part_load(posterior: Posterior, readings: Readings) -> bool:
    """Tell whether a unit works at part load, as was told and as its readings bear: little rise
    is usual then.
    """
    if PART not in readings.signs or readings.mode != "cooling":
        return False
    here = posterior.flotilla.hypotheses.present(posterior.flotilla.setup.index(PART_LOAD))
    return float(posterior.weight[here].sum()) > LIKELIER


def low_volts(posterior: Posterior, readings: Readings) -> Fact | None:
    """Return that the volts read are below those of the supply, and what that does, or None.

    What they are held to is the least of a sound supply, so a meter's last digit is left on top of
    it, and not all that it may be off.
    """
    volts, setup = readings.of("volts"), posterior.flotilla.setup
    if volts is None:
        return None
    low, _, high = supply_range(setup)
    if volts >= low - instruments()["volts"].error:
        return None
    told = {"low": amount("voltage", low), "high": amount("voltage", high)}
    kind = LOW_VOLTS[0 if may_be_touched(setup.case) else 1]
    return fact(kind, volts=amount("voltage", volts), **told)


def no_more_load(posterior: Posterior, readings: Readings) -> bool:
    """Tell whether more load could do harm: a unit tripped, or is hotter than healthy ones.

    While heating it is one whose water leaves colder.
    """
    if TRIPPED in readings.signs or coldest(readings) is not None:
        return True
    for number in readings.numbers:
        usual = usual_of(posterior, number) if number.kind in OF_HEAT else None
        if usual is None:
            continue
        heats = readings.mode == "heating"
        if number.value < usual[0] if heats else number.value > usual[1]:
            return True
    return False


def far_too_hot(posterior: Posterior, readings: Readings) -> bool:
    """Tell whether water leaves twice as far over the sea as on a healthy boat."""
    sea = float(np.median(posterior.flotilla.as_they_come.met.sea))
    for number in readings.numbers:
        usual = usual_of(posterior, number) if number.kind == "discharge" else None
        if usual is not None and number.value - sea > FAR * (usual[1] - sea) > 0.0:
            return True
    return False


def coldest(readings: Readings) -> float | None:
    """Return the coldest water that leaves a unit that heats, where it is as cold as ice allows."""
    leaves = [item.value for item in readings.numbers if item.kind == "discharge"]
    if readings.mode != "heating" or not leaves or min(leaves) > limit("ice_risk"):
        return None
    return min(leaves)
