"""The water window, one bar from too little to too much, and the tally of a hundred days."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seaflow.base.facts import amount, fact
from seaflow.present.charts.labels import Taken, box_of, width_of
from seaflow.present.charts.svg import Picture, written
from seaflow.present.quantities import Show
from seaflow.present.size.curve_svg import LIMITS
from seaflow.studies.size.demand import Demand

TALL, LEFT, TOP, BAR = 126.0, 8.0, 52.0, 26.0  # pixels
SIZE = 14.0
ROOM = 1.12  # of the largest value: how far the bar reaches


def window(
    asked: Demand, at: float, band: tuple[float, float] | None, show: Show, wide: float
) -> Picture:
    """Return the bar with what is needed, allowed and given; a thick stroke is the band."""
    bar = _Bar(asked, at, band, wide)
    needs, flow = amount("flow", asked.flow), amount("flow", at)
    body = (
        *bar.grounds(),
        f'<path d="M{bar.x(at) - 8:.1f} {TOP - 14:.1f}h16l-8 12z" fill="var(--ink)"/>',
        bar.words_above(bar.x(at), show.sentence(fact("page.gives", flow=flow))),
        *bar.ticks(show),
        written(LEFT, TOP - 8, show.unit("flow"), "soft"),
    )
    title = show.sentence(fact("page.window", need=needs, flow=flow))
    return Picture((wide, TALL), title, body)


@dataclass(frozen=True, slots=True)
class _Bar:
    """The bar: what it shows and how wide it is."""

    asked: Demand
    at: float
    band: tuple[float, float] | None
    wide: float

    def x(self, flow: float) -> float:
        """Return where a flow stands."""
        ends = [self.asked.flow, self.at, self.asked.most or 0.0, *(self.band or ())]
        return LEFT + flow * (self.wide - 2.0 * LEFT) / float(ROOM * max(ends))

    def grounds(self) -> Iterator[str]:
        """Yield what is too little, enough and too much, and the band."""
        right, most = self.wide - LEFT, self.asked.most
        enough = right if most is None else self.x(most)
        yield _box(LEFT, self.x(self.asked.least), "url(#hatch)")
        yield _box(self.x(self.asked.flow), enough, "var(--sea)")
        yield _box(enough, right, "url(#hatch)")
        yield _box(LEFT, right, "none", 'stroke="var(--ink)" stroke-width="1.5"')
        if self.band is not None:
            low, high = map(self.x, self.band)
            yield (
                f'<rect x="{low:.1f}" y="{TOP + 8:.1f}" width="{max(high - low, 3.0):.1f}" '
                'height="10" fill="var(--cold)"/>'
            )

    def ticks(self, show: Show) -> Iterator[str]:
        """Yield least, need and most, each with its words, those of the need first."""
        taken, asked = Taken(), self.asked
        told = {"need": asked.flow, "least": asked.least, "most": asked.most}
        if asked.least >= 0.999 * asked.flow:
            told.pop("least")
        for name, flow in told.items():
            if flow is None:
                continue
            x, bold = self.x(flow), name == "need"
            yield (
                f'<path d="M{x:.1f} {TOP:.1f}v{BAR + 7:.1f}" stroke="var(--ink)" '
                f'stroke-width="{2.6 if bold else 1.5}"/>'
            )
            text = show.sentence(fact(LIMITS[name], flow=amount("flow", flow)))
            middle = self._inside(x, text, bold)
            tries = [(middle, TOP + BAR + down) for down in (22, 40)]
            boxes = [(box_of(spot, f" {text} ", SIZE, "middle", bold), spot) for spot in tries]
            yield written(*taken.place(boxes), text, "bold" if bold else "label", "middle")

    def words_above(self, x: float, text: str) -> str:
        """Return words over the triangle."""
        return written(self._inside(x, text, True), TOP - 20, text, "bold", "middle")

    def _inside(self, x: float, text: str, bold: bool) -> float:
        half = 0.5 * width_of(text, SIZE, bold) + 4.0
        return min(max(x, half), self.wide - half)


def _box(start: float, end: float, fill: str, more: str = "") -> str:
    wide = max(end - start, 0.0)
    return (
        f'<rect x="{start:.1f}" y="{TOP:.0f}" width="{wide:.1f}" height="{BAR:.0f}" '
        f'fill="{fill}" {more}/>'
    )


def tally(days: int) -> str:
    """Return a hundred cells, as many of them full as days are kept."""
    cells = [f"M{12 * (number % 20)} {18 * (number // 20)}" for number in range(100)]
    full, empty = cells[:days], cells[days:]
    drawn = (
        f'<path d="{"".join(f"{cell}h8v14h-8z" for cell in full)}" fill="var(--ink)"/>',
        f'<path d="{"".join(f"{cell}m.8 .8h6.4v12.4h-6.4z" for cell in empty)}" fill="none" '
        'stroke="var(--line)"/>',
    )
    return f'<svg class="tally" viewBox="0 0 236 86" aria-hidden="true">{"".join(drawn)}</svg>'
