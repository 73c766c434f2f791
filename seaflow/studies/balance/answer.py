"""What `balance` answers, loop by loop."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.studies.design.cautions import Caution
from seaflow.studies.design.certainty.find_out import FindOut
from seaflow.studies.design.judge import GRADES, NO, SLACK, YES, Judgement, Ruling, worst_of


@dataclass(frozen=True, slots=True)
class BranchFlow:
    """What one branch gets; `margin` is over its need, `gained` over what it gets all open."""

    branch: str
    flow: float = measured("m3/s")
    need: float = measured("m3/s")
    margin: float = measured("-")
    gained: float = measured("-", 0.0)


@dataclass(frozen=True, slots=True)
class Sharing:
    """How the water is shared with all branches open, or with one shut (`shut` names it)."""

    shut: str
    flow: float = measured("m3/s")
    power: float = measured("W")
    branches: tuple[BranchFlow, ...] = ()

    @property
    def starving(self) -> tuple[BranchFlow, ...]:
        """The branches that get less than they need, the worst first."""
        short = (item for item in self.branches if item.margin < -SLACK)
        return tuple(sorted(short, key=lambda item: item.margin))


@dataclass(frozen=True, slots=True)
class ValveSetting:
    """What one balancing valve must be set to.

    `extra_loss` is a loss coefficient on the bore of `hose`, on top of what the branch has with its
    valve wide open, and `loss` with that of the valve; `turns` is open from shut, None where the
    case gives no curve that reaches it. `rise` is that of the water over the branch at this
    setting, None where a unit does not cool; `own_outlet` tells whether its stream comes out alone.
    """

    branch: str
    hose: str
    flow: float = measured("m3/s")
    margin: float = measured("-")
    extra_loss: float = measured("-")
    loss: float = measured("-")
    extra_head: float = measured("m")
    bore: float = measured("m")
    turns: float | None = measured("-")
    rise: float | None = measured("K", None)
    own_outlet: bool = True
    note: Fact | None = None

    @property
    def throttled(self) -> bool:
        """True if the valve has to be set."""
        return throttles(self.extra_loss)


WORTH = 0.05  # of simulated days; valves that win no more are not worth setting
LEAST_LOSS = 0.05  # extra loss coefficient; less is a valve wide open


def throttles(extra_loss: float) -> bool:
    """Return whether a valve has to be set for this extra loss, or may stay wide open."""
    return extra_loss > LEAST_LOSS


@dataclass(frozen=True, slots=True, kw_only=True)
class ValveSettings:
    """The setting that shares the water in proportion to need, the worst branch wide open.

    `settled` is False where no setting was found; then the best one tried is shown.
    `dirty_margin` is over the least flow that a unit must keep, of the unit that comes nearest to
    it in a dirty worst case, which `when_dirty` names. `check` says how to see what a branch gets.
    """

    branches: tuple[ValveSetting, ...]
    meets: bool
    settled: bool
    worst: str
    check: Fact
    margin: float = measured("-")
    dirty_margin: float | None = measured("-")
    when_dirty: Fact | None
    flow: float = measured("m3/s")
    power: float = measured("W")


@dataclass(frozen=True, slots=True)
class TrunkBore:
    """What a wider trunk alone gives the worst branch."""

    worst: str
    bore: float = measured("m")
    margin: float = measured("-")


@dataclass(frozen=True, slots=True)
class Trunk:
    """The hoses that all branches share, a run by its first piece, and what wider ones do."""

    hoses: tuple[str, ...] = ()
    bore: float = measured("m", 0.0)
    tried: tuple[TrunkBore, ...] = ()

    @property
    def enough(self) -> TrunkBore | None:
        """The narrowest bore that brings every branch to its need."""
        return next((item for item in self.tried if item.margin >= 0.0), None)


@dataclass(frozen=True, slots=True)
class SeriesUnit:
    """A unit that gets water another has warmed, against the same unit with water from the sea."""

    unit: str
    behind: tuple[str, ...]
    state: str
    says: tuple[Fact, ...]
    inlet_temperature: float = measured("degC")
    warmer: float = measured("K")
    cut_out_margin: float | None = measured("K")
    margin_with_sea_water: float | None = measured("K")
    power: float = measured("W")
    power_with_sea_water: float = measured("W")


@dataclass(frozen=True, slots=True)
class Discharge:
    """An outlet and an intake: how far apart, and what that means."""

    outlet: str
    intake: str
    says: Fact
    distance: float | None = measured("m", None)
    risk: bool = False


@dataclass(frozen=True, slots=True)
class Recirculation:
    """What a share of discharge in the intake water costs, for the unit nearest its cut-out."""

    unit: str
    state: str
    share: float = measured("-")
    intake_warmer: float = measured("K")
    rise_over_sea: float = measured("K")
    cut_out_margin: float | None = measured("K")
    power: float = measured("W")


@dataclass(frozen=True, slots=True)
class LoopBalance:
    """The answer for one loop; `setting` and `trunk` are None with fewer than two branches.

    `judgement` is that of `size` for the boat as it is, and `judged_set` with the valves set; None
    where no valve has to be. `invented` tells of the pump, `no_start` what keeps it from starting,
    `water` who starves, `to_set` what to do with the valves, `wider` what wider hoses would do
    instead, `drawn_back` what a share of discharge at the intake would, `on_days` how often all
    units keep their rise, `a_day` what all cooling takes in a day, None where a unit stops.
    """

    ALSO = ("grade",)

    name: str
    judgement: Judgement
    judged_set: Judgement | None
    pump: str
    pump_title: str
    pump_why: Fact
    on_days: Fact
    a_day: Fact | None
    invented: bool
    water: tuple[Fact, ...]
    drawn_back: Fact
    to_set: tuple[Fact, ...]
    wider: Fact | None
    no_start: tuple[Ruling, ...]
    sharing: tuple[Sharing, ...]
    setting: ValveSettings | None
    trunk: Trunk | None
    series: tuple[SeriesUnit, ...]
    discharges: tuple[Discharge, ...]
    recirculation: tuple[Recirculation, ...]
    sea_temperature: float = measured("degC")
    n_pumps: int = 1
    find_out: tuple[FindOut, ...] = ()

    @property
    def outcome(self) -> tuple[Fact, ...]:
        """What setting the valves comes to; which valves that are stands before it."""
        return self.to_set[1:] or self.to_set

    @property
    def is_met(self) -> bool:
        """True if in the warmest sea every branch has its need, as it is or with valves set."""
        return not self.starves or (self.setting is not None and self.setting.meets)

    @property
    def sets(self) -> bool:
        """True if setting the valves makes the boat better, by the judgement of all questions."""
        return sets(self.judgement, self.judged_set)

    @property
    def judged(self) -> Judgement:
        """The judgement of the boat as this answer leaves it."""
        return self.judged_set if self.sets and self.judged_set is not None else self.judgement

    @property
    def grade(self) -> str:
        """That of the boat as this answer leaves it: yes, tight or no."""
        return NO if self.no_start else self.judged.grade

    @property
    def starves(self) -> bool:
        """True if some branch gets less than it needs with all valves open."""
        return bool(self.sharing[0].starving)


def sets(now: Judgement, then: Judgement | None) -> bool:
    """Return whether valves are worth setting: by a better grade, or by days on a boat not a yes.

    `then` is the judgement with them set, None where none has to be.
    """
    if then is None or now.grade == YES:
        return False
    if now.grade != then.grade:
        return GRADES.index(then.grade) < GRADES.index(now.grade)
    return (then.keeps_rise or 0.0) >= (now.keeps_rise or 0.0) + WORTH


@dataclass(frozen=True, slots=True)
class Balance:
    """The answer for the whole boat; `at_rest` tells the loops that it leaves out."""

    ALSO = ("grade",)

    boat: str
    hull: str
    loops: tuple[LoopBalance, ...]
    invented_parts: bool
    sea_temperature: float = measured("degC")
    cautions: tuple[Caution, ...] = ()
    at_rest: tuple[Fact, ...] = ()

    @property
    def grade(self) -> str:
        """The worst grade of any loop."""
        return worst_of(loop.grade for loop in self.loops)
