"""What sits in a hose or at a pump: balancing valve, adapters, a reading of the suction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from seaflow.boat.keys import key


@dataclass(frozen=True, kw_only=True, eq=False)
class ValvePoint:
    """One point of a balancing valve's curve."""

    turns: float = key(
        "Turns open, counted from shut.", quantity="valve_turns", example='"0.5"', required=True
    )
    loss: float = key(
        "Loss coefficient there, on the velocity in the bore of the valve.",
        quantity="loss_coefficient",
        example='"60"',
        required=True,
        least=1e-3,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class BalancingValve:
    """A valve that throttles a branch."""

    bore: float = key(
        "Bore on which its loss is stated.", quantity="bore", example='"16 mm"', required=True
    )
    set_to: float | None = key(
        "Turns it is open now; fully open if left out.", quantity="valve_turns", example='"2"'
    )
    points: tuple[ValvePoint, ...] = key(
        "Its curve, two points or more.",
        of=ValvePoint,
        many=True,
        required=True,
        example='[{ turns = "0.5", loss = "60" }, { turns = "4", loss = "0.8" }]',
    )

    @property
    def open_loss(self) -> float:
        """Its loss coefficient fully open, on its own bore."""
        return min(point.loss for point in self.points)

    @property
    def loss_now(self) -> float:
        """Its loss coefficient as it is set, on its own bore."""
        return self.open_loss if self.set_to is None else self.loss_at(self.set_to)

    def loss_at(self, turns: float) -> float:
        """Return the loss coefficient at some turns open; outside its curve, that of its end.

        Between two points the logarithm of the loss goes straight with the turns.
        """
        known = sorted(self.points, key=lambda point: point.turns)
        at = [point.turns for point in known]
        return float(np.exp(np.interp(turns, at, [np.log(point.loss) for point in known])))

    def turns_for(self, loss: float) -> float | None:
        """Return the turns open at which it has a loss coefficient; None where it never has."""
        known = sorted(self.points, key=lambda point: point.loss)
        if not known[0].loss * (1.0 - 1e-9) <= loss <= known[-1].loss:
            return None
        at = [float(np.log(point.loss)) for point in known]
        return float(np.interp(np.log(loss), at, [point.turns for point in known]))


@dataclass(frozen=True, kw_only=True, eq=False)
class Adapter:
    """An adapter at an end of a hose, to a tail that stays on a thing and carries another size.

    A short piece of the size that the tail carries lies between the two.
    """

    bore: float = key(
        "Inside diameter of the hose that the tail carries.",
        quantity="bore",
        example='"19 mm"',
        required=True,
    )
    barb_bore: float | None = key(
        "Clear bore of that tail; else the usual one for its hose.",
        quantity="bore",
        example='"14 mm"',
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class MeasuredSuction:
    """A gauge reading at the pump inlet with the strainer as dirty as it is before cleaning."""

    gauge_pressure: float = key(
        "Reading at the pump inlet; a vacuum is negative.",
        quantity="gauge_pressure",
        example='"-6 kPa"',
        required=True,
    )
    flow: float = key(
        "Flow when it was read.", quantity="volume_flow", example='"14 L/min"', required=True
    )


def on_bore(loss: float, stated_on: float, wanted_on: float) -> float:
    """Return a loss coefficient stated on one bore as it stands on another."""
    return loss * (wanted_on / stated_on) ** 4
