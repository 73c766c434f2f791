"""How much wider an answer is for want of a description of the boat, and what would narrow it most.

Whatever is only typical of a boat, and a pump that nobody named, is drawn with everything else. So
what a description would tell is measured on the simulated boats: how far apart healthy ones read
for it, and how the odds differ between boats on which one such fact lies low and lies high.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.random import RandomState
from numpy.typing import NDArray

from seaflow.base.arrays import Array
from seaflow.base.facts import Fact, fact
from seaflow.base.measured import measured
from seaflow.boat.paths import told_at
from seaflow.studies.design.certainty.inputs import Input
from seaflow.studies.design.certainty.sample import explained_share
from seaflow.studies.design.certainty.spreads import TYPICAL, spread
from seaflow.studies.diagnose.doubts import OF_ANY_PUMP
from seaflow.studies.diagnose.faults import nothing
from seaflow.studies.diagnose.hypotheses import healthy_boats
from seaflow.studies.diagnose.infer import Posterior
from seaflow.studies.diagnose.next_reading import by_cause, information
from seaflow.studies.diagnose.predict import predicted
from seaflow.studies.diagnose.readings import Number, Readings, instruments
from seaflow.studies.diagnose.simulate import Setup, met_by, own_shares, run

HEALTHY = 2048  # boats
CUT = (0.01, 0.99)  # of what they read, beyond which a dry one counts no further
LEAST_TIMES = 1.1  # as wide, from which on it is said
BEYOND_CHANCE = 3.7  # times what so few boats tell by chance: so far one in a thousand goes
LEAST_SHARE = 0.03  # of how far healthy boats read apart that a fact must explain
MOST_CAUSES = 3  # that are told apart by a fact, as many as the card names; the rest is one
SIDEWAYS = ("aft", "starboard")  # of a place; upright they move nothing
EDGES = (1.0 / 3.0, 2.0 / 3.0)
Numbers = NDArray[np.intp]
# What is said of the low and the high end of a fact, by the last word of its path.
_SAYS = {
    "height": "diagnose.narrows_by_height",
    "length": "diagnose.narrows_by_length",
    "bore": "diagnose.narrows_by_bore",
}
_SAYS_OF_PUMP, _SAYS_OF_REST = "diagnose.narrows_by_pump", "diagnose.narrows_by_size"
_OF_HOSES = {"bore": "bores", "length": "lengths"}  # rows of spreads.toml that name them together


@dataclass(frozen=True, slots=True)
class Narrows:
    """The one fact of the boat that would narrow the answer most, and how to find it out.

    `tells` is what it tells of the causes [bit], beyond chance, and `explains` its share of how far
    healthy boats read apart; `says` is all of it as a sentence.
    """

    what: str
    how: str
    says: Fact
    tells: float = measured("-")
    explains: float = measured("-")


@dataclass(frozen=True, slots=True)
class Undescribed:
    """What an answer loses because the boat was not described.

    What a healthy boat reads is `times` as wide as if all that is typical of it were known.
    """

    says: Fact
    times: float = measured("-")
    find_out: Narrows | None = None


@dataclass(frozen=True, slots=True)
class _About:
    """A fact of the boat that is not known, and the rows of its draws."""

    what: str
    how: str
    kind: str
    rows: tuple[int, ...]
    of_unit: bool = False

    def total(self, shares: Array) -> Array:
        """Return where it lies on each boat, from nought up."""
        return np.asarray(shares[list(self.rows)].sum(axis=0))


def undescribed(
    posterior: Posterior, readings: Readings, shares: Array | None, seed: int
) -> Undescribed | None:
    """Return what the answer loses for want of a description; None where it loses nothing.

    `shares` are those of boats that agree with stored readings, where there are any.
    """
    setup = posterior.flotilla.setup
    unknown = tuple(_unknown(setup))
    if not unknown:
        return None
    number = _judged_by(setup, readings)
    drawn = own_shares(setup, HEALTHY, seed) if shares is None else shares
    seen = _healthy(setup, readings, number, (drawn, seed))
    times = _times_as_wide(drawn[[row for one in unknown for row in one.rows]], seen)
    found = _narrows(posterior, unknown, drawn, seen)
    if times < LEAST_TIMES and found is None:
        return None
    about = {"title": instruments()[number.kind].title, "times": times}
    kind = "diagnose.wider" if times >= LEAST_TIMES else "diagnose.no_wider"
    return Undescribed(fact(kind, **about), times, found)


def _unknown(setup: Setup) -> Iterator[_About]:
    """Yield what is not known of the boat: hoses go together, all else one by one."""
    groups: dict[object, list[tuple[int, Input]]] = {}
    for row, item in enumerate(setup.inputs):
        if item.spread.name in OF_ANY_PUMP:
            groups.setdefault("pump", []).append((row, item))
        elif item.spread.name == TYPICAL and item.path and item.path[-1] not in SIDEWAYS:
            of_hoses = item.path[0] == "hose" and len(item.path) == 3
            groups.setdefault(item.path[-1] if of_hoses else item.path, []).append((row, item))
    for key, members in groups.items():
        rows, first = tuple(row for row, _ in members), members[0][1]
        if first.path is None:
            yield _About(first.label, first.spread.measure, _SAYS_OF_PUMP, rows)
            continue
        about, last = told_at(setup.case, first.path), str(first.path[-1])
        together = isinstance(key, str) and len(rows) > 1 and last in _OF_HOSES
        what = spread(_OF_HOSES[last]).meaning if together else about.what
        of_unit = first.path[0] == "unit"
        yield _About(what, about.how, _SAYS.get(last, _SAYS_OF_REST), rows, of_unit)


def _judged_by(setup: Setup, readings: Readings) -> Number:
    """Return the reading by which a boat is called healthy: the first number, else the flow."""
    seen = (one for one in readings.numbers if one.kind not in ("sea", "volts"))
    return next(seen, Number("flow", setup.places.outlets[0], 0.0))


def _healthy(setup: Setup, readings: Readings, number: Number, drawn: tuple[Array, int]) -> Array:
    """Return what healthy boats would read, dry ones as the driest of the others."""
    shares, seed = drawn
    hypotheses = healthy_boats(len(setup.faults), shares.shape[1])
    met = met_by(setup, hypotheses, readings, RandomState(seed))
    found = predicted(run(setup, hypotheses, met, shares, readings), number.kind, number.place)
    if found is None or not np.isfinite(found).any():
        return np.zeros(shares.shape[1])
    ends = np.nanquantile(found, CUT)
    return np.asarray(np.clip(np.where(np.isfinite(found), found, ends[0]), *ends))


def _times_as_wide(shares: Array, seen: Array) -> float:
    """Return the width of `seen` over what is left of it once these shares are known.

    By the part of its variance that straight lines and parabolas of them explain together.
    """
    total = float(np.var(seen, ddof=1))
    if total <= 0.0:
        return 1.0
    off = shares - 0.5
    table = np.vstack([np.ones(seen.size), off, off**2]).T
    rest = seen - table @ np.linalg.lstsq(table, seen, rcond=None)[0]
    left = float(rest @ rest) / (seen.size - table.shape[1]) / total
    return float(1.0 / np.sqrt(np.clip(left, 0.01, 1.0)))


def _narrows(
    posterior: Posterior, unknown: Sequence[_About], drawn: Array, seen: Array
) -> Narrows | None:
    """Return the fact that tells most of the causes; where chance tells as much, of the reading."""
    likely = [_likely(posterior, one) for one in unknown]
    thirds = [_thirds(posterior, one, drawn) for one in unknown]
    told = zip(thirds, likely, strict=True)
    tells = np.array([_tells(posterior, third, causes) for third, causes in told])
    by_chance = (len(EDGES) * MOST_CAUSES) / (2.0 * posterior.effective * np.log(2.0))
    explains = np.array([explained_share(_rank(one.total(drawn)), seen) for one in unknown])
    best = int(tells.argmax())
    if tells[best] > BEYOND_CHANCE * by_chance:
        one = unknown[best]
        odds = _odds_between(posterior, thirds[best], likely[best])
        says = fact(one.kind, what=one.what, how=one.how, **odds)
    else:
        best = int(explains.argmax())
        one, share = unknown[best], float(explains[best])
        if share < LEAST_SHARE:
            return None
        says = fact("diagnose.narrows_band", what=one.what, how=one.how, explains=share)
    beyond = max(float(tells[best]) - by_chance, 0.0)
    return Narrows(one.what, one.how, says, beyond, float(explains[best]))


def _likely(posterior: Posterior, one: _About) -> Numbers:
    """Return the likeliest causes that a fact can tell of: hoses and pumps tell of no machine."""
    shared, _ = by_cause(posterior, posterior.weight)
    machines = [fault.machine and not one.of_unit for fault in posterior.flotilla.setup.faults]
    return np.asarray(np.argsort(-np.where([*machines, False], -1.0, shared))[:MOST_CAUSES])


def _rank(values: Array) -> Array:
    """Return values as shares of their order, evenly from 0 to 1."""
    return np.asarray((np.argsort(np.argsort(values)) + 0.5) / values.size)


def _thirds(posterior: Posterior, one: _About, drawn: Array) -> Numbers:
    """Return in which third of what is typical each boat lies: 0, 1 or 2."""
    edges = np.quantile(one.total(drawn), EDGES)
    return np.asarray(np.searchsorted(edges, one.total(posterior.flotilla.shares)))


def _tells(posterior: Posterior, third: Numbers, likely: Numbers) -> float:
    """Return what it tells of the likely causes to know the third [bit], chance not taken off."""
    table = []
    for number in range(len(EDGES) + 1):
        shared, _ = by_cause(posterior, np.where(third == number, posterior.weight, 0.0))
        rest = float(shared.sum() - shared[likely].sum())
        table.append([*shared[likely], max(rest, 0.0)])
    return information(np.asarray(table))


def _odds_between(posterior: Posterior, third: Numbers, likely: Numbers) -> dict[str, Any]:
    """Return the likely cause whose odds move most from the low third to the high one, and how."""
    found = []
    for number in (0, len(EDGES)):
        weight = np.where(third == number, posterior.weight, 0.0)
        found.append(by_cause(posterior, weight)[1] / max(float(weight.sum()), 1e-12))
    low, high = found
    most = int(likely[np.argmax(np.abs(high - low)[likely])])
    titles = [fault.title for fault in posterior.flotilla.setup.faults] + [nothing().title]
    return {"cause": titles[most], "if_low": float(low[most]), "if_high": float(high[most])}
