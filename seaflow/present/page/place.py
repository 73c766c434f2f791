"""Where the pump goes: the section of a page, and a page of that alone."""

from __future__ import annotations

from functools import partial
from typing import Any

from markupsafe import Markup

from seaflow.base.problems import Problem
from seaflow.boat.case import Case
from seaflow.present.faces import faces_of
from seaflow.present.page.behind import behind
from seaflow.present.page.both import drawn
from seaflow.present.page.card import whole_card
from seaflow.present.page.html import PageSheet, filled
from seaflow.present.page.pictures import PHONE, key, pictures
from seaflow.present.page.shared import cautions_sheet
from seaflow.present.page.sound import sound_picture
from seaflow.present.place.drawing import place_drawing
from seaflow.studies.place.study import PlacingAnswer, PumpPlacing

PLAN = 640.0  # pixels of the drawing of a place on a desk
TOLD_APART = ("What was assumed", "Cautions")  # in sections of the page's own


def place_html(case: Case, answer: PlacingAnswer, system: str) -> str:
    """Return a page of where the pumps go; `system` is that of the units shown first."""
    sheets = [place_sheet(case, answer, alone=True), cautions_sheet([answer])]
    more = {
        "title": whole_card("place", case, answer).title,
        "invented": any(one.part.invented for one in answer.pumps),
        "boats": Markup(""),
    }
    return filled(answer.boat, sheets, system, more)


def place_sheet(
    case: Case,
    answer: PlacingAnswer | None,
    lacks: tuple[Problem, ...] = (),
    alone: bool = False,
) -> PageSheet:
    """Return where the pumps go, or what that lacks; `alone` with what was assumed for it."""
    title = "Where the pump goes"
    if answer is None:
        return PageSheet("place", title, "place.html", {"lacks": lacks})
    passed = TOLD_APART[1:] if alone else TOLD_APART
    details = behind(partial(faces_of("place", case).lines, answer))
    given = {
        "lacks": (),
        "card": whole_card("place", case, answer),
        "pumps": [_placing(item, len(answer.pumps) > 1) for item in answer.pumps],
        # what is told of several pumps ends on a sheet of its own, which their sound fills; what is
        # told of one typical boat leaves no room for it, and it stands behind the drawings
        "sound_first": len(answer.pumps) > 1 or not case.typical,
        "details": [part for part in details if not part.title.metric.startswith(passed)],
    }
    return PageSheet("place", title, "place.html", given)


def _placing(item: PumpPlacing, several: bool) -> dict[str, Any]:
    desk, phone = (place_drawing(item.sketch, wide) for wide in (PLAN, PHONE))
    heard = any(place.sound for place in item.places)
    return {
        "name": item.pump if several else "",
        "pictures": [drawn(lambda show, one=one: one.views, "place") for one in (desk, phone)],  # type: ignore[misc]
        "explained": (key(desk.key), key(phone.key)),  # short names are those of the drawing
        "sound": pictures("sound", partial(sound_picture, item.places)) if heard else None,
    }
