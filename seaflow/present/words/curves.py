"""The picture of pump and loop: its title, the words in it, and its key."""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "title": "Pump and loop of {boat}",
    "title_of_loop": "Pump and loop of {boat}, {loop}",
    "one_of": "where a pump line meets a loop line, it runs; one of {places} equal pump places",
    "where": "where a pump line meets a loop line, it runs",
    # In the picture: short words only.
    "least": "least {flow:number}",
    "need": "needs {flow:number}",
    "most": "most {flow:number}",
    # In the key.
    "lens": "Where pump {number} runs, enlarged",
    "runs": "runs here, warmest sea, all clean: {flow:both} at {head:both}",
    "runs_at_band": (
        "runs here, warmest sea, all clean: {flow:both} at {head:both}. Box: on nine days in ten "
        "{flows:range} at {heads:range}"
    ),
    "pump": "pump {number}: {pump}, {does}",
    "asked_pump": "pump {number}: {pump}, asked for, {does}",
    "fitted_pump": "pump {number}: {pump}, fitted now, {does}",
    "does": "will do",
    "tight": "tight",
    "fails": "will not do",
    "fills": "step in the loop's lines: from {flow} on the hose down to the outlet runs full",
    "other": "pump {number} runs here: {flow:both} at {head:both}",
    "low_volts": "pump {number} on the lowest volts",
    "loop": "what the loop asks: {where}",
    "case": "{letter}  {where}: {flow} at {head}",
    "buy": "ask for a pump whose line passes over here: at least {flow:upboth} at {head:upboth}",
    "buy_for_days": (
        "ask for a pump whose line passes over here: at least {flow:upboth} at {head:upboth}, "
        "enough on {days:.0%} of days"
    ),
    "asked": (
        "every unit has what it needs from {flow:both} at {head}; least when dirty {least}; "
        "nothing limits the most"
    ),
    "asked_by_maker": (
        "enough, and not too much: from {flow:both} at {head}, what every unit needs, to "
        "{most:downboth}, the most a maker allows; least when dirty {least}"
    ),
    "asked_by_alloy": (
        "enough, and not too much: from {flow:both} at {head}, what every unit needs, to "
        "{most:downboth}, the most a coil's alloy stands; least when dirty {least}"
    ),
    "never_enough": "no flow searched gives every unit what it needs",
    "invented": "Pumps named demo-... are invented.",
    "letters": (
        "Digits: pumps by their rank. Dots: the loop all clean; commas: as dirty as it gets. O: "
        "runs here; o: in its worst cases; V: what to ask of a pump. Upright: n needed, m most."
    ),
    "drawn": "The picture is in {file}.",
    "listed": "The list of materials is in {file}.",
    "paged": "The page is in {file}.",
}
