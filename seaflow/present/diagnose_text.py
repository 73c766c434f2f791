"""The answer of `diagnose` as text: verdict, causes, cautions, and only then what to do."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from seaflow.present.layout import bullet, heading, labelled, table
from seaflow.present.quantities import Show, percent
from seaflow.studies.design.cautions import Caution
from seaflow.studies.diagnose.answer import Diagnosis, in_words
from seaflow.studies.diagnose.faults import NOTHING
from seaflow.studies.diagnose.infer import Posterior
from seaflow.studies.diagnose.next_reading import Test
from seaflow.studies.diagnose.predict import predicted
from seaflow.studies.diagnose.readings import Readings, instruments, signs
from seaflow.studies.diagnose.verdict import NORMAL, STOP

OF_THE_BOAT = ("volts", "amps", "watts")  # readings whose example is what this boat should read
NO_TEST_HELPS = (
    "No listed test helps: none tells these causes apart any further. Look at what stands below, "
    "in that order."
)
DONE = 2  # causes for which it is said what to do
LEAST_OUTCOME = 0.05


def diagnose_text(answer: Diagnosis, system: str) -> str:
    """Return the whole answer as text."""
    return "\n".join(_lines(answer, Show(system)))


def _lines(answer: Diagnosis, show: Show) -> Iterator[str]:
    why = show.sentence(answer.why_pump)
    yield f"{answer.boat}, loop of {answer.loop}, with {answer.pump} ({why})"
    if answer.other_loops:
        yield "The boat also has: " + ", ".join(answer.other_loops) + "; choose with --loop NAME."
    yield heading("Verdict")
    yield from _verdict(answer, show)
    yield heading("Causes")
    yield from _causes(answer, show)
    yield cautions_text(answer.cautions)
    if answer.heat is not None or answer.notes:
        yield heading("Readings together")
        yield from _together(answer, show)
    yield heading("Next test: what tells most for its effort")
    if answer.next_test is not None:
        yield from _test(answer.next_test, show)
    else:
        yield bullet(NO_TEST_HELPS)
    yield heading("What to do")
    first = answer.causes[:DONE]
    for cause in first:
        if cause.name != NOTHING or answer.verdict.word == NORMAL or len(first) == 1:
            yield bullet(f"{cause.title}: {cause.do}")
    yield heading("What this rests on")
    yield from _basis(answer)


def _verdict(answer: Diagnosis, show: Show) -> Iterator[str]:
    verdict = answer.verdict
    yield labelled("Verdict", f"{verdict.word}: {show.sentence(verdict.why)}")
    if answer.n_readings:
        hot = (verdict.to_cut_out, verdict.to_cut_out_low, verdict.to_cut_out_high)
        cold = (verdict.to_ice, verdict.to_ice_low, verdict.to_ice_high)
        yield from _distance("To cut-out", hot, show)
        yield from _distance("To ice", cold, show)


def cautions_text(found: tuple[Caution, ...]) -> str:
    """Return the cautions under their heading."""
    lines = [heading("Cautions, before anything is touched")]
    return "\n".join(lines + [labelled(item.title, item.text, 26) for item in found])


def stop_text(stop: tuple[str, str] | None) -> str:
    """Return the verdict that is told at once in the interview, or nothing."""
    if stop is None:
        return ""
    word, why = stop
    off = ": pump and compressor off" if word == STOP else ""
    return "\n" + labelled("Verdict", f"{word}{off}. {why[0].upper()}{why[1:]}.")


def _together(answer: Diagnosis, show: Show) -> Iterator[str]:
    if answer.heat is not None:
        yield labelled("Heat", show.sentence(answer.heat.words))
    for note in answer.notes:
        yield labelled("Note", show.sentence(note))


def _distance(
    title: str, found: tuple[float | None, float | None, float | None], show: Show
) -> Iterator[str]:
    middle, low, high = found
    if middle == low == high == 0.0:
        yield labelled(title, "nought: it trips")
    elif middle is not None:
        band = f"{show.number('rise', low)} to {show('rise', high)} in eight of ten"
        yield labelled(title, f"{show('rise', middle)} of room; {band}")


def _causes(answer: Diagnosis, show: Show) -> Iterator[str]:
    rows = [
        (cause.title, cause.words, percent(cause.chance), percent(cause.before))
        for cause in answer.causes
    ]
    yield table(("cause", "odds", "now", "before"), rows, right=(2, 3))
    for pair in answer.pairs:
        yield bullet(
            f"Both at once, {pair.titles[0]} and {pair.titles[1]}: {percent(pair.chance)}.",
            indent=4,
        )
    if answer.alike:
        yield bullet("These readings cannot tell apart: " + "; ".join(answer.alike) + ".", indent=4)


def _test(test: Test, show: Show) -> Iterator[str]:
    yield labelled("Test", f"{test.title} (about {test.effort:.0f} min)")
    if test.how:
        yield labelled("How", test.how)
    for label, usual in (("If", True), ("Rarely", False)):
        for outcome in test.outcomes:
            if (outcome.chance >= LEAST_OUTCOME) == usual:
                yield labelled(
                    label,
                    f"{show.sentence(outcome.words)} ({percent(outcome.chance)}): then "
                    f"{outcome.leads} leads with {percent(outcome.then)}",
                )


def _basis(answer: Diagnosis) -> Iterator[str]:
    stored = ""
    if answer.from_baseline:
        many = "s" if answer.from_baseline > 1 else ""
        stored = (
            f" The boat's own figures are corrected by {answer.from_baseline} stored reading{many}."
        )
    yield bullet(
        f"{answer.n_draws} simulated boats of this plan, with one fault, two or none; their odds "
        "before any reading are common practice, no source, and are set in data/faults.toml. The "
        "odds of causes add up to more than one, because two may be there at once." + stored
    )
    if answer.mode == "heating" and answer.verdict.to_ice is None:
        yield bullet(
            "The case does not say what a unit of this loop gives when it heats, so temperatures "
            "and ice are left out. heating = { capacity = ... } of the unit adds it."
        )
    if answer.coarser > 1.0:
        yield bullet(
            "Few simulated boats read like this one: instruments were taken as "
            f"{answer.coarser:.1f} times as coarse. Take the readings again if that is hard to "
            "believe."
        )


def asked_text(test: Test, posterior: Posterior, system: str) -> str:
    """Return one question of the interview, with an example that fits this boat."""
    if test.kind in signs():
        choices = ", ".join(signs()[test.kind].healthy)
        return f"\n{test.title}\n  One of: {choices}."
    return f"\n{test.title}, with its unit ({_example(test, posterior, system)})\n  {test.how}"


def _example(test: Test, posterior: Posterior, system: str) -> str:
    if test.kind in OF_THE_BOAT:
        found = predicted(posterior.flotilla, test.kind, test.place)
        if found is not None and np.isfinite(found).any():
            healthy = found[np.isfinite(found) & posterior.flotilla.hypotheses.healthy]
            usual = float(np.median(healthy if healthy.size else found[np.isfinite(found)]))
            return f"such as {float(f'{usual:.2g}'):g} {instruments()[test.kind].unit}"
    american = system == "us"
    examples = {
        "temperature": "such as 100 degF" if american else "such as 38 degC",
        "flow": "such as 4 gpm, or 40 s for 10 L, which is 2.64 US gallons"
        if american
        else "such as 15 L/min, or 40 s for 10 L",
        "pressure": "such as -1 psi" if american else "such as -6 kPa",
        "refrigerant_pressure": "such as 380 psi" if american else "such as 26 bar",
        "rise": "such as 16 delta degF" if american else "such as 9 K",
    }
    if test.kind == "delivery":
        return "such as 4 psi" if american else "such as 25 kPa"
    return examples[instruments()[test.kind].show]


def so_far_text(posterior: Posterior, readings: Readings) -> str:
    """Return the likeliest cause so far on one line."""
    if readings.is_empty:
        return ""
    present = posterior.present
    best = int(present.argmax())
    title, chance = posterior.flotilla.setup.faults[best].title, float(present[best])
    if posterior.nothing > chance:
        title, chance = "nothing wrong", posterior.nothing
    return f"  So far: {title}, {in_words(chance)} ({percent(chance)})."
