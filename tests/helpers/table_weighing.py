"""Weighs the boats that a page carries, as its script should; written anew, on whole arrays."""

import base64
import json
import re

import numpy as np


def boats_of(file):
    """What the page carries for its script."""
    text = file.read_text(encoding="utf-8")
    found = re.search(r'<script type="application/json" id="boats">(.*?)</script>', text, re.S)
    return json.loads(found[1])


def raw(text, kind=np.uint8):
    return np.frombuffer(base64.b64decode(text), dtype=kind)


def column(told):
    three = raw(told["at"]).astype(int).reshape(-1, 3)
    one = three[:, 0] + 256 * (three[:, 1] % 16)
    two = three[:, 1] // 16 + 16 * three[:, 2]
    codes = np.stack([one, two], axis=1).ravel()
    return np.where(codes == 4095, np.nan, told["low"] + told["step"] * codes)


class Table:
    """One loop of a page, unpacked."""

    def __init__(self, told, number=0):
        self.told, self.loop = told, told["loops"][number]
        self.pair = raw(self.loop["pair"], "<u2").astype(int)
        self.pairs = np.array(self.loop["pairs"])
        self.prior = column(self.loop["prior"])
        self.flags = np.stack([raw(row) for row in self.loop["flags"]]).astype(int)
        self.state = raw(self.loop["state"]).astype(int)
        self.room = np.stack([raw(row) for row in self.loop["room"]])

    def between(self, sea):
        seas = np.array(self.loop["seas"])
        k = min(max(int(np.searchsorted(seas, sea)) - 1, 0), seas.size - 2)
        share = float(np.clip((sea - seas[k]) / (seas[k + 1] - seas[k]), 0.0, 1.0))
        return k, share, k + (share >= 0.5)

    def rise(self, spot, sea):
        k, share, near = self.between(sea)
        rows = [column(row) for row in self.loop["spots"][spot]["rise"]]
        mixed = rows[k] * (1.0 - share) + rows[k + 1] * share
        return np.where(self.flags[k] == self.flags[k + 1], mixed, rows[near])

    def margin(self, sea):
        k, share, near = self.between(sea)
        step, rows = self.loop["roomStep"], self.room.astype(float)
        at = np.where(self.room[near] == 255, np.inf, rows[near] * step)
        apart = ((self.flags[k] ^ self.flags[k + 1]) & 1) > 0
        known = (self.room[k] < 255) & (self.room[k + 1] < 255) & ~apart
        mixed = (rows[k] * (1.0 - share) + rows[k + 1] * share) * step
        found = np.where(known, mixed, at)
        return np.where(self.flags[near] & 1, 0.0, found)

    def chance(self, kind, word, spots, sea):
        told = self.told
        if kind == "stream":
            ratio = np.min(
                [
                    column(self.loop["spots"][k]["flow"]) / self.loop["spots"][k]["usual"]
                    for k in spots
                ],
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
            _, _, near = self.between(sea)
            ample = np.maximum(np.array(self.loop["trips"])[self.pair], told["misreported"])
            close = np.where(self.margin(sea) < 3.0, np.maximum(0.3, ample), ample)
            yes = np.where(self.flags[near] & 1, 0.9, close)
            return yes if word == 0 else 1.0 - yes
        told = self.loop["chances"][kind]
        rows, of = np.array(told["rows"]), raw(told["of"], "<u2")
        where = self.pair + (self.state & 1) * len(self.pairs) * (kind == "pump")
        return rows[of[where], word]

    def log_number(self, item, sea, coarser):
        told, spot = self.told, self.loop["spots"][item["spot"]]
        tool = told["instruments"][item["kind"]]
        if item["kind"] == "discharge":
            read, seen = item["value"] - sea, self.rise(item["spot"], sea)
            size, extra, over = (
                item["value"],
                told["instruments"]["sea"]["error"],
                spot["riseRange"],
            )
        else:
            read = size = item["value"]
            seen = column(spot["flow"] if item["kind"] == "flow" else self.loop[item["kind"]])
            extra = 0.0
            over = (
                spot["flowRange"] if item["kind"] == "flow" else self.loop[item["kind"] + "Range"]
            )
        if item["kind"] != "discharge":
            size = seen
        sure = np.sqrt(
            tool["error"] ** 2
            + (tool["share"] * size) ** 2
            + (tool["model"] * seen) ** 2
            + extra**2
        )
        found = np.log(told["misread"] / over) * np.ones(seen.size)
        for share, times in told["badly"]:
            found = np.logaddexp(
                found, np.log(share) + self.one(item, read, seen, sure, times * coarser, sea)
            )
        return found, -np.log(over)

    def one(self, item, read, seen, sure, coarser, sea):
        told, spot = self.told, self.loop["spots"][item["spot"]]
        log = normal(read - seen, sure * coarser)
        if item["kind"] == "discharge" and spot["unit"]:
            near = self.between(sea)[2]
            trips = (self.flags[near] & (2 << item["spot"])) > 0
            tools = told["instruments"]
            cold = np.hypot(tools["discharge"]["error"], tools["sea"]["error"]) * coarser
            either = np.logaddexp(
                normal(read, cold), normal(read - seen, told["tripSpread"])
            ) - np.log(2.0)
            log = np.where(trips, either, log)
            log = np.where(column(spot["flow"]) <= 0, np.log(told["noStream"]), log)
        return np.maximum(np.where(np.isnan(seen), told["leastLog"], log), told["leastLog"])

    def weights(self, asked):
        """The weight of each boat after the readings."""
        told, coarser = self.told, 1.0
        for _ in range(told["mostCoarser"]):
            logs, astray = np.zeros(self.pair.size), np.log(told["astray"])
            for item in asked["numbers"]:
                log, misread = self.log_number(item, asked["sea"], coarser)
                logs, astray = logs + log, astray + misread
            if asked["numbers"]:
                logs = np.logaddexp(np.log1p(-told["astray"]) + logs, astray)
            for sign in asked["signs"]:
                chance = self.chance(sign["kind"], sign["word"], sign["spots"], asked["sea"])
                logs = logs + np.log(np.maximum(chance, 1e-9))
            weight = np.exp(self.prior + logs - (self.prior + logs).max())
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
