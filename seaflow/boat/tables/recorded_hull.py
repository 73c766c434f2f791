"""Openings of the hull that are no part of the loop, and what a surveyor sees of a manifold.

Every key of a manifold may be left out: it then counts as not recorded, and the survey asks for it.
"""

from __future__ import annotations

from dataclasses import dataclass

from seaflow.boat.keys import key
from seaflow.boat.tables.recorded import HULL_METALS, HoseSeen
from seaflow.boat.tables.things import Fitting, Thing

FOUL = ("toilet discharge", "grey water discharge", "galley discharge", "bilge discharge")
ENGINE_INTAKE, ENGINE_EXHAUST = "engine intake", "engine exhaust"
USES = (
    *FOUL,
    ENGINE_INTAKE,
    "other intake",
    ENGINE_EXHAUST,
    "cockpit drain",
    "other discharge",
)
TAKE_OFFS = ("sideways or up", "down")


@dataclass(frozen=True, kw_only=True, eq=False)
class SkinFittingSeen:
    """What was seen of another opening of the hull."""

    material: str | None = key("What it is made of.", choices=HULL_METALS, example='"bronze"')
    pink_patches: bool | None = key(
        "True if the metal shows pink patches.", kind="flag", example="false"
    )
    firm: bool | None = key("True if it does not move when leaned on.", kind="flag", example="true")
    cracked: bool | None = key(
        "True if it is cracked, or chalky from the sun.", kind="flag", example="false"
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class SkinFitting(Thing):
    """Another opening of the hull: nothing of the loop, but the sea stands before it too."""

    use: str = key("What it is for.", choices=USES, example='"toilet discharge"', required=True)
    bore: float = key(
        "Clear bore of the fitting.", quantity="bore", example='"38 mm"', required=True
    )
    seacock: bool | None = key(
        "True if a seacock closes it, directly on the fitting.", kind="flag", example="true"
    )
    strong_line: bool | None = key(
        "True if its line is as strong as a seacock would have to be, up to above the heeled "
        "waterline.",
        kind="flag",
        example="false",
    )
    seen: SkinFittingSeen | None = key("What was seen of it on board.", of=SkinFittingSeen)


@dataclass(frozen=True, kw_only=True, eq=False)
class SkinHose:
    """The hose on another opening of the hull: nothing of the loop, and it floods her as well."""

    row: int = -1
    table: str = ""
    name: str = key("A name; else it is called by its opening.", example='"toilet hose"')
    on: str = key(
        "The skin fitting it is on, or that of its seacock.",
        example='"toilet discharge"',
        required=True,
    )
    to: str | None = key("Where it leads.", example='"toilet"')
    seen: HoseSeen | None = key("What was seen of it on board.", of=HoseSeen)

    @property
    def label(self) -> str:
        """The name of the hose, or where it is."""
        return self.name or f"hose on {self.on}"


@dataclass(frozen=True, kw_only=True, eq=False)
class ManifoldSeen:
    """What was seen of a manifold."""

    take_offs: str | None = key(
        "How the branches leave it.", choices=TAKE_OFFS, example='"sideways or up"'
    )
    level: bool | None = key(
        "True if it lies level or rises the way the water goes.", kind="flag", example="true"
    )
    dead_leg: bool | None = key(
        "True if a closed end or stub on top of it can hold air.", kind="flag", example="false"
    )
    drain: bool | None = key(
        "True if a drain or a flushing port is at its low end.", kind="flag", example="true"
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Manifold(Fitting):
    """A manifold that shares the water among several branches."""

    seen: ManifoldSeen | None = key("What was seen of it on board.", of=ManifoldSeen)
