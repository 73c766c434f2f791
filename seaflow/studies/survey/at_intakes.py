"""Rules on intakes: scoops, shared openings, depth at heel, and the way to the outlet."""

from __future__ import annotations

import math
from collections.abc import Iterator

from seaflow.base.sentence import quantity
from seaflow.boat.tables.things import Intake
from seaflow.model.geometry import immersions
from seaflow.physics.hull.heel import scoop_head
from seaflow.studies.survey.facts import Facts, degrees
from seaflow.studies.survey.rules import Fault, Fine, Unknown, Verdict

KNOT = 1852.0 / 3600.0
LEAST_COVER = 0.15  # m over an intake at heel: common practice 0.15 to 0.2 m, waves add
SHARED_AREA, SHARED_DEPTH = 1.1, 0.6  # times, m: one textbook, as quoted in the trade


def scoop_aft(facts: Facts) -> Iterator[Verdict]:
    """A scoop faces forward."""
    for intake, faces in _faces(facts):
        if faces is None:
            yield Unknown(intake.name, ("intake", intake.name, "entry"))
            continue
        if faces != "aft":
            yield Fine(intake.name)
            continue
        _, row = facts.case.catalogue.find("entries", intake.entry)
        lost = -float(scoop_head(6.0 * KNOT, float(row["recovery"])))
        yield Fault(
            intake.name,
            "its scoop faces aft",
            f"at 6 knots it takes about {quantity('head', lost)} of head from the pump",
        )


def shared_area(facts: Facts) -> Iterator[Verdict]:
    """A shared opening is larger than all that draws from it."""
    for loop in facts.loops:
        for intake in loop.intakes:
            if not intake.also_feeds:
                continue
            bores = [user.bore for user in intake.also_feeds]
            bores += [hose.bore for hose in loop.network.leaving(intake.name)]
            known = [bore for bore in bores if bore is not None]
            if len(known) < len(bores):
                yield Unknown(intake.name, ("intake", intake.name, "also_feeds"))
                continue
            ratio = intake.bore**2 / sum(bore**2 for bore in known)
            fault = Fault(
                intake.name, f"its area is {ratio:.2f} times that of all hoses that draw from it"
            )
            yield Fine(intake.name) if ratio >= SHARED_AREA else fault


def shared_depth(facts: Facts) -> Iterator[Verdict]:
    """A shared opening lies deep."""
    for intake in facts.case.intakes:
        if not intake.also_feeds:
            continue
        if intake.level is None:
            yield Unknown(intake.name, ("intake", intake.name, "height"))
        elif -intake.level >= SHARED_DEPTH:
            yield Fine(intake.name)
        else:
            words = f"it is shared and lies only {quantity('height', -intake.level)} deep"
            yield Fault(intake.name, words)


def shared_engine(facts: Facts) -> Iterator[Verdict]:
    """The engine does not share the intake of the cooling."""
    for intake in facts.case.intakes:
        if feeds_engine(intake):
            only = facts.boat.only_engine_shares
            words = "the only engine draws from it too" if only else "an engine draws from it too"
            yield Fault(intake.name, words, severity="critical" if only else None)
        else:
            yield Fine(intake.name)


def intake_emerges(facts: Facts) -> Iterator[Verdict]:
    """An intake stays under water at the working heel."""
    heel = facts.working_heel
    if heel is None:
        yield Unknown("the boat", ("boat", "the boat", "works_to_heel"))
        return
    for loop in facts.loops:
        for item in immersions(loop.loop, heel):
            if item.upright is None:
                yield Unknown(item.name, ("intake", item.name, "height"))
            elif item.at_heel is None or item.emerges is None:
                yield Unknown(item.name, ("intake", item.name, "starboard"))
            elif min(item.at_heel) >= LEAST_COVER:
                yield Fine(item.name)
            else:
                left = min(item.at_heel)
                angles = [angle for angle in item.emerges if angle is not None]
                place = "under" if left > 0.0 else "out of the"
                yield Fault(
                    item.name,
                    f"at {degrees(heel)} it is {quantity('height', abs(left))} {place} water on "
                    f"one tack; at rest it is {quantity('height', item.upright)} under",
                    f"it comes out of the water at {math.degrees(min(angles)):.0f} degrees"
                    if angles
                    else "",
                    None if left <= 0.0 else "minor",
                )


def scoop_on_engine(facts: Facts) -> Iterator[Verdict]:
    """No scoop faces forward on an opening that an engine draws from."""
    for intake, faces in _faces(facts):
        if faces is None:
            yield Unknown(intake.name, ("intake", intake.name, "entry"))
        elif faces == "forward" and feeds_engine(intake):
            head = float(scoop_head(6.0 * KNOT, 1.0))
            yield Fault(
                intake.name,
                "a scoop that faces forward feeds an engine too",
                f"at 6 knots it presses with up to {quantity('head', head)}",
            )
        else:
            yield Fine(intake.name)


def scoop_missing(facts: Facts) -> Iterator[Verdict]:
    """The intake of a multihull has a scoop that faces forward."""
    for intake, faces in _faces(facts):
        if "multihull" not in facts.case.boat.hull or faces in ("forward", "aft"):
            yield Fine(intake.name)  # one that faces aft has a rule of its own
        elif faces is None:
            yield Unknown(intake.name, ("intake", intake.name, "entry"))
        else:
            yield Fault(intake.name, "it has no scoop, on a light and shallow hull")


def _faces(facts: Facts) -> Iterator[tuple[Intake, str | None]]:
    """Yield each intake with the way that its entry faces, None where that is not recorded."""
    for intake in facts.case.intakes:
        known = (intake.table, intake.row, "entry") in facts.case.text.where
        _, row = facts.case.catalogue.find("entries", intake.entry)
        yield intake, str(row["faces"]) if known else None


def feeds_engine(intake: Intake) -> bool:
    """Return whether an engine draws from an intake too."""
    return any("engine" in user.name.lower() for user in intake.also_feeds)
