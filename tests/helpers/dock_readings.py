"""What owners read at the dock, answered by the script of a page and by `diagnose`.

Truth, noise of the instruments and inference each have a random stream of their own.
"""

from __future__ import annotations

import shutil
import tempfile
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path

import diagnosis_proof as proof
import numpy as np
from numpy.random import RandomState

from seaflow.base.problems import SeaflowError
from seaflow.boat.load import load_case
from seaflow.boat.network import downstream
from seaflow.present.page.owner import owner_html
from seaflow.studies.design.likelihood import Sampling
from seaflow.studies.diagnose.agreement import refuse_unseen, unlike_any
from seaflow.studies.diagnose.answer import _told, posterior_of
from seaflow.studies.diagnose.infer import DEFAULT_DRAWS
from seaflow.studies.diagnose.predict import chances_of
from seaflow.studies.diagnose.readings import Number, Readings, instruments, signs
from seaflow.studies.diagnose.unseen import CLOSE
from seaflow.studies.diagnose.usual import FAR, usual_of
from seaflow.studies.diagnose.verdict import ROOM, verdict_of
from seaflow.studies.page.study import owners_setups, packed_boats

TRUTH_SEED, NOISE_SEED = 31007, 77003
MOST_SETS = 1200  # of a plan, however few are asked for: a set hangs on its number alone
NEAR, DEVIATIONS = 0.05, 2.0  # of a chance, and of what `diagnose` strays from itself
NEAR_LIMIT = 0.5  # K from a threshold, where a verdict may fall either way
SURE = 0.15  # of a chance that the verdict hangs on
# How often an owner tells what the page asks, at each outlet or of the boat.
TELLS = {
    "stream": 0.9,
    "discharge": 0.85,
    "flow": 0.6,
    "basket": 0.4,
    "handle": 0.3,
    "tripped": 0.3,
    "load": 0.2,
    "pump": 0.2,
    "breaker": 0.1,
    "bilge": 0.1,
    "bubbles": 0.1,
    "filter": 0.1,
    "second_thermometer": 0.05,
    "volts": 0.05,
    "amps": 0.05,
}
HEAD = (
    "| boat | sets | odds agree | of the others the page says unsure | verdict agrees "
    "| but near a threshold | otherwise | diagnose refuses |\n|---|---|---|---|---|---|---|---|"
)


@dataclass(frozen=True)
class Plan:
    """One loop of a shipped boat, as `diagnose` and as the page know it."""

    number: int
    setup: object
    truth: object

    def asked(self, boat):
        """What an owner of one simulated boat reads, as the script takes it."""
        flotilla, stream = self.truth.flotilla, RandomState(NOISE_SEED + 7919 * self.number + boat)
        told = {kind: stream.random_sample(8) < often for kind, often in TELLS.items()}
        sea = proof._read(flotilla, boat, "sea", "", stream).value
        words, numbers = [], []
        for spot, outlet in enumerate(self.setup.places.outlets):
            flows = float(np.broadcast_to(_flow(flotilla, outlet), flotilla.hypotheses.size)[boat])
            word = proof._drawn(chances_of(flotilla, "stream", outlet), boat, stream)
            word = word if flows > 0.0 else "none"
            if told["stream"][spot]:
                words.append(("stream", word, [spot]))
            if word == "none":
                continue
            place = self.place(outlet)
            if told["discharge"][spot]:
                of_unit = place in self.setup.places.units
                found = (
                    proof._discharge(flotilla, boat, place, stream)
                    if of_unit
                    else proof._read(flotilla, boat, "discharge", place, stream)
                )
                numbers.append(("discharge", spot, found))
            if told["flow"][spot]:
                numbers.append(("flow", spot, proof._read(flotilla, boat, "flow", outlet, stream)))
        for kind in ("volts", "amps"):
            if told[kind][0]:
                numbers.append((kind, 0, proof._read(flotilla, boat, kind, "", stream)))
        for kind in list(TELLS)[3:-2]:
            has = kind != "basket" or flotilla.point.loop.strainers
            if told[kind][0] and has:
                words.append((kind, proof._drawn(chances_of(flotilla, kind), boat, stream), []))
        return {
            "loop": self.number,
            "sea": sea,
            "numbers": [
                {"kind": kind, "spot": spot, "value": found.value}
                for kind, spot, found in numbers
                if found is not None and found.value > 0.0
            ],
            "signs": [
                {"kind": kind, "word": list(signs()[kind].healthy).index(word), "spots": spots}
                for kind, word, spots in words
            ],
        }

    def place(self, outlet):
        """The unit whose water leaves here, where it is the only one; else the outlet."""
        network = self.setup.built.network
        units = [one.name for one in network.units if outlet in downstream(network, one.name)]
        return units[0] if len(units) == 1 else outlet

    def readings(self, asked):
        """The same readings as `diagnose` takes them."""
        outlets = self.setup.places.outlets
        numbers = [Number("sea", "", asked["sea"])]
        for one in asked["numbers"]:
            at = outlets[one["spot"]]
            where = {"discharge": self.place(at), "flow": at}.get(one["kind"], "")
            numbers.append(Number(one["kind"], where, one["value"]))
        words = [(list(signs()[one["kind"]].healthy)[one["word"]], one) for one in asked["signs"]]
        single = len(outlets) == 1
        told = [(one["kind"], word) for word, one in words if one["kind"] != "stream" or single]
        streams = [
            (outlets[one["spots"][0]], word)
            for word, one in words
            if one["kind"] == "stream" and not single
        ]
        return Readings(tuple(numbers), tuple(told), streams=tuple(streams))

    def diagnosed(self, asked, seed):
        """Odds and verdict of `diagnose`, and how near the readings are to a threshold [K]."""
        readings = self.readings(asked)
        try:
            found = posterior_of(self.setup, readings, Sampling(DEFAULT_DRAWS, seed))
            refuse_unseen(found, readings)
        except SeaflowError:
            return None
        verdict = _told(verdict_of(found, readings), unlike_any(found, readings), readings)
        setup = found.flotilla.setup
        odds = {
            fault.title: float(chance)
            for fault, chance in zip(setup.faults, found.present, strict=True)
        }
        return {
            "odds": {**odds, "nothing": found.nothing},
            "word": verdict.word.kind.partition(".")[2],
            "why": verdict.why.kind,
            "near": min(_to_thresholds(found, readings, verdict), default=np.inf),
        }


def _flow(flotilla, outlet):
    return proof.predicted(flotilla, "flow", outlet)


def _to_thresholds(found, readings, verdict):
    """How far from each threshold of a verdict [K]; of a flow the share of its rise."""
    least, sea = found.flotilla.setup.case.design.cut_out_margin, readings.of("sea")
    if verdict.to_cut_out is not None:
        yield abs(verdict.to_cut_out - least)
        yield abs(verdict.to_cut_out - CLOSE * least)
        if verdict.to_cut_out_low > 0.0:  # a band that begins at a trip is acted on
            yield verdict.to_cut_out_low
    for number in readings.numbers:
        ends = usual_of(found, number) if number.kind in ("discharge", "flow") else None
        if ends is None:
            continue
        extra = ROOM * float(instruments()[number.kind].deviation(abs(number.value)))
        limits = [ends[0] - extra, ends[1] + extra]
        if number.kind == "discharge":
            limits.append(sea + FAR * (ends[1] - sea))
        for limit in limits:
            off = number.value - limit
            rise = 8.0  # K, usual
            yield abs(off) if number.kind == "discharge" else rise * abs(off) / max(limit, 1e-9)


def plans(boat):
    """Every loop of a shipped boat, with simulated boats to read."""
    case = load_case(str(proof.ROOT / "cases" / f"{boat}.toml")).case
    setups = owners_setups(case)
    share = -(-MOST_SETS // len(setups))
    return [
        Plan(k, setup, proof.truths(setup, share, TRUTH_SEED + k)) for k, setup in enumerate(setups)
    ]


@contextmanager
def asking(boat):
    """The script of the owner's page of a boat, in a browser: from readings to its answer."""
    from playwright.sync_api import sync_playwright

    case = load_case(str(proof.ROOT / "cases" / f"{boat}.toml")).case
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        file = Path(folder) / "dock.html"
        file.write_text(owner_html(case, packed_boats(owners_setups(case)), "metric"), "utf-8")
        browser = driver.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"]
        )
        page = browser.new_page()
        page.goto(file.as_uri())
        yield lambda asked: page.evaluate(ASK, asked)
        browser.close()


ASK = """one => {
  const found = dock.answer(one), names = found.found.loop.faults.map((fault) => fault.title);
  const odds = Object.fromEntries(names.map((name, k) => [name, found.each[k]]));
  return { odds: { ...odds, nothing: found.none }, word: found.verdict.word,
    why: found.verdict.why, effective: found.found.effective,
    unsure: found.found.coarser > 1 || found.found.effective < dock.told.roughBelow };
}"""


# Fills a set of readings into the form, without a sea where none was read, and returns what the
# page says: its verdict, and each line of its answer without what is told so that nobody is hurt.
TELL = """one => {
  const id = one.loop, { asksAt } = dock.told.loops[id];
  const fields = one.sea === null ? {} : { sea: `${one.sea} C` };
  for (const { kind, spot, value } of one.numbers) {
    if (kind === "discharge") fields[`discharge-${id}-${spot}`] = `${value} C`;
    else if (kind !== "flow") fields[`${kind}-${id}`] = String(value);
    else {
      fields[`bucket-${id}-${spot}`] = "10 L";
      fields[`time-${id}-${spot}`] = `${0.01 / value} s`;
    }
  }
  for (const { kind, word, spots } of one.signs) {
    const at = kind === "stream" ? `stream-${id}-${spots[0]}`
      : kind === "tripped" && asksAt.length ? `tripped-${id}-0` : `sign-${kind}`;
    fields[at] = String(word);
  }
  dock.fillIn(id, { spot: 0, us: dock.us(), fields });
  const rows = [...document.querySelectorAll("#dock-rows > div")].map((row) => {
    const copy = row.cloneNode(true);
    copy.querySelectorAll("strong").forEach((caution) => caution.remove());
    return [...copy.children].map(({ textContent }) => textContent);
  });
  const heads = [...document.querySelectorAll("#dock-word span, #dock-why")];
  const verdict = heads.map(({ textContent }) => textContent);
  return document.getElementById("dock-answer").hidden ? null : { verdict, rows };
}"""
BEHIND = ("Note", "Read next", "Unsure")  # lines from which on it is no more the answer


def first_words(said):
    """The words of the owner's answer down to what to stop at, without its cautions."""
    lines = takewhile(lambda row: row[0] not in BEHIND, said["rows"])
    told = [line for row in lines for line in row if row[0] != "Last"]
    return " ".join([*said["verdict"], *told]).split()


def furthest(told, page):
    """By how much the odds of one cause differ at most."""
    return max(abs(chance - page["odds"].get(name, 0.0)) for name, chance in told["odds"].items())


@dataclass(frozen=True)
class Held:
    """One set of readings: the page's answer beside what `diagnose` says with a seed or more."""

    number: int
    told: list
    page: dict
    off: float
    allowed: float
    cause: str

    @classmethod
    def of(cls, row, page):
        """The cause that differs most over what is allowed."""
        told = [one for one in row["told"] if one]
        found = []
        for name in told[0]["odds"]:
            chances = [one["odds"][name] for one in told]
            spread = float(np.std(chances, ddof=1)) if len(chances) > 1 else 0.0
            off = abs(float(np.mean(chances)) - page["odds"].get(name, 0.0))
            found.append((off, max(NEAR, DEVIATIONS * spread), name))
        off, allowed, cause = max(found, key=lambda one: one[0] / one[1])
        return cls(row["number"], told, page, off, allowed, cause)

    @property
    def agrees(self):
        """Within the larger of five points and twice the deviation of `diagnose`, every cause."""
        return self.off <= self.allowed

    @property
    def same_verdict(self):
        """As with the first seed."""
        return self.page["word"] == self.told[0]["word"]

    @property
    def near_threshold(self):
        """Whether a reading or the room to the cut-out stands so near that either may be said."""
        return self.told[0]["near"] <= NEAR_LIMIT

    @property
    def strays(self):
        """Whether `diagnose` itself says otherwise with another seed."""
        return len({one["word"] for one in self.told}) > 1

    def shown(self):
        """One line for who mends the table."""
        first = self.told[0]
        chance = first["odds"][self.cause]
        return (
            f"{self.number}: {self.cause} {chance:.3f} "
            f"page {self.page['odds'].get(self.cause, 0):.3f} allowed {self.allowed:.3f}; "
            f"{first['word']} {first['why']} page {self.page['word']} {self.page['why']} "
            f"near {first['near']:.2f}; boats {self.page['effective']:.0f}"
            f"{' UNSURE' if self.page['unsure'] else ''}{' STRAYS' if self.strays else ''}"
        )


def line(boat, held, refused):
    """One row of the table."""
    off = [one for one in held if not one.agrees]
    other = [one for one in held if not one.same_verdict]
    near = [one for one in other if one.near_threshold or one.strays]
    agree = 1.0 - len(off) / len(held)
    unsure = sum(one.page["unsure"] for one in off)
    return (
        f"| {boat} | {len(held)} | {agree:.1%} | {unsure} of {len(off)} "
        f"| {1 - len(other) / len(held):.1%} | {len(near)} | {len(other) - len(near)} | {refused} |"
    )
