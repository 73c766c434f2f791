// Weighs the simulated boats in the page by what the owner reads. The model is not here: only draws.
(() => {
  const source = document.getElementById("boats");
  if (!source) return;
  const told = JSON.parse(source.textContent);
  const bytes = (text) => Uint8Array.from(atob(text), (one) => one.charCodeAt(0));
  const NONE = -1, SIGMAS = Math.sqrt(2 * Math.PI);

  // Two numbers of 12 bits in three bytes; the highest stands for a value that is not known.
  const column = ({ at, low, step }) => {
    const raw = bytes(at), found = new Float64Array(told.count);
    for (let i = 0, k = 0; i < told.count; i += 2, k += 3) {
      const one = raw[k] | ((raw[k + 1] & 15) << 8), two = (raw[k + 1] >> 4) | (raw[k + 2] << 4);
      found[i] = one === 4095 ? NaN : low + step * one;
      found[i + 1] = two === 4095 ? NaN : low + step * two;
    }
    return found;
  };
  const open = (loop) => ({
    ...loop,
    pair: new Uint16Array(bytes(loop.pair).buffer),
    prior: column(loop.prior),
    volts: column(loop.volts), amps: column(loop.amps),
    water: bytes(loop.water), state: bytes(loop.state),
    room: loop.room.map(bytes), flags: loop.flags.map(bytes),
    chances: Object.fromEntries(Object.entries(loop.chances).map(([kind, { rows, of }]) => (
      [kind, { rows, of: new Uint16Array(bytes(of).buffer) }]))),
    spots: loop.spots.map((spot) => ({ ...spot, rise: spot.rise.map(column), flow: column(spot.flow) })),
  });
  const loops = told.loops.map((loop) => ({ raw: loop, ready: null }));
  const loopOf = (number) => (loops[number].ready ??= open(loops[number].raw));

  const addLogs = (a, b) => {
    const most = Math.max(a, b);
    return most === -Infinity ? most : most + Math.log(Math.exp(a - most) + Math.exp(b - most));
  };
  const normal = (off, deviation) => -0.5 * (off / deviation) ** 2 - Math.log(deviation * SIGMAS);

  // Between two seas numbers are interpolated; where a unit trips at one of them the nearer counts.
  const between = (loop, sea) => {
    let k = 0;
    while (k < loop.seas.length - 2 && sea > loop.seas[k + 1]) k += 1;
    const share = Math.min(Math.max((sea - loop.seas[k]) / (loop.seas[k + 1] - loop.seas[k]), 0), 1);
    return { k, share, near: share < 0.5 ? k : k + 1 };
  };
  const at = (where, rows, flags, i) => {
    const { k, share, near } = where;
    if (flags[k][i] !== flags[k + 1][i]) return rows[near][i];
    return rows[k][i] * (1 - share) + rows[k + 1][i] * share;
  };
  const room = (loop, where, i) => {
    const { k, share, near } = where, [one, two] = [loop.room[k][i], loop.room[k + 1][i]];
    if (loop.flags[near][i] & 1) return 0;
    if (one === 255 || two === 255 || (loop.flags[k][i] ^ loop.flags[k + 1][i]) & 1) {
      return loop.room[near][i] === 255 ? Infinity : loop.room[near][i] * loop.roomStep;
    }
    return (one * (1 - share) + two * share) * loop.roomStep;
  };

  const deviation = (kind, value, of = value) => {
    const { error, share, model } = told.instruments[kind];
    return Math.hypot(error, share * Math.abs(value), model * Math.abs(of));
  };
  const seen = (loop, where, item, i) => {
    if (item.kind === "discharge") return at(where, loop.spots[item.spot].rise, loop.flags, i);
    if (item.kind === "flow") return loop.spots[item.spot].flow[i];
    return loop[item.kind][i];
  };
  const rangeOf = (loop, item) =>
    item.kind === "discharge" ? loop.spots[item.spot].riseRange
      : item.kind === "flow" ? loop.spots[item.spot].flowRange : loop[item.kind + "Range"];

  // How likely a number is on one boat, by an instrument that is so much coarser.
  const logOf = (loop, where, item, value, i, coarser) => {
    if (Number.isNaN(value)) return told.leastLog;
    const sure = item.kind === "discharge"
      ? Math.hypot(deviation("discharge", item.value, value), told.instruments.sea.error)
      : deviation(item.kind, value);
    let found = normal(item.read - value, sure * coarser);
    const spot = loop.spots[item.spot];
    if (item.kind === "discharge" && spot.unit) {
      if (spot.flow[i] <= 0) return Math.max(Math.log(told.noStream), told.leastLog);
      if (loop.flags[where.near][i] & (2 << item.spot)) {
        const after = normal(item.read, Math.hypot(told.instruments.discharge.error, told.instruments.sea.error) * coarser);
        found = addLogs(after, normal(item.read - value, told.tripSpread)) - Math.LN2;
      }
    }
    return Math.max(found, told.leastLog);
  };
  const logOfRead = (loop, where, item, i, coarser, range) => {
    const value = seen(loop, where, item, i);
    let found = Math.log(told.misread) - Math.log(range);
    for (const [share, times] of told.badly) {
      found = addLogs(found, Math.log(share) + logOf(loop, where, item, value, i, times * coarser));
    }
    return found;
  };

  const stream = (loop, spots, i) => {
    let ratio = Infinity;
    for (const spot of spots) ratio = Math.min(ratio, loop.spots[spot].flow[i] / loop.spots[spot].usual);
    let step = 0;
    while (step < told.streamUpTo.length && told.streamUpTo[step] < ratio) step += 1;
    const plain = told.streams[step];
    if (!(loop.state[i] & 2) || step <= told.trickle) return plain;
    const gulps = [...told.pulsing];
    gulps[3] = Math.min(gulps[3], plain[3]);
    const sum = gulps.reduce((a, b) => a + b);
    return gulps.map((one) => one / sum);
  };
  const tripped = (loop, where, i) => {
    if (loop.flags[where.near][i] & 1) return 0.9;
    const ample = Math.max(loop.trips[loop.pair[i]], told.misreported);
    return room(loop, where, i) < 3 ? Math.max(0.3, ample) : ample;
  };
  const chances = (loop, where, kind, spots, i) => {
    if (kind === "stream") return stream(loop, spots, i);
    if (kind === "tripped") { const yes = tripped(loop, where, i); return [yes, 1 - yes]; }
    const { rows, of } = loop.chances[kind], pair = loop.pair[i];
    return rows[kind === "pump" ? of[(loop.state[i] & 1) * loop.pairs.length + pair] : of[pair]];
  };

  // What was read: {loop, sea, numbers: [{kind, spot, value}], signs: [{kind, word, spots}]}.
  const weigh = (asked) => {
    const loop = loopOf(asked.loop), where = between(loop, asked.sea), n = told.count;
    const numbers = asked.numbers.map((item) => (
      { ...item, read: item.kind === "discharge" ? item.value - asked.sea : item.value }));
    const logs = new Float64Array(n), weight = new Float64Array(n);
    const misread = numbers.reduce((sum, item) => sum - Math.log(rangeOf(loop, item)), 0);
    const astray = Math.log(told.astray) + misread;
    let coarser = 1, effective = 0, total = 0, lost = 0;
    for (let round = 0; round < told.mostCoarser; round += 1) {
      let most = -Infinity;
      for (let i = 0; i < n; i += 1) {
        let found = 0;
        for (const item of numbers) found += logOfRead(loop, where, item, i, coarser, rangeOf(loop, item));
        if (numbers.length) found = addLogs(Math.log1p(-told.astray) + found, astray);
        weight[i] = numbers.length ? Math.exp(astray - found) : 0;
        for (const { kind, word, spots } of asked.signs) {
          found += Math.log(Math.max(chances(loop, where, kind, spots, i)[word], 1e-9));
        }
        logs[i] = loop.prior[i] + found;
        if (logs[i] > most) most = logs[i];
      }
      let squares = 0;
      total = 0; lost = 0;
      for (let i = 0; i < n; i += 1) {
        const share = weight[i];
        weight[i] = Math.exp(logs[i] - most);
        total += weight[i]; squares += weight[i] ** 2; lost += weight[i] * share;
      }
      effective = total ** 2 / squares;
      if (effective >= told.leastEffective || !numbers.length) break;
      coarser *= told.coarser;
    }
    for (let i = 0; i < n; i += 1) weight[i] /= total;
    return { asked, loop, where, weight, effective, coarser, astray: lost / total, numbers };
  };

  const sum = (found, of) => {
    let all = 0;
    for (let i = 0; i < found.weight.length; i += 1) if (of(i)) all += found.weight[i];
    return all;
  };
  const present = (found) => {
    const each = new Float64Array(found.loop.faults.length);
    let none = 0;
    for (let i = 0; i < found.weight.length; i += 1) {
      const [one, two] = found.loop.pairs[found.loop.pair[i]];
      if (one === NONE) none += found.weight[i];
      else { each[one] += found.weight[i]; if (two !== NONE) each[two] += found.weight[i]; }
    }
    return { each, none };
  };
  const isHealthy = (loop, i) => loop.pairs[loop.pair[i]][0] === NONE;
  const quantiles = (values, weights, levels) => {
    const order = [...values.keys()].filter((i) => weights[i] > 0 && Number.isFinite(values[i]))
      .sort((a, b) => values[a] - values[b]);
    const all = order.reduce((sum, i) => sum + weights[i], 0);
    if (!(all > 0)) return null;
    return levels.map((level) => {
      let upto = 0;
      for (const i of order) { upto += weights[i]; if (upto >= level * all) return values[i]; }
      return values[order.at(-1)];
    });
  };
  const healthyOf = (loop, where, item, levels) => {
    const values = [], weights = [];
    for (let i = 0; i < told.count; i += 1) {
      if (isHealthy(loop, i)) { values.push(seen(loop, where, item, i)); weights.push(Math.exp(loop.prior[i])); }
    }
    return quantiles(values, weights, levels);
  };

  // The verdict, by the rules of `diagnose`.
  const odd = function* (found) {
    const { loop, where } = found;
    for (const item of found.numbers) {
      const [low, high] = item.kind === "volts" ? loop.usualVolts
        : healthyOf(loop, where, item, [told.unusual, 1 - told.unusual]) ?? [-Infinity, Infinity];
      const extra = told.room * Math.hypot(told.instruments[item.kind].error, told.instruments[item.kind].share * item.value);
      if (item.read < low - extra || item.read > high + extra) yield { item, low, high };
    }
    for (const { kind, word, spots } of found.asked.signs) {
      if (kind === "when") continue;
      let usual = 0, all = 0;
      for (let i = 0; i < told.count; i += 1) {
        if (isHealthy(loop, i)) { usual += chances(loop, where, kind, spots, i)[word]; all += 1; }
      }
      const most = kind === "stream" && spots.length < loop.spots.length ? 1 : Math.max(...told.signs[kind].healthy);
      if (usual / all < 2 * told.unusual * most) yield { sign: kind, word };
    }
  };
  const verdict = (found) => {
    const { loop, where, asked } = found, has = (kind, word) =>
      asked.signs.some((one) => one.kind === kind && told.signs[kind].words[one.word] === word);
    const dry = asked.signs.filter((one) => one.kind === "stream" && told.signs.stream.words[one.word] === "none");
    const allDry = dry.some((one) => one.spots.length === loop.spots.length) || dry.length === loop.spots.length;
    const rooms = Float64Array.from({ length: told.count }, (_, i) => room(loop, where, i));
    const runs = sum(found, (i) => Number.isFinite(rooms[i]));
    const [low, middle, high] = runs < 0.05 ? [] : quantiles(rooms, found.weight, told.levels);
    const odds = [...odd(found)];
    const answer = (word, why) => {
      const away = has("tripped", "yes") ? [0, 0, 0] : word === "stop_now" && high > 0 ? null : [low, middle, high];
      return { word, why, room: runs < 0.05 && !has("tripped", "yes") ? null : away, odd: odds };
    };
    const stops = told.stops.filter(([kind, word]) => kind === "stream" ? allDry : has(kind, word));
    if (stops.length === 1 && stops[0][0] === "stream" && has("pump", "silent")) {
      const still = sum(found, (i) => (loop.flags[where.near][i] & 128) !== 0);
      return still > 0.5 ? answer("act_soon", "all_stands") : answer("stop_now", "pump_stands");
    }
    if (stops.length) return answer("stop_now", stops[0][2]);
    if (dry.length) return answer("stop_now", "no_water_at");
    if (sum(found, (i) => (loop.flags[where.near][i] & 1) !== 0) > 0.5) return answer("stop_now", "most_are_dry");
    if (middle < loop.margin) return answer("act_soon", "near_cut_out");
    const measured = asked.numbers.some((one) => one.kind !== "volts") || asked.signs.some((one) => one.kind === "stream");
    if (!odds.length && !measured) return answer("watch", "nothing_measured");
    const leak = present(found).each[loop.leak] ?? 0;
    if (leak >= told.leaks && asked.numbers.some((one) => one.kind === "flow")) return answer("act_soon", "leak");
    const little = sum(found, (i) => loop.water[i] * loop.waterStep <= 1 / 3);
    if (little >= told.likelyThird || leak >= told.leaks) return answer("act_soon", odds.length ? "odd" : "little_water");
    if (!odds.length) return answer("normal", "as_healthy");
    let mean = 0;
    for (let i = 0; i < told.count; i += 1) mean += found.weight[i] * loop.water[i] * loop.waterStep;
    return answer(middle < told.close * loop.margin || mean <= told.weak ? "act_soon" : "watch", "odd");
  };

  const places = (found) => {
    const { each } = present(found), loadTold = found.asked.signs.some((one) => one.kind === "load");
    const by = new Map();
    [...each.keys()].sort((a, b) => each[b] - each[a]).forEach((number) => {
      const look = found.loop.faults[number].look;
      by.set(look, [...(by.get(look) ?? []), number]);
    });
    let rows = [...by.values()].map((numbers) => ({
      fault: found.loop.faults[numbers[0]],
      chance: sum(found, (i) => found.loop.pairs[found.loop.pair[i]].some((one) => numbers.includes(one))),
    })).sort((a, b) => b.chance - a.chance).reduce((ordered, one) => {
      let place = ordered.length; // acid and licensed work wait for what is milder
      while (place && ordered[place - 1].fault.late > one.fault.late
        && one.chance >= told.likelyEnough * ordered[place - 1].chance) place -= 1;
      ordered.splice(place, 0, one);
      return ordered;
    }, []);
    const load = rows.findIndex((one) => one.fault.name === "part_load");
    const machine = rows.findIndex((one) => told.afterLoad.includes(one.fault.name));
    if (!loadTold && load > machine && machine >= 0) rows.splice(machine, 0, ...rows.splice(load, 1));
    const likely = rows.filter((one) => one.chance >= 0.05);
    return (likely.length ? likely : rows.slice(0, 1)).slice(0, 3);
  };

  // The open question that tells most about the cause for its minutes.
  const next = (found) => {
    const { loop, where, asked, weight } = found, n = loop.faults.length + 1;
    const by = new Float64Array(told.count);
    for (let i = 0; i < by.length; i += 1) by[i] = loop.pairs[loop.pair[i]][0] + 1;
    let best = null;
    for (const [kind, sign] of Object.entries(told.signs)) {
      if (kind === "when" || asked.signs.some((one) => one.kind === kind) || (kind !== "stream" && kind !== "tripped" && !loop.chances[kind])) continue;
      const spots = loop.spots.map((_, k) => k), table = sign.words.map(() => new Float64Array(n));
      for (let i = 0; i < by.length; i += 1) {
        if (weight[i] < 1e-9) continue;
        const here = chances(loop, where, kind, spots, i);
        for (let k = 0; k < table.length; k += 1) table[k][by[i]] += weight[i] * here[k];
      }
      const rows = table.map((row) => row.reduce((a, b) => a + b, 0)), columns = new Float64Array(n);
      for (const row of table) row.forEach((one, k) => { columns[k] += one; });
      let bits = 0;
      table.forEach((row, r) => row.forEach((one, k) => { if (one > 0) bits += one * Math.log2(one / rows[r] / columns[k]); }));
      if (bits >= 0.02 && (!best || bits / sign.effort > best.worth)) best = { kind, worth: bits / sign.effort };
    }
    return best && best.kind;
  };
  const answer = (asked) => {
    const found = weigh(asked);
    return { found, verdict: verdict(found), places: places(found), next: next(found), ...present(found) };
  };
  globalThis.dock = { told, weigh, answer, loopOf, between, healthyOf, quantiles };
})();
