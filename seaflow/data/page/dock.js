// Weighs the simulated boats in the page by what the owner reads. The model is not here: only draws.
(() => {
  const source = document.getElementById("boats");
  if (!source) return;
  const told = JSON.parse(source.textContent);
  const { alike } = told;
  told.loops = told.loops.map((loop) => ({ ...alike, ...loop, chances: { ...alike.chances, ...loop.chances } }));
  const bytes = (text) => Uint8Array.from(atob(text), (one) => one.charCodeAt(0));
  const NONE = -1, SIGMAS = Math.sqrt(2 * Math.PI);

  // Codes of numbers: parts that lead them, by Huffman, each with its last bits as they are; the highest stands
  // for one that is not known.
  const column = ({ at, lengths, bits, low, step }, count = told.count) => {
    const raw = bytes(at), found = new Float64Array(count), none = (1 << bits) - 1;
    const plain = bits - Math.log2(lengths.length), many = Array(33).fill(0);
    const long = [...lengths].map((one) => (one === "-" ? 32 : parseInt(one, 36)));
    for (const one of long) many[one] += 1;
    const parts = [...long.keys()].sort((one, other) => long[one] - long[other] || one - other);
    let k = 0;
    const bit = () => { const one = (raw[k >> 3] >> (7 - (k & 7))) & 1; k += 1; return one; };
    for (let i = 0; i < count; i += 1) {
      let word = 0, first = 0, before = 0, size = 0;
      while (word - first >= many[size]) {
        before += many[size]; first = (first + many[size]) << 1; size += 1;
        word = (word << 1) | bit();
      }
      let code = parts[before + word - first];
      for (let more = 0; more < plain; more += 1) code = (code << 1) | bit();
      found[i] = code === none ? NaN : low + step * code;
    }
    return found;
  };
  const byKind = (of, made) => Object.fromEntries(Object.entries(of).map(([kind, one]) => [kind, made(one, kind)]));
  const ends = ({ ever, from, until }) => {
    const of = column(ever), few = of.filter(Number.isNaN).length;
    const all = (one) => { const some = column(one, few); let k = 0; return of.map((is) => Number.isNaN(is) ? some[k++] : NaN); };
    return { from: all(from), until: all(until) };
  };
  // Which of several units the faults of each boat strike, by place; NaN of what lies in all or in none.
  const struck = ({ struck: { of, faults }, pairs, counts }) => of.map((packed, k) => {
    const has = counts.flatMap((count, pair) => Array(count).fill(faults.includes(pairs[pair][k])));
    const some = column(packed, has.filter(Boolean).length);
    let next = 0;
    return has.map((is) => (is ? some[next++] : NaN));
  });
  const open = (loop) => ({
    ...loop,
    pair: Uint16Array.from(loop.counts.flatMap((count, pair) => Array(count).fill(pair))),
    prior: column(loop.prior),
    numbers: byKind(loop.numbers, (one) => ({ ...one, column: column(one.column) })),
    water: column(loop.water), state: Uint8Array.from(column(loop.state)),
    room: loop.room.map((one) => column(one)), tripsFrom: column(loop.tripsFrom),
    units: loop.units.map((one) => ({ unit: one.unit, trips: ends(one.trips), near: ends(one.near) })),
    struck: loop.struck && { units: loop.struck.units, at: struck(loop) },
    chances: byKind(loop.chances, ({ rows, of }, kind) => (
      { rows, of: column(of, loop.pairs.length * (kind === "pump" ? 2 : 1)) })),
    spots: loop.spots.map((spot) => ({
      ...spot, rise: spot.rise.map((one) => column(one)), flow: spot.flow.map((one) => column(one)),
      tripsFrom: spot.tripsFrom && column(spot.tripsFrom) })),
  });
  const loops = told.loops.map((loop) => ({ raw: loop, ready: null }));
  const loopOf = (number) => (loops[number].ready ??= open(loops[number].raw));

  const addLogs = (a, b) => {
    const most = Math.max(a, b);
    return most === -Infinity ? most : most + Math.log(Math.exp(a - most) + Math.exp(b - most));
  };
  const normal = (off, deviation) => -0.5 * (off / deviation) ** 2 - Math.log(deviation * SIGMAS);

  // Between two seas numbers are interpolated, but for what a trip in between breaks off.
  const between = (loop, sea) => {
    const { seas } = loop, held = Math.min(Math.max(sea, seas[0]), seas.at(-1));
    let k = 0;
    while (k < seas.length - 2 && held > seas[k + 1]) k += 1;
    return { k, held, cold: seas[k], warm: seas[k + 1], share: (held - seas[k]) / (seas[k + 1] - seas[k]) };
  };
  const trips = ({ held }, from, i) => held >= from[i];
  const breaks = ({ cold, warm }, from) => from > cold && from <= warm;
  const mixed = ({ k, share }, rows, i) =>
    rows.length === 1 ? rows[0][i] : rows[k][i] * (1 - share) + rows[k + 1][i] * share;
  const rise = (loop, where, { rise: rows, grows, tripsFrom }, i) => {
    const from = (tripsFrom ?? loop.tripsFrom)[i];
    if (!breaks(where, from)) return mixed(where, rows, i);
    return where.held >= from ? rows[where.k + 1][i] : rows[where.k][i] * (1 + grows * (where.held - where.cold));
  };
  const room = (loop, where, i) => {
    const from = loop.tripsFrom[i], one = loop.room[where.k][i];
    if (where.held >= from) return 0;
    if (Number.isNaN(one)) return Infinity;
    return breaks(where, from) ? one * (from - where.held) / (from - where.cold) : mixed(where, loop.room, i);
  };

  const deviation = (kind, value, of = value) => {
    const { error, share, model } = told.instruments[kind];
    return Math.hypot(error, share * Math.abs(value), model * Math.abs(of));
  };
  const seen = (loop, where, item, i) => {
    if (item.kind === "discharge") return rise(loop, where, loop.spots[item.spot], i);
    if (item.kind === "flow") return mixed(where, loop.spots[item.spot].flow, i);
    return loop.numbers[item.kind].column[i];
  };
  const rangeOf = (loop, item) =>
    item.kind === "discharge" ? loop.spots[item.spot].riseRange
      : item.kind === "flow" ? loop.spots[item.spot].flowRange : loop.numbers[item.kind].range;

  // How likely a number is on one boat, by an instrument that is so much coarser, where the sea was misread by so much.
  const logOf = (loop, where, item, value, i, coarser, sea) => {
    if (Number.isNaN(value)) return told.leastLog;
    if (item.kind !== "discharge") return Math.max(normal(item.read - value, deviation(item.kind, value) * coarser), told.leastLog);
    const spot = loop.spots[item.spot], read = item.read - sea.off;
    if (spot.unit && mixed(where, spot.flow, i) <= 0) return Math.max(Math.log(told.noStream), told.leastLog);
    if (spot.unit && trips(where, spot.tripsFrom, i)) {
      const after = normal(read, Math.hypot(told.instruments.discharge.error, sea.error) * coarser);
      return Math.max(addLogs(after, normal(read - value, told.tripSpread)) - Math.LN2, told.leastLog);
    }
    const [mean, spread] = spot.today, usual = value * mean;
    const sure = Math.hypot(deviation("discharge", item.value, usual), sea.error) * coarser;
    return Math.max(normal(read - usual, Math.hypot(sure, value * spread)), told.leastLog);
  };
  const logOfRead = (loop, where, item, i, coarser, range, sea) => {
    const value = seen(loop, where, item, i);
    let found = Math.log(told.misread) - Math.log(range);
    for (const [share, times] of told.badly) {
      found = addLogs(found, Math.log(share) + logOf(loop, where, item, value, i, times * coarser, sea));
    }
    return found;
  };

  const stream = (loop, where, spots, i) => {
    let ratio = Infinity;
    for (const spot of spots) ratio = Math.min(ratio, mixed(where, loop.spots[spot].flow, i) / loop.spots[spot].usual);
    let step = 0;
    while (step < told.streamUpTo.length && told.streamUpTo[step] < ratio) step += 1;
    const plain = told.streams[step];
    if (!(loop.state[i] & 2) || step <= told.trickle) return plain;
    const gulps = [...told.pulsing];
    gulps[3] = Math.min(gulps[3], plain[3]);
    const sum = gulps.reduce((a, b) => a + b);
    return gulps.map((one) => one / sum);
  };
  // A trip is told of one unit, or of any. What starves it comes and goes.
  const share = (loop, where, of, i) => {
    const spot = of && loop.spots.find((one) => one.unit === of.unit);
    return spot ? mixed(where, spot.flow, i) / spot.usual : loop.water[i];
  };
  // What strikes one unit trips no other.
  const comesAndGoes = (loop, of, i) => {
    let most = 0;
    loop.pairs[loop.pair[i]].forEach((number, k) => {
      if (number === NONE) return;
      const { name, trips: often } = loop.faults[number], at = of && told.ofOneUnit.includes(name) ? loop.struck.at[k][i] : NaN;
      const elsewhere = !Number.isNaN(at) && loop.struck.units[at] !== of.unit;
      if (!elsewhere) most = Math.max(most, often);
    });
    return most;
  };
  const tripped = (loop, where, of, i) => {
    const within = ({ from, until }) => where.held >= from[i] && !(where.held >= until[i]);
    if (of ? within(of.trips) : trips(where, loop.tripsFrom, i)) return told.tripTold;
    const { below, over, trips: most } = told.starved;
    const short = isHealthy(loop, i) ? 0 : Math.min(Math.max((below - share(loop, where, of, i)) / over, 0), 1);
    const ample = Math.max(comesAndGoes(loop, of, i), most * short, told.misreported);
    const near = of ? within(of.near) : room(loop, where, i) < told.nearTrip;
    return near ? Math.max(told.nearTold, ample) : ample;
  };
  const chances = (loop, where, { kind, spots, unit }, i) => {
    if (kind === "stream") return stream(loop, where, spots, i);
    if (kind === "tripped") { const yes = tripped(loop, where, loop.units[unit], i); return [yes, 1 - yes]; }
    const { rows, of } = loop.chances[kind], pair = loop.pair[i];
    return rows[kind === "pump" ? of[(loop.state[i] & 1) * loop.pairs.length + pair] : of[pair]];
  };

  // Volts that were read are no reading of a boat but the state in which all are looked at: as likely
  // as they are where the supply is sound or sags, and told by the boats that run on about as many.
  const onVolts = (loop, volts) => {
    const { low, step, sound, sagged, alike } = loop.supply, found = Float64Array.from(loop.prior);
    const at = Math.min(Math.max((volts - low) / step, 0), sound.length - 1), k = Math.min(Math.floor(at), sound.length - 2);
    const sags = loop.pairs.map((pair) => pair.some((one) => one !== NONE && loop.faults[one].name === told.supply));
    const near = loop.numbers.volts.column.map((one) => (1 + ((volts - one) / alike) ** 2) ** -2);
    for (const [of, rows] of [[false, sound], [true, sagged]]) {
      let all = 0, here = 0;
      for (let i = 0; i < told.count; i += 1) {
        if (sags[loop.pair[i]] === of) { all += Math.exp(loop.prior[i]); here += Math.exp(loop.prior[i]) * near[i]; }
      }
      const likely = rows[k] * (k + 1 - at) + rows[k + 1] * (at - k) + Math.log(all / here);
      for (let i = 0; i < told.count; i += 1) if (sags[loop.pair[i]] === of) found[i] += likely + Math.log(near[i]);
    }
    return found;
  };
  // What was read: {loop, sea, numbers: [{kind, spot, value}], signs: [{kind, word, spots, unit}]}.
  const weigh = (asked) => {
    const loop = loopOf(asked.loop), where = between(loop, asked.sea), n = told.count;
    const every = asked.numbers.map((item) => (
      { ...item, read: item.kind === "discharge" ? item.value - asked.sea : item.value }));
    const numbers = every.filter(({ kind }) => kind !== "volts"), volts = every.find(({ kind }) => kind === "volts");
    const prior = volts ? onVolts(loop, volts.read) : loop.prior;
    const logs = new Float64Array(n), weight = new Float64Array(n);
    const misread = numbers.reduce((sum, item) => sum - Math.log(rangeOf(loop, item)), 0);
    const astray = Math.log(told.astray) + misread;
    const warm = numbers.filter(({ kind }) => kind === "discharge"), others = numbers.filter(({ kind }) => kind !== "discharge");
    const sumOf = (items, i, coarser, sea) =>
      items.reduce((sum, item) => sum + logOfRead(loop, where, item, i, coarser, rangeOf(loop, item), sea), 0);
    // The sea was misread once for all that leaves: of one reading that is a part of its error.
    const seas = warm.length > 1 ? told.seaOff.map(([off, share]) => ({ off, share, error: 0 }))
      : [{ off: 0, share: 1, error: told.instruments.sea.error }];
    let coarser = 1, effective = 0, total = 0, lost = 0;
    for (let round = 0; round < told.mostCoarser; round += 1) {
      let most = -Infinity;
      for (let i = 0; i < n; i += 1) {
        let found = -Infinity;
        const rest = sumOf(others, i, coarser, seas[0]);
        for (const sea of seas) found = addLogs(found, Math.log(sea.share) + rest + sumOf(warm, i, coarser, sea));
        if (numbers.length) found = addLogs(Math.log1p(-told.astray) + found, astray);
        weight[i] = numbers.length ? Math.exp(astray - found) : 0;
        for (const sign of asked.signs) {
          found += Math.log(Math.max(chances(loop, where, sign, i)[sign.word], 1e-9));
        }
        logs[i] = prior[i] + found;
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
    return { asked, loop, where, weight, effective, coarser, astray: lost / total, numbers: every, prior };
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
  const healthyOf = (loop, where, item, levels, prior = loop.prior) => {
    const values = [], weights = [];
    for (let i = 0; i < told.count; i += 1) {
      if (!isHealthy(loop, i)) continue;
      const { today, tripsFrom } = item.kind === "discharge" ? loop.spots[item.spot] : {};
      const runs = today && !(tripsFrom && trips(where, tripsFrom, i));
      values.push(seen(loop, where, item, i) * (runs ? today[0] + today[1] * told.steps[i % told.steps.length] : 1));
      weights.push(Math.exp(prior[i]));
    }
    return quantiles(values, weights, levels);
  };

  // The heat that the readings carry overboard beside that of the plates, if all outlets were read.
  const heats = ({ loop, numbers }) => {
    let found = 0, plate = 0;
    for (const [k, spot] of loop.spots.entries()) {
      const of = (kind) => numbers.find((one) => one.kind === kind && one.spot === k);
      if (!of("flow") || !of("discharge")) return null;
      found += loop.waterHeat * of("flow").read * of("discharge").read;
      plate += spot.heat;
    }
    return plate > 0 ? { found, plate } : null;
  };

  const isFarTooHot = ({ loop, where, numbers, prior }) => numbers.some((item) => {
    const most = item.kind === "discharge" && healthyOf(loop, where, item, [1 - told.unusual], prior)?.[0];
    return most > 0 && item.read > told.far * most;
  });

  // Whether a unit works at part load, as was told and as the readings bear: little rise is usual then.
  const isAtPartLoad = (found) => {
    const part = found.asked.signs.some(({ kind, word }) => kind === "load" && told.signs.load.words[word] === "part");
    const each = part && present(found).each;
    return part && found.loop.faults.some(({ name }, k) => told.loads.includes(name) && each[k] > told.most);
  };

  // Whether volts were read below the least of the supply.
  const isLow = ({ loop }, { kind, read }) => kind === "volts" && read < loop.usualVolts[0] - told.instruments.volts.error;

  // The verdict, by the rules of `diagnose`.
  const odd = function* (found) {
    const { loop, where } = found, easy = isAtPartLoad(found);
    for (const item of found.numbers) {
      const [low, high] = item.kind === "volts" ? loop.usualVolts
        : healthyOf(loop, where, item, [told.unusual, 1 - told.unusual], found.prior) ?? [-Infinity, Infinity];
      const extra = told.room * Math.hypot(told.instruments[item.kind].error, told.instruments[item.kind].share * item.value);
      const lowVolts = isLow(found, item) && (loop.battery ? "flat_bank" : "low_mains");
      const least = easy && item.kind === "discharge" ? -Infinity : low - extra;
      if (lowVolts || item.read < least || item.read > high + extra) yield { item, low, high, lowVolts };
    }
    const heat = heats(found);
    if (heat && Math.abs(heat.found / heat.plate - 1) > told.heatAllowed && !(easy && heat.found < heat.plate)) yield { heat };
    for (const one of found.asked.signs) {
      const { kind, word, spots } = one;
      if (kind === "when") continue;
      let usual = 0, all = 0;
      for (let i = 0; i < told.count; i += 1) {
        if (!isHealthy(loop, i)) continue;
        const weight = Math.exp(found.prior[i]);
        usual += weight * chances(loop, where, one, i)[word]; all += weight;
      }
      const most = kind === "stream" && spots.length < loop.spots.length ? 1 : Math.max(...told.signs[kind].healthy);
      if (usual / all < 2 * told.unusual * most) yield { sign: kind, word, unit: one.unit };
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
    const odds = [...odd(found)], measures = asked.numbers.filter((one) => one.kind !== "volts");
    const weak = odds.find(({ lowVolts }) => lowVolts);
    const answer = (word, why) => {
      const away = has("tripped", "yes") ? [0, 0, 0] : word === "stop_now" && high > 0 ? null : [low, middle, high];
      // What rests on readings that no boat of the plan bears is no healthy boat, and no odd one.
      if (found.astray >= told.unlike && measures.length && ["as_healthy", "as_at_part_load", "odd", "low_mains"].includes(why)) {
        return { word: word === "normal" ? "watch" : word, why: "no_boat_reads_so", room: away, odd: odds };
      }
      return { word, why, room: runs < 0.05 && !has("tripped", "yes") ? null : away, odd: odds };
    };
    const stops = told.stops.filter(([kind, word]) => kind === "stream" ? allDry : has(kind, word));
    if (stops.length === 1 && stops[0][0] === "stream" && has("pump", "silent")) {
      const still = sum(found, (i) => (loop.state[i] & 4) !== 0);
      return still > 0.5 ? { ...answer("act_soon", "all_stands"), room: null } : answer("stop_now", "pump_stands");
    }
    if (stops.length) return answer("stop_now", stops[0][2]);
    if (dry.length) return answer("stop_now", "no_water_at");
    const tripping = sum(found, (i) => trips(where, loop.tripsFrom, i));
    const left = found.numbers.filter(({ kind }) => kind === "discharge");
    if (tripping > told.most && !asked.assumed && left.length && left.every(({ read }) => read < told.noHeat)) {
      return { ...answer("act_soon", "no_heat"), room: null };
    }
    if (tripping > told.most) return answer(tripping >= told.likely ? "stop_now" : "act_soon", "most_are_dry");
    if (middle < loop.margin) return answer("act_soon", "near_cut_out");
    const measured = measures.length || asked.signs.some((one) => one.kind === "stream");
    if (!odds.length && !measured) return answer("watch", "nothing_measured");
    const leak = present(found).each[loop.leak] ?? 0;
    const ofFlow = leak >= told.leaks && asked.numbers.some((one) => one.kind === "flow");
    if (ofFlow && (has("load", "full") || asked.signs.some(({ kind }) => kind === "bilge"))) return answer("act_soon", "leak");
    const little = sum(found, (i) => loop.water[i] <= 1 / 3);
    const near = middle < told.close * loop.margin || low <= 0 || isFarTooHot(found);
    if (ofFlow && !near && little < told.likelyThird) return answer("watch", "bucket_or_leak");
    if (little >= told.likelyThird || leak >= told.leaks) return answer("act_soon", odds.length ? "odd" : "little_water");
    if (!odds.length && asked.assumed) return { word: "watch", why: "sea_unread", room: null, odd: odds };
    if (!odds.length) return answer("normal", isAtPartLoad(found) ? "as_at_part_load" : "as_healthy");
    const mean = found.weight.reduce((all, one, i) => all + one * loop.water[i], 0);
    if (near || mean <= told.weak) return answer("act_soon", "odd");
    const worn = told.wears.find(([kind, word]) => has(kind, word));
    if (worn) return answer("act_soon", worn[2]);
    if (weak) return { ...answer(loop.battery ? "act_soon" : "watch", weak.lowVolts), room: null };
    return answer("watch", "odd");
  };

  // How many times as likely the readings are with each fault alone as with nothing wrong.
  const favoured = ({ loop, weight }) => {
    const of = new Map();
    for (let i = 0; i < told.count; i += 1) {
      const [one, two] = loop.pairs[loop.pair[i]];
      if (two !== NONE) continue;
      const row = of.get(one) ?? [0, 0];
      of.set(one, [row[0] + weight[i], row[1] + Math.exp(loop.prior[i])]);
    }
    const ratio = (one) => { const [now, before] = of.get(one) ?? [0, 1]; return now / before; };
    return loop.faults.map((_, number) => ratio(number) / ratio(NONE));
  };
  const is = ({ asked }, kind, word) => asked.signs.some((one) => one.kind === kind && told.signs[kind].words[one.word] === word);
  const isHot = (found) => is(found, "tripped", "yes") || found.numbers.some((item) =>
    item.kind === "discharge" && item.read > (healthyOf(found.loop, found.where, item, [1 - told.unusual], found.prior) ?? [Infinity])[0]);

  // Whether water comes, and nothing was told of a pump that stands.
  const waterComes = (found) => !is(found, "stream", "none") && !is(found, "pump", "silent") && !is(found, "pump", "humming")
    && (found.numbers.some((one) => one.kind === "discharge" || (one.kind === "flow" && one.read > 0)) || found.asked.signs.some(({ kind }) => kind === "stream"));

  // The unit that a fault of one branch struck, if it is likely one of them.
  const unitOf = ({ loop, weight }, number) => {
    if (!loop.struck || !told.branches.includes(loop.faults[number].name)) return "";
    const shares = loop.struck.units.map(() => 0);
    loop.struck.at.forEach((at, k) => {
      weight.forEach((one, i) => { if (loop.pairs[loop.pair[i]][k] === number) shares[at[i]] += one; });
    });
    const most = Math.max(...shares), all = shares.reduce((a, b) => a + b, 0);
    return most > told.likelyUnit * all ? loop.struck.units[shares.indexOf(most)] : "";
  };

  // Places that can explain the readings, by their odds over what a look takes, and the likeliest among
  // them, second where it is far likelier than the quick place that would be. A supply whose volts were read low comes before all but salt water in the bilge. Where all is
  // stopped, nothing is told that takes a pump or unit that runs.
  const places = (found, stopped) => {
    const { each } = present(found), loadTold = found.asked.signs.some((one) => one.kind === "load");
    const by = new Map(), favour = favoured(found), wet = is(found, "bilge", "salt water"), hot = isHot(found);
    const comes = waterComes(found);
    const open = [...each.keys()].filter((number) => {
      const { name, leaks, stops } = found.loop.faults[number];
      return (!wet || leaks) && !(hot && told.loads.includes(name)) && !(comes && stops);
    });
    const able = open.filter((number) => favour[number] >= told.explains);
    const shown = new Set(able.length || !hot ? able : open.filter((number) => found.loop.faults[number].hot));
    const low = !wet && found.numbers.some((item) => isLow(found, item)), weak = ({ fault }) => low && fault.name === told.supply;
    found.loop.faults.forEach((fault, number) => { if (weak({ fault })) shown.add(number); });
    [...shown].sort((a, b) => each[b] - each[a]).forEach((number) => {
      const { look } = found.loop.faults[number];
      by.set(look, [...(by.get(look) ?? []), number]);
    });
    const rows = [...by.values()].map((numbers) => ({
      fault: found.loop.faults[numbers[0]], unit: unitOf(found, numbers[0]),
      chance: sum(found, (i) => found.loop.pairs[found.loop.pair[i]].some((one) => numbers.includes(one))),
    })).filter(({ fault }) => !(stopped && fault.running)).sort((a, b) => b.chance - a.chance);
    const likeliest = rows.slice(0, 1), least = Math.min(told.leastPlace, told.likelyEnough * (likeliest[0]?.chance ?? 0));
    const likely = rows.filter((one) => one.chance >= least || weak(one)).sort((a, b) => b.chance / b.fault.effort - a.chance / a.fault.effort);
    const load = likely.findIndex((one) => told.loads.includes(one.fault.name));
    const machine = likely.findIndex((one) => told.afterLoad.includes(one.fault.name));
    if (!loadTold && load > machine && machine >= 0) likely.splice(machine, 0, ...likely.splice(load, 1));
    // Where the owner looked and found nothing is behind all the others, and so is what shows only
    // at a time that nobody told.
    const seen = ({ fault }) => fault.answered.some(([kind, word]) => is(found, kind, word))
      || (fault.onlyWhen.length > 0 && !fault.onlyWhen.some((word) => is(found, "when", word)));
    const rank = (one) => (weak(one) ? 0 : seen(one) ? 2 : 1);
    likely.sort((one, other) => rank(one) - rank(other));
    const most = likely.filter((one) => !seen(one)).reduce((a, b) => (a && a.chance >= b.chance ? a : b), null);
    const knows = loadTold || !told.afterLoad.includes(most?.fault.name), at = likely.indexOf(most);
    if (at > 1 && knows && most.chance >= told.farLikelier * likely[1].chance) likely.splice(1, 0, ...likely.splice(at, 1));
    const first = likely.slice(0, 3);
    return [...first, ...likeliest.filter((one) => !first.includes(one))];
  };

  // What water cannot tell: how near its cut-out a scaled coil may be on a boat that reads as healthy,
  // or why a unit trips whose water looks well.
  const unseen = (found, { word, why, odd: odds }) => {
    const { loop, where, asked, numbers, weight } = found, read = (kind) => numbers.some((one) => one.kind === kind);
    if (why === "tripped") {
      const watery = read("discharge") || read("flow") || asked.signs.some((one) => one.kind === "stream");
      const poor = asked.signs.some((one) => one.kind === "stream" && told.signs.stream.words[one.word] !== told.well);
      return watery && !poor && odds.every((one) => one.sign === "tripped") ? { kind: "water_looks_well" } : null;
    }
    if (word !== "normal" || !read("discharge")) return null;
    const scaled = (i) => loop.pairs[loop.pair[i]].some((one) => one !== NONE && loop.faults[one].name === "coil_scaled");
    const rooms = Float64Array.from({ length: told.count }, (_, i) => room(loop, where, i));
    const [worst] = sum(found, scaled) < told.leastUnseen ? [Infinity]
      : quantiles(rooms, weight.map((one, i) => (scaled(i) ? one : 0)), told.levels.slice(0, 1)) ?? [Infinity];
    return worst < told.close * loop.margin ? { kind: "water_cannot_tell", room: worst } : null;
  };

  // What is not read yet and tells most about the cause for its minutes: a question, or a number by
  // the thirds in which it may lie.
  // What is seen at a place that is told is not asked for too, but the load: until then all may mean another thing.
  const next = (found, rows, places, stopped, why) => {
    const { loop, where, asked, numbers } = found, all = loop.spots.map((_, k) => k), wet = is(found, "bilge", "salt water");
    const seen = places.flatMap(({ fault }) => fault.answered.map(([kind]) => kind)).filter((kind) => kind !== "load");
    const filled = all.every((spot) => numbers.some((one) => one.kind === "flow" && one.spot === spot));
    const isTold = (kind) => (kind === "stream" && filled) || asked.signs.some((one) => one.kind === kind);
    if (wet) return null;  // that is stopped first
    if (why === "bucket_or_leak") return { kind: "bilge" };
    const named = rows.some(({ fault }) => told.loads.includes(fault.name) || told.afterLoad.includes(fault.name));
    if (!stopped && named && !isTold("load") && loop.chances.load) return { kind: "load" };
    const open = Object.entries(told.signs)
      .filter(([kind, { running, after }]) => kind !== "when" && !seen.includes(kind) && !(stopped && running) && (!after || isTold(after)) && !isTold(kind) && (kind in loop.chances || kind === "stream" || kind === "tripped"))
      .map(([kind, { effort }]) => ({ kind, effort, cells: (i) => chances(loop, where, { kind, spots: all }, i) }));
    for (const kind of ["discharge", "flow"]) {
      for (const spot of all) {
        if (stopped || numbers.some((one) => one.kind === kind && one.spot === spot)) continue;
        open.push({ kind, spot, effort: told.instruments[kind].effort, cells: thirds(found, { kind, spot }) });
      }
    }
    // Whether water comes is asked before all else.
    const water = isTold("stream") || numbers.some((one) => one.kind === "flow");
    if (!water && tells(found, open.find(({ kind }) => kind === "stream").cells) >= 0.02) return { kind: "stream" };
    const best = open.map((one) => ({ ...one, bits: tells(found, one.cells) })).filter(({ bits }) => bits >= 0.02)
      .sort((a, b) => b.bits / b.effort - a.bits / a.effort)[0];
    return best ? { kind: best.kind, spot: best.spot } : null;
  };
  const thirds = ({ loop, where, weight, asked }, item) => {
    const values = Float64Array.from({ length: told.count }, (_, i) => seen(loop, where, item, i));
    const ends = quantiles(values, weight, [1 / 3, 2 / 3]);
    return (i) => {
      if (Number.isNaN(values[i]) || !ends) return [0, 0, 0, 1];
      const sure = deviation(item.kind, item.kind === "discharge" ? values[i] + asked.sea : values[i], 0);
      const [low, high] = ends.map((end) => 1 / (1 + Math.exp(-1.702 * (end - values[i]) / sure)));
      return [low, Math.max(high - low, 0), 1 - high, 0];
    };
  };
  // The information in what may be read about the causes, two faults at once counting half each [bit].
  const tells = ({ loop, weight }, cells) => {
    const table = [], n = loop.faults.length + 1;
    for (let i = 0; i < told.count; i += 1) {
      if (weight[i] < 1e-9) continue;
      const [one, two] = loop.pairs[loop.pair[i]], share = two === NONE ? 1 : 0.5;
      cells(i).forEach((chance, k) => {
        const row = (table[k] ??= new Float64Array(n));
        row[one + 1] += share * chance * weight[i];
        if (two !== NONE) row[two + 1] += share * chance * weight[i];
      });
    }
    const columns = new Float64Array(n);
    for (const row of table) row.forEach((one, k) => { columns[k] += one; });
    return table.reduce((bits, row) => {
      const all = row.reduce((a, b) => a + b, 0);
      return row.reduce((sum, one, k) => (one > 0 ? sum + one * Math.log2(one / all / columns[k]) : sum), bits);
    }, 0);
  };
  // The outlets of which nothing was told, where something was of another.
  const untold = ({ loop, asked }) => {
    const of = new Set([...asked.signs.filter(({ kind }) => kind === "stream").flatMap(({ spots }) => spots),
      ...asked.numbers.filter(({ kind }) => kind === "discharge" || kind === "flow").map(({ spot }) => spot)]);
    return of.size ? [...loop.spots.keys()].filter((spot) => !of.has(spot)) : [];
  };
  const answer = (asked) => {
    const found = weigh(asked), said = verdict(found), stopped = said.word === "stop_now", healthy = said.word === "normal";
    const rows = places(found, stopped), odds = present(found), most = Math.max(0, ...rows.map(({ chance }) => chance));
    // What is read before any place is looked at; then one place is enough.
    const seaFirst = asked.assumed && !stopped && asked.numbers.some(({ kind }) => kind === "discharge");
    const first = seaFirst ? "sea_unread" : said.word === "watch" && odds.none > told.readAgain * most ? "card_read_again" : "";
    const named = healthy || said.why === "sea_unread" ? [] : rows.slice(0, first ? 1 : 2);
    return { untold: healthy ? [] : untold(found), found, verdict: said, places: rows, first, named,
      next: next(found, rows, named, stopped, said.why), unseen: unseen(found, said), ...odds };
  };
  globalThis.dock = { told, weigh, answer, loopOf, between, healthyOf, quantiles };
})();
