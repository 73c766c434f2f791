"""What the model says of a finding in numbers: flow and pressure, basket clean."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from seaflow.base.sentence import quantity
from seaflow.model.elements import Cock
from seaflow.model.pressures import heads_by_element, pressures, pump_gauge
from seaflow.studies.survey.blockage import LoopRun
from seaflow.studies.survey.facts import Facts, LoopFacts

FINE = 0.0  # Pa: less than the air outside is a vacuum, which draws air in at a joint


def flow_words(facts: Facts, loop: LoopFacts) -> str:
    """Return what runs and what a gauge at the pump inlet shows, or nothing without a pump."""
    run = facts.runs.get(loop.network.name)
    if run is None:
        return ""
    flow = float(run.point.total_flow()[0])
    if not np.isfinite(flow) or flow <= 0.0:
        return "by the model no water runs, basket clean"
    gauge = pump_gauge(run.point)
    words = f"primed and basket clean, {quantity('flow', flow)} run by the model"
    if gauge is not None and np.isfinite(gauge[0]):
        words += f" and a gauge at the pump inlet shows {quantity('pressure', float(gauge[0]))}"
    return words


def point_words(facts: Facts, loop: LoopFacts, label: str) -> str:
    """Return the pressure at a point of a loop as it runs, or nothing where it is not known."""
    run = facts.runs.get(loop.network.name)
    gauge = None if run is None else _gauge(run, label)
    if gauge is None:
        return ""
    state = (
        "which draws air in at any leak" if gauge < FINE else "so it does not draw air as it runs"
    )
    return f"as it runs, the pressure there is {quantity('pressure', gauge)}, {state}"


def _gauge(run: LoopRun, label: str) -> float | None:
    for point in pressures(run.point):
        if point.label == label and np.isfinite(np.ravel(point.gauge)[0]):
            return float(np.ravel(point.gauge)[0])
    return None


def cock_words(facts: Facts, name: str) -> str:
    """Return the loss of a valve at the hull, open: its coefficient and what it costs."""
    for loop in facts.loops:
        for element in loop.loop.elements(Cock):
            if element.name != name:
                continue
            run = facts.runs.get(loop.network.name)
            k = float(np.ravel(np.asarray(element.loss_coefficient))[0])
            words = f"open, it costs {k:.2g} times the velocity head in its bore"
            if run is not None:
                heads = heads_by_element(run.point)
                lost = [float(item.lost[0]) for item in heads if item.name == name]
                words += f", {quantity('head', lost[0])} of head as it runs" if lost else ""
            return words
    return ""


def joined(parts: Iterable[str]) -> str:
    """Return what is said, as one sentence."""
    return "; ".join(part for part in parts if part)
