"""Weighs the boats that a page carries, as its script should; written anew, on whole arrays."""

import base64
import json
import re
from functools import cache

import numpy as np


def boats_of(file):
    """What the page carries for its script."""
    text = file.read_text(encoding="utf-8")
    found = re.search(r'<script type="application/json" id="boats">(.*?)</script>', text, re.S)
    told = json.loads(found[1])
    alike = told.pop("alike")
    for loop in told["loops"]:
        loop["chances"] |= alike["chances"]
        loop |= {key: value for key, value in alike.items() if key != "chances"}
    return told


def column(told, count):
    """Numbers of a column."""
    codes = codes_of(told["at"], told["lengths"], told["bits"], count)
    none = (1 << told["bits"]) - 1
    return np.where(codes == none, np.nan, told["low"] + told["step"] * codes)


@cache
def codes_of(words, lengths, n_bits, count):
    """The codes of a column, read bit by bit from a table of all words; each column once."""
    raw = np.frombuffer(base64.b64decode(words), dtype=np.uint8)
    bits = "".join(map(str, np.unpackbits(raw)))
    parts, at, codes = parts_of(lengths), 0, []
    plain = n_bits - (len(lengths) - 1).bit_length()
    for _ in range(count):
        end = at
        while bits[at:end] not in parts:
            end += 1
        codes.append(parts[bits[at:end]] << plain | int("0" + bits[end : end + plain], 2))
        at = end + plain
    assert at <= len(bits) < at + 8
    return np.array(codes, dtype=int)


def parts_of(lengths):
    """What leads a code, by its word of noughts and ones."""
    parts, word, before = {}, 0, 0
    known = [(int(one, 36), part) for part, one in enumerate(lengths) if one != "-"]
    for long, part in sorted(known):
        word <<= long - before
        parts[f"{word:0{long}b}" if long else ""] = part
        word, before = word + 1, long
    assert len(known) < 2 or word == 1 << before
    return parts


class Table:
    """One loop of a page, unpacked."""

    def __init__(self, told, number=0):
        self.told, self.loop = told, told["loops"][number]
        self.pairs = np.array(self.loop["pairs"])
        self.pair = np.repeat(np.arange(len(self.pairs)), self.loop["counts"])
        self.prior = self.column(self.loop["prior"])
        self.state = self.column(self.loop["state"]).astype(int)
        self.from_ = self.column(self.loop["tripsFrom"])

    def column(self, told):
        return column(told, self.told["count"])

    def between(self, sea):
        seas = np.array(self.loop["seas"])
        held = float(np.clip(sea, seas[0], seas[-1]))
        k = min(max(int(np.searchsorted(seas, held)) - 1, 0), seas.size - 2)
        return k, held, seas[k : k + 2]

    def trips(self, sea, spot=None):
        from_ = self.from_ if spot is None else self.column(self.loop["spots"][spot]["tripsFrom"])
        return np.where(np.isnan(from_), False, self.between(sea)[1] >= from_)

    def mixed(self, rows, sea):
        k, held, seas = self.between(sea)
        found = [self.column(row) for row in rows]
        share = (held - seas[0]) / (seas[1] - seas[0])
        return found[0] if len(found) == 1 else found[k] * (1 - share) + found[k + 1] * share

    def flow(self, spot, sea):
        return self.mixed(self.loop["spots"][spot]["flow"], sea)

    def rise(self, spot, sea):
        k, held, seas = self.between(sea)
        of = self.loop["spots"][spot]
        from_ = self.column(of["tripsFrom"]) if of["tripsFrom"] else self.from_
        before = self.column(of["rise"][k]) * (1.0 + of["grows"] * (held - seas[0]))
        broken = np.where(held >= from_, self.column(of["rise"][k + 1]), before)
        breaks = (from_ > seas[0]) & (from_ <= seas[1])
        return np.where(breaks, broken, self.mixed(of["rise"], sea))

    def margin(self, sea):
        k, held, seas = self.between(sea)
        one, plain = self.column(self.loop["room"][k]), self.mixed(self.loop["room"], sea)
        breaks = (self.from_ > seas[0]) & (self.from_ <= seas[1])
        left = one * (self.from_ - held) / np.where(breaks, self.from_ - seas[0], 1.0)
        found = np.where(np.isnan(one), np.inf, np.where(breaks, left, plain))
        return np.where(held >= self.from_, 0.0, found)

    def within(self, told, sea):
        ever = np.isnan(self.column(told["ever"]))
        found = np.zeros(ever.size, dtype=bool)
        start, stop = (column(told[end], int(ever.sum())) for end in ("from", "until"))
        found[ever] = (sea >= start) & (np.isnan(stop) | (sea < stop))
        return found

    def struck(self):
        """The name of the unit that each of the two faults strikes; none where it strikes all."""
        names = np.array([*self.loop["struck"]["units"], ""])
        for row, packed in enumerate(self.loop["struck"]["of"]):
            has = np.isin(self.pairs[self.pair, row], self.loop["struck"]["faults"])
            at = np.full(has.size, np.nan)
            at[has] = column(packed, int(has.sum()))
            yield names[np.where(np.isnan(at), -1, at).astype(int)]

    def comes_and_goes(self, unit):
        faults = self.loop["faults"]
        goes = np.array([*(fault["trips"] for fault in faults), 0.0])
        own = np.array([*(one["name"] in self.told["ofOneUnit"] for one in faults), False])
        pairs = self.pairs[self.pair].T
        if unit is None:
            return goes[pairs].max(axis=0)
        name = self.loop["units"][unit]["unit"]
        away = [(at != "") & (at != name) for at in self.struck()]
        return np.where(own[pairs] & np.stack(away), 0.0, goes[pairs]).max(axis=0)

    def chance(self, kind, word, spots, sea, unit=None):
        told = self.told
        if kind == "stream":
            ratio = np.min(
                [self.flow(k, sea) / self.loop["spots"][k]["usual"] for k in spots],
                axis=0,
            )
            step = np.searchsorted(told["streamUpTo"], ratio)
            plain = np.array(told["streams"])[step]
            gulps = np.tile(told["pulsing"], (step.size, 1))
            gulps[:, 3] = np.minimum(gulps[:, 3], plain[:, 3])
            gulps /= gulps.sum(axis=1, keepdims=True)
            pulses = ((self.state & 2) > 0) & (step > told["trickle"])
            return np.where(pulses, gulps[:, word], plain[:, word])
        if kind == "tripped":
            ample = np.maximum(self.comes_and_goes(unit), told["misreported"])
            spots = [
                spot
                for spot in self.loop["spots"]
                if unit is not None and spot["unit"] == self.loop["units"][unit]["unit"]
            ]
            water = (
                self.mixed(spots[0]["flow"], sea) / spots[0]["usual"]
                if spots
                else self.column(self.loop["water"])
            )
            short = np.clip((told["starved"]["below"] - water) / told["starved"]["over"], 0.0, 1.0)
            faulty = self.pairs[self.pair, 0] >= 0
            ample = np.maximum(ample, told["starved"]["trips"] * short * faulty)
            near, trips = self.margin(sea) < told["nearTrip"], self.trips(sea)
            if unit is not None:
                of, held = self.loop["units"][unit], self.between(sea)[1]
                near, trips = (self.within(of[name], held) for name in ("near", "trips"))
            close = np.where(near, np.maximum(0.3, ample), ample)
            yes = np.where(trips, 0.9, close)
            return yes if word == 0 else 1.0 - yes
        told = self.loop["chances"][kind]
        rows = np.array(told["rows"])
        of = column(told["of"], len(self.pairs) * (2 if kind == "pump" else 1)).astype(int)
        where = self.pair + (self.state & 1) * len(self.pairs) * (kind == "pump")
        return rows[of[where], word]

    def log_number(self, item, sea, coarser, off=0.0, extra=None):
        told, spot = self.told, self.loop["spots"][item["spot"]]
        extra = told["instruments"]["sea"]["error"] if extra is None else extra
        if item["kind"] == "discharge":
            read, seen = item["value"] - sea - off, self.rise(item["spot"], sea)
            over = spot["riseRange"]
        else:
            of = self.loop["numbers"].get(item["kind"])
            read, seen = item["value"], self.column(of["column"]) if of else None
            seen = self.flow(item["spot"], sea) if of is None else seen
            over = of["range"] if of else spot["flowRange"]
        found = np.log(told["misread"] / over) * np.ones(seen.size)
        for share, times in told["badly"]:
            log = self.one(item, read, seen, times * coarser, sea, extra)
            found = np.logaddexp(found, np.log(share) + log)
        return found, -np.log(over)

    def one(self, item, read, seen, coarser, sea, extra):
        told, spot = self.told, self.loop["spots"][item["spot"]]
        tool = told["instruments"][item["kind"]]

        def sure(of, size):
            shares = (tool["share"] * size) ** 2 + (tool["model"] * of) ** 2
            return coarser * np.sqrt(tool["error"] ** 2 + shares)

        if item["kind"] != "discharge":
            log = normal(read - seen, sure(seen, seen))
        else:
            mean, spread = spot["today"]
            usual = mean * seen
            widths = (sure(usual, item["value"]), coarser * extra, spread * seen)
            log = normal(read - usual, np.sqrt(sum(np.square(one) for one in widths)))
        if item["kind"] == "discharge" and spot["unit"]:
            cold = np.hypot(tool["error"], extra) * coarser
            either = np.logaddexp(
                normal(read, cold), normal(read - seen, told["tripSpread"])
            ) - np.log(2.0)
            log = np.where(self.trips(sea, item["spot"]), either, log)
            log = np.where(self.flow(item["spot"], sea) <= 0, np.log(told["noStream"]), log)
        return np.maximum(np.where(np.isnan(seen), told["leastLog"], log), told["leastLog"])

    def on_volts(self, volts):
        """The logarithm of how likely each boat is where so many volts were read."""
        of = self.loop["supply"]
        grid = of["low"] + of["step"] * np.arange(len(of["sound"]))
        names = [*(one["name"] for one in self.loop["faults"]), ""]
        sags = (np.array(names) == self.told["supply"])[self.pairs[self.pair]].any(axis=1)
        seen = self.column(self.loop["numbers"]["volts"]["column"])
        near = (1.0 + ((volts - seen) / of["alike"]) ** 2) ** -2
        found = self.prior + np.log(near)
        for here, rows in ((~sags, of["sound"]), (sags, of["sagged"])):
            mean = np.average(near[here], weights=np.exp(self.prior[here]))
            found[here] += np.interp(volts, grid, rows) - np.log(mean)
        return found

    def logs(self, numbers, sea, coarser):
        """How likely all numbers are together, and if all are misread."""
        warm = [item for item in numbers if item["kind"] == "discharge"]
        alone = len(warm) < 2
        found = np.full(self.pair.size, -np.inf)
        for off, share in [(0.0, 1.0)] if alone else self.told["seaOff"]:
            log = np.log(share)
            for item in numbers:
                log = log + self.log_number(item, sea, coarser, off, None if alone else 0.0)[0]
            found = np.logaddexp(found, log)
        return found, sum(self.log_number(item, sea, coarser)[1] for item in numbers)

    def weights(self, asked):
        """The weight of each boat after the readings."""
        told, coarser, prior = self.told, 1.0, self.prior
        for item in asked["numbers"]:
            prior = self.on_volts(item["value"]) if item["kind"] == "volts" else prior
        asked = asked | {"numbers": [one for one in asked["numbers"] if one["kind"] != "volts"]}
        for _ in range(told["mostCoarser"]):
            logs = np.zeros(self.pair.size)
            if asked["numbers"]:
                log, misread = self.logs(asked["numbers"], asked["sea"], coarser)
                logs = np.logaddexp(
                    np.log1p(-told["astray"]) + log, np.log(told["astray"]) + misread
                )
            for sign in asked["signs"]:
                chance = self.chance(**sign, sea=asked["sea"])
                logs = logs + np.log(np.maximum(chance, 1e-9))
            weight = np.exp(prior + logs - (prior + logs).max())
            if weight.sum() ** 2 / (weight**2).sum() >= told["leastEffective"]:
                break
            if not asked["numbers"]:
                break
            coarser *= told["coarser"]
        return weight / weight.sum()

    def odds(self, asked):
        """How likely each fault is, and last that nothing is wrong."""
        weight, faults = self.weights(asked), len(self.loop["faults"])
        pairs = self.pairs[self.pair]
        each = [weight[(pairs == k).any(axis=1)].sum() for k in range(faults)]
        return np.array([*each, weight[pairs[:, 0] < 0].sum()])


def normal(off, deviation):
    return -0.5 * (off / deviation) ** 2 - np.log(deviation * np.sqrt(2.0 * np.pi))
