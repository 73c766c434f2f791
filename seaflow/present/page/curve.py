"""The chart of pump and loop on the page: for a desk, a phone and paper, with its lens and key."""

from __future__ import annotations

from functools import partial
from typing import Any

from seaflow.present.charts.svg import Picture
from seaflow.present.page.both import drawn, said
from seaflow.present.page.pictures import key, pictures
from seaflow.present.quantities import Show
from seaflow.present.size.curve_svg import curve_chart, curve_keys, lens_chart, where_said
from seaflow.studies.size.curves import LoopCurves

# Pixels on paper, where the lens stands beside the chart: how wide both are, and the chart tall.
CHART_WIDE, CHART_TALL, LENS_WIDE = 430.0, 270.0, 320.0


def chart_of(one: LoopCurves, name: str) -> dict[str, Any]:
    """Return what the template shows of one loop; `name` is hers where there are several."""

    def chart(wide: float, show: Show, **tall: float) -> Picture:
        return curve_chart(one, show, wide, **tall)

    def enlarged(wide: float, show: Show) -> Picture:
        return lens_chart(one, show, wide)

    return {
        "name": name,
        "where": said(where_said(one)),
        "pictures": pictures("curve", chart),
        "lenses": pictures("curve", enlarged),
        "paper": (
            drawn(partial(chart, CHART_WIDE, tall=CHART_TALL), "curve"),
            drawn(partial(enlarged, LENS_WIDE), "curve"),
        ),
        "key": key(curve_keys(one)),
    }
