"""The page that shows, for every shipped case, the bands, the likelihoods and what decides."""

from __future__ import annotations

from collections.abc import Iterator

from generator.text import ROOT, page, table
from seaflow.boat.load import load_case
from seaflow.present.quantities import Show, percent
from seaflow.studies.design.certainty.sample import Band
from seaflow.studies.size.size import LoopSize, size

SAMPLES, SEED = 2048, 20


def certainty_cases() -> str:
    """Return the page."""
    show = Show()
    intro = (
        f"{SAMPLES} samples, seed {SEED}. The boats and pumps are invented. A band holds nine "
        "chances in ten. How it is found: [How sure](certainty.md)."
    )
    lines: list[str] = []
    for file in sorted((ROOT / "cases").glob("*.toml")):
        answer = size(load_case(str(file)).case, SAMPLES, SEED)
        for loop in answer.loops:
            lines.extend(_loop(file.stem, loop, show))
    return page("How sure the shipped cases are", intro, *lines)


def _loop(case: str, loop: LoopSize, show: Show) -> Iterator[str]:
    found, chosen = loop.certainty, loop.chosen
    yield f"## {case}: {loop.name}"
    yield ""
    if found is None or chosen is None:
        yield "No pump fits the supply."
        yield ""
        return
    yield table(
        ("pump", "all units run", "rise kept", "flow, low", "middle", "high", "sampling error"),
        [
            (
                item.pump + (" (first)" if item.pump == chosen.part.name else ""),
                percent(item.keeps_running),
                percent(item.keeps_rise),
                *(show("flow", value) for value in _flow(item.bands[0])),
                f"{item.error:.1%}",
            )
            for item in found.pumps
        ],
    )
    yield ""
    yield "What moves the flow of the first pump most:"
    yield ""
    for item in found.dominant:
        share = percent(item.explains)
        yield f"- {item.label}: {share} of the variance. To know it, {item.measure}."
    yield ""


def _flow(band: Band) -> tuple[float, float, float]:
    return band.low, band.middle, band.high
