"""Bands, likelihoods and what decides, as text."""

from __future__ import annotations

from collections.abc import Iterator
from math import isnan

from seaflow.base.facts import Fact, amount, fact
from seaflow.present.card import typical_told
from seaflow.present.layout import bullet, table
from seaflow.present.quantities import Show, percent
from seaflow.present.size.tables import below
from seaflow.present.typical import typical_lines
from seaflow.studies.design.certainty.sample import Band, Dominant, PumpCertainty
from seaflow.studies.design.likelihood import Certainty

# Of each band: its words in the table, and the kind of number; None for a share.
_BANDS: dict[str, tuple[str, str | None]] = {
    "flow": ("flow", "flow"),
    "head": ("head", "head"),
    "free_flow_share": ("share of open flow", None),
    "power": ("power", "power"),
    "rise": ("rise", "rise"),
    "outlet_temperature": ("leaves at", "temperature"),
    "condensing_temperature": ("condensing temperature", "temperature"),
    "cut_out_margin": ("margin to cut-out", "rise"),
    "compressor_power": ("compressor power", "power"),
}


def certainty_lines(found: Certainty, chosen: str, show: Show) -> Iterator[str]:
    """Yield likelihoods of all pumps, bands of the chosen one, and what moves the answer most."""
    yield below(
        fact(
            "size.drawn",
            days=found.n_samples,
            seed=found.seed,
            sea=(amount("temperature", found.sea_low), amount("temperature", found.sea_high)),
            season=found.season,
        ),
        show,
    )
    yield _likelihoods(found)
    mine = found.of(chosen)
    if mine is not None:
        yield _bands(mine, show)
        yield below(fact("size.sampling_error", error=mine.error), show)
    yield below(fact("size.moves_most"), show)
    for item in found.dominant:
        yield bullet(show.sentence(_moves(item)))
    if found.typical:
        yield below(typical_told(found), show)
        yield from typical_lines(found.typical, found.find_out, show)


def _moves(item: Dominant) -> Fact:
    return fact(
        "size.moves",
        input=item.label,
        share=item.explains,
        low=amount("flow", item.flow_low),
        high=amount("flow", item.flow_high),
        measure=item.measure,
        source=item.source,
    )


def _likelihoods(found: Certainty) -> str:
    rows = []
    for item in found.pumps:
        known = (unit.keeps_below_velocity for unit in item.units)
        slow = [share for share in known if share is not None]
        rows.append(
            (
                item.pump,
                percent(item.keeps_running),
                percent(item.keeps_rise),
                percent(min(slow)) if slow else "-",
                "; ".join(f"{unit.name} {percent(unit.keeps_rise)}" for unit in item.units),
            )
        )
    head = ("pump", "all run", "rise kept", "coil slow enough", "rise kept, by unit")
    return table(head, rows, right=(1, 2, 3))


def _bands(mine: PumpCertainty, show: Show) -> str:
    rows = [_row("all", band, show) for band in mine.bands]
    rows += [_row(unit.name, band, show) for unit in mine.units for band in unit.bands]
    return table((mine.pump, "", "low", "middle", "high"), rows, right=(2, 3, 4))


def _row(name: str, band: Band, show: Show) -> tuple[str, ...]:
    words, kind = _BANDS[band.name]
    values = (band.low, band.middle, band.high)
    if kind is None:
        return (name, words, *(percent(value) for value in values))
    return (name, words, *("-" if isnan(value) else show(kind, value) for value in values))
