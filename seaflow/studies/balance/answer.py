"""What `balance` answers, loop by loop."""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.base.facts import Fact
from seaflow.base.measured import measured
from seaflow.studies.design.cautions import Caution


@dataclass(frozen=True, slots=True)
class BranchFlow:
    """A branch in one state of the loop; `margin` is over its need, `gained` over all open."""

    branch: str
    flow: float = measured("m3/s")
    need: float = measured("m3/s")
    margin: float = measured("-")
    gained: float = measured("-", 0.0)


@dataclass(frozen=True, slots=True)
class State:
    """The loop with all branches open, or with one shut (`shut` names it)."""

    shut: str
    flow: float = measured("m3/s")
    power: float = measured("W")
    branches: tuple[BranchFlow, ...] = ()


@dataclass(frozen=True, slots=True)
class BranchSetting:
    """What one balancing valve must be set to.

    `extra_loss` is a loss coefficient on the bore of `hose`, on top of what the branch has with its
    valve wide open; `turns` is open from shut, None where the case gives no curve that reaches it.
    """

    branch: str
    hose: str
    flow: float = measured("m3/s")
    margin: float = measured("-")
    extra_loss: float = measured("-")
    extra_head: float = measured("m")
    bore: float = measured("m")
    turns: float | None = measured("-", None)
    note: str = ""


@dataclass(frozen=True, slots=True)
class Setting:
    """The setting that shares the water in proportion to need, the worst branch wide open.

    `settled` is False where no setting was found; then the best one tried is shown.
    """

    branches: tuple[BranchSetting, ...]
    meets: bool
    settled: bool
    worst: str
    margin: float = measured("-")
    dirty_margin: float = measured("-")
    dirty_words: str = ""
    flow: float = measured("m3/s", 0.0)
    power: float = measured("W", 0.0)


@dataclass(frozen=True, slots=True)
class TrunkBore:
    """What a wider trunk alone gives the worst branch."""

    worst: str
    bore: float = measured("m")
    margin: float = measured("-")


@dataclass(frozen=True, slots=True)
class Trunk:
    """The hoses that all branches share, and what wider ones do."""

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
    inlet_temperature: float = measured("degC")
    warmer: float = measured("K")
    cut_out_margin: float | None = measured("K", None)
    margin_with_sea_water: float | None = measured("K", None)
    power: float = measured("W", 0.0)
    power_with_sea_water: float = measured("W", 0.0)


@dataclass(frozen=True, slots=True)
class Discharge:
    """An outlet and an intake: how far apart, and what that means."""

    outlet: str
    intake: str
    distance: float | None = measured("m")
    risk: bool = False
    words: str = ""


@dataclass(frozen=True, slots=True)
class Recirculation:
    """What a share of discharge in the intake water costs, for the unit nearest its cut-out."""

    unit: str
    state: str
    share: float = measured("-")
    intake_warmer: float = measured("K")
    rise_over_sea: float = measured("K")
    cut_out_margin: float | None = measured("K", None)
    power: float = measured("W", 0.0)


@dataclass(frozen=True, slots=True)
class LoopBalance:
    """The answer for one loop; `setting` and `trunk` are None with fewer than two branches."""

    name: str
    pump: str
    pump_title: str
    pump_why: Fact
    states: tuple[State, ...] = ()
    setting: Setting | None = None
    trunk: Trunk | None = None
    series: tuple[SeriesUnit, ...] = ()
    discharges: tuple[Discharge, ...] = ()
    recirculation: tuple[Recirculation, ...] = ()
    sea_temperature: float = measured("degC", 0.0)

    @property
    def is_met(self) -> bool:
        """True if every branch has its need with all valves open, or after setting them."""
        now = all(item.margin >= -1e-6 for item in self.states[0].branches)
        return now or (self.setting is not None and self.setting.meets)


@dataclass(frozen=True, slots=True)
class Balance:
    """The answer for the whole boat."""

    boat: str
    hull: str
    loops: tuple[LoopBalance, ...]
    invented_parts: bool
    sea_temperature: float = measured("degC")
    cautions: tuple[Caution, ...] = ()

    @property
    def is_met(self) -> bool:
        """True if every branch of every loop has its need, as it is or after setting."""
        return all(loop.is_met for loop in self.loops)
