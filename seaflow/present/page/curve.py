"""The chart of pump and loop on the page: for a desk and a phone, with its lens and key."""

from __future__ import annotations

from typing import Any

from seaflow.present.charts.svg import Picture
from seaflow.present.page.both import said
from seaflow.present.page.pictures import PHONE, key, pictures
from seaflow.present.quantities import Show
from seaflow.present.size.curve_svg import TALL, curve_chart, curve_keys, lens_chart, where_said
from seaflow.studies.size.curves import LoopCurves

# Pixels of the chart's frame on a phone, and on paper, where it stands beside its lens.
NARROW_TALL = 270.0


def chart_of(one: LoopCurves, name: str) -> dict[str, Any]:
    """Return what the template shows of one loop; `name` is hers where there are several."""

    def chart(wide: float, show: Show) -> Picture:
        return curve_chart(one, show, wide, NARROW_TALL if wide == PHONE else TALL)

    def enlarged(wide: float, show: Show) -> Picture:
        return lens_chart(one, show, wide)

    return {
        "name": name,
        "where": said(where_said(one)),
        "pictures": pictures("curve", chart),
        "lenses": pictures("curve", enlarged),
        "key": key(curve_keys(one)),
    }
