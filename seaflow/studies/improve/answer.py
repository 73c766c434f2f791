"""What `improve` answers, loop by loop."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.studies.design.cautions import Caution
from seaflow.studies.design.certainty.find_out import FindOut
from seaflow.studies.design.judge import NO, worst_of
from seaflow.studies.design.kinds import told_first
from seaflow.studies.improve.leave import Leave
from seaflow.studies.size.item import Item
from seaflow.studies.size.to_buy import ToBuy


@dataclass(frozen=True, slots=True)
class Choice:
    """A boat with some changes: what they are, and what they do.

    `flow` and `margin` are of the worst unit at the warmest sea, all clean. `price` is of the parts
    with a price; `unpriced` names the others. `too_much` tells of a coil that gets more than it
    stands when all is clean, `runs_full` that every leg after a crest gives its height back,
    `takes_water` that the worst unit is left with less than it has on the boat as it is, or with
    less than another pump alone would leave it.
    `remarks` is how many warnings `size` has of its pump in the loop as it is.
    `reasons` is what size still holds against it, `cure` what else would cure that, `remark` what
    tells it from the boat as it is. `parts` are what is bought for it, `asks` what to ask of a pump
    that is new in it, whoever makes it, and `gives` tells whether the one named gives that.
    """

    changes: tuple[Fact, ...]
    n_changes: int
    pump: str
    worst: str = ""
    flow: float = measured("m3/s", 0.0)
    margin: float = measured("-", 0.0)
    keeps_rise: float = measured("-", 0.0)
    keeps_running: float = measured("-", 0.0)
    error: float = measured("-", 0.0)
    energy_per_day: float = measured("J", 0.0)
    price: float | None = None
    currency: str = ""
    unpriced: tuple[str, ...] = ()
    too_much: bool = False
    runs_full: bool = True
    takes_water: bool = False
    remarks: int = 0
    cautions: tuple[Fact, ...] = ()
    grade: str = NO
    reasons: tuple[Fact, ...] = ()
    doubts: tuple[Fact, ...] = ()
    cure: Fact | None = None
    remark: Fact | None = None
    parts: tuple[Item, ...] = ()
    asks: ToBuy | None = None
    gives: bool = True

    @property
    def held(self) -> Fact | None:
        """What of that is told first."""
        return told_first(self.reasons or self.doubts)

    @property
    def measures(self) -> tuple[float, ...]:
        """What counts when two choices are compared, each the less the better.

        Likelihoods and what is short of need count in whole per cent and energy in 50 Wh a day:
        less is not seen on board.
        """
        return (
            -round(100.0 * self.keeps_rise),
            -round(100.0 * self.keeps_running),
            round(self.energy_per_day / ENERGY_STEP),
            self.n_changes,
            0.0 if self.price is None else self.price,
            round(-100.0 * min(self.margin, 0.0)),
            self.remarks,
        )

    def beats(self, other: Choice) -> bool:
        """Return whether this one is nowhere worse than the other, and somewhere better."""
        mine, theirs = self.measures, other.measures
        return mine != theirs and all(a <= b for a, b in zip(mine, theirs, strict=True))


ENERGY_STEP = 180e3  # J, a twentieth of a kilowatt hour


@dataclass(frozen=True, slots=True)
class LoopImprovement:
    """The answer for one loop: as it is, each change alone, and the few that none beats.

    `what` says what to change and what that does, `why` why that and nothing else. `leave` tells of
    a boat that is better left as it is and measured. Where nothing `helps` enough to be worth
    doing, the winner is the boat as it is, and `what` tells what to look for. `pair` is one group
    of hoses one size up with a pump, where that takes a clearly smaller pump than one alone.
    """

    name: str
    pump_why: Fact
    now: Choice
    singles: tuple[Choice, ...]
    front: tuple[Choice, ...]
    winner: Choice
    what: tuple[Fact, ...]
    why: tuple[Fact, ...]
    n_tried: int
    n_sampled: int
    left_out: tuple[Fact, ...] = ()
    leave: Leave | None = None
    find_out: tuple[FindOut, ...] = ()
    helps: bool = True
    pair: Choice | None = None


@dataclass(frozen=True, slots=True)
class Improvement:
    """The answer for the whole boat; `at_rest` tells the loops that it leaves out."""

    ALSO = ("grade",)

    boat: str
    hull: str
    n_samples: int
    seed: int
    invented_parts: bool
    loops: tuple[LoopImprovement, ...]
    enough: float = measured("-", 0.0)
    cautions: tuple[Caution, ...] = ()
    at_rest: tuple[Fact, ...] = ()

    @property
    def grade(self) -> str:
        """The worst grade of the choices taken."""
        return worst_of(loop.winner.grade for loop in self.loops)
