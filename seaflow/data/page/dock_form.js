// The owner's questions: reads the form, asks the boats, and says what they answer.
(() => {
  const form = document.getElementById("dock-form");
  if (!form || !globalThis.dock) return;
  const { dock } = globalThis, { told, answer, loopOf, between, healthyOf } = dock;
  form.hidden = false;
  for (const one of document.querySelectorAll(".needs-script")) one.hidden = false;
  for (const one of document.querySelectorAll(".without-script")) one.hidden = true;
  for (const one of document.querySelectorAll(".seas")) one.open = false; // the sea of today stands above
  const us = () => document.getElementById("us").checked;
  const say = (kind, values = {}) => Object.entries(values).reduce(
    (text, [name, value]) => text.replaceAll(`{${name}}`, value), told.says[kind][us() ? 1 : 0]);
  const BUCKET = ["10", "2"];
  // How a number is shown: of the package's, in what the switch says.
  const inBare = (kind) => (x) => { const [a, b] = told.fields[kind].bare[us() ? 1 : 0]; return (x - b) / a; };
  const KINDS = {
    temperature: { unit: ["\u00b0C", "\u00b0F"], to: inBare("temperature"), digits: [1, 0] },
    difference: { unit: ["K", "\u00b0F"], to: (x) => us() ? x * 1.8 : x, digits: [0, 0] },
    bucket: { unit: ["L", "gal"], to: inBare("bucket"), digits: [1, 1] },
    time: { unit: ["s", "s"], to: (x) => x, digits: [0, 0] },
    heat: { unit: ["kW", "BTU/h"], to: (x) => us() ? x * 3.412142 : x / 1000, digits: [1, 0] },
    volts: { unit: ["V", "V"], to: (x) => x, digits: [1, 1] },
    amps: { unit: ["A", "A"], to: (x) => x, digits: [1, 1] },
    suction: { unit: ["kPa", "psi"], to: inBare("suction"), digits: [0, 1] },
  };
  KINDS.delivery = KINDS.suction;
  const plain = (kind, x) => KINDS[kind].to(x).toFixed(KINDS[kind].digits[us() ? 1 : 0]).replace(kind === "bucket" ? ".0" : "", "").replace("-", "\u2212");
  const shown = (kind, x) => `${plain(kind, x)}\u00a0${KINDS[kind].unit[us() ? 1 : 0]}`;
  const usualBucket = () => dock.amount("bucket", BUCKET[us() ? 1 : 0], us());
  const field = (name) => form.elements.namedItem(name);
  const typed = (name) => { const one = field(name); return one ? one.value : ""; };
  const chosen = (name) => { const one = form.querySelector(`input[name="${CSS.escape(name)}"]:checked`); return one ? one.value : ""; };

  // The loop and outlet that is asked about. What is asked once for all loops is remembered for each.
  const where = () => { const [loop, spot] = (chosen("loop") || "0").split("-").map(Number); return { loop, spot: spot ?? 0 }; };
  const shared = [...new Set([...form.querySelectorAll("[name^=sign-]")].map((one) => one.name))];
  let at = where(), remembered = told.loops.map(() => ({ spot: 0, signs: {} }));
  const signOf = (loop, name) => (loop === at.loop ? chosen(name) : remembered[loop].signs[name]) ?? "";
  const spotOf = (loop) => (loop === at.loop ? at.spot : remembered[loop].spot);
  const enter = (name, value) => {
    for (const one of form.querySelectorAll(`[name="${CSS.escape(name)}"]`)) {
      if (one.type === "radio") one.checked = one.value === value;
      else if (one.type === "checkbox") one.checked = Boolean(value);
      else one.value = value;
    }
  };
  // The stream of each outlet: as it was told, or like that of the one asked about, if the owner says so.
  const streamOf = (loop, spot) => {
    const own = chosen(`stream-${loop}-${spot}`);
    return own === "" && field(`alike-${loop}`)?.checked ? chosen(`stream-${loop}-${spotOf(loop)}`) : own;
  };
  // What was read, in SI but degrees Celsius; and what could not be understood, by the field it is of.
  const read = (number_ = at.loop) => {
    const loop = told.loops[number_], faults = [];
    const fault = (name, kind, values) => faults.push({ name, kind, text: say(kind, values), field: values?.field });
    const named = (name) => form.querySelector(`label[for="${CSS.escape(`r-${name}`)}"]`)?.textContent ?? "";
    // The number if it can be, and nothing where there is none.
    const held = (name, kind, found, [least, most]) => {
      if (found === null || (found >= least && found <= most)) return found;
      const told_ = { field: named(name), typed: typed(name).trim() };
      if (Number.isNaN(found)) fault(name, "not_read", { ...told_, such: told.fields[kind].such });
      else fault(name, "cannot_be", { ...told_, low: shown(kind, least), high: shown(kind, most) });
      return null;
    };
    const value = (name, kind) => typed(name).trim() ? dock.amount(kind, typed(name), us()) : null;
    const endsOf = (kind) => told.fields[kind]?.ends ?? told.instruments[kind].ends;
    const sea = held("sea", "temperature", value("sea", "temperature"), endsOf("sea"));
    const numbers = [], signs = [], streams = [];
    // Degrees of the other scale, most likely: a wrong sea would call a hot boat normal.
    if (sea !== null && (sea < loop.seas[0] - told.farSea || sea > loop.seas.at(-1) + told.farSea)) {
      fault("sea", "sea_far", { sea: shown("temperature", sea) });
    }
    loop.spots.forEach((_, spot) => {
      const id = `${number_}-${spot}`, of = { bucket: `bucket-${id}`, time: `time-${id}` };
      const leaves = `discharge-${id}`;
      const warm = held(leaves, "temperature", value(leaves, "temperature"), endsOf("discharge"));
      if (warm !== null) numbers.push({ kind: "discharge", spot, value: warm });
      const whole = dock.filled(typed(of.time), us()) ?? dock.filled(typed(of.bucket), us());
      const size = held(of.bucket, "bucket", whole?.size ?? value(of.bucket, "bucket") ?? usualBucket(), endsOf("bucket"));
      const time = held(of.time, "time", whole?.time ?? value(of.time, "time"), endsOf("time"));
      if (time !== null && size !== null) {
        numbers.push({ kind: "flow", spot, value: size / time, size, time });
      }
      const stream = streamOf(number_, spot);
      if (stream !== "") streams.push({ kind: "stream", word: Number(stream), spots: [spot] });
      if (told.signs.stream.words[stream] === "none" && numbers.some((one) => one.kind === "flow" && one.spot === spot)) {
        fault(of.time, "none_and_bucket");
      }
    });
    signs.push(...streams);
    const trips = loop.asksAt.map((unit, k) => ({ unit, k, word: chosen(`tripped-${number_}-${k}`) })).filter(({ word }) => word !== "");
    for (const kind of Object.keys(told.signs)) {
      if (kind === "tripped" && loop.asksAt.length) { signs.push(...tripOf(trips)); continue; }
      const word = kind === "stream" ? "" : signOf(number_, `sign-${kind}`);
      if (word !== "" && (kind === "tripped" || kind in loop.chances)) signs.push({ kind, word: Number(word), spots: [] });
    }
    const flows = signs.some((one) => one.kind === "stream" && told.signs.stream.words[one.word] !== "none")
      || numbers.some((one) => one.kind === "flow");
    const [turning, least, most] = loop.volts ?? [];
    for (const kind of Object.keys(loop.numbers)) {
      const ends = kind === "volts" && loop.volts ? [flows ? turning : least, most] : endsOf(kind);
      const name = `${kind}-${number_}`, found = held(name, kind, value(name, kind), ends);
      if (found !== null) numbers.push({ kind, spot: 0, value: found });
    }
    for (const one of sea === null ? [] : numbers) {
      if (one.kind !== "discharge" || one.value >= sea - told.cold) continue;
      fault(`discharge-${number_}-${one.spot}`, "colder_than_sea", { value: shown("temperature", one.value), sea: shown("temperature", sea) });
    }
    const is = (one, kind, word) => one.kind === kind && told.signs[kind].words[one.word] === word;
    if (signs.some((one) => is(one, "handle", "shut")) && signs.some((one) => is(one, "stream", "strong"))) {
      fault("sign-handle", "strong_and_shut");
    }
    const assumed = sea === null;
    return { loop: number_, sea: assumed ? loop.usualSea : sea, assumed, numbers, signs, faults, trips };
  };
  // A trip told by unit, as one sign: of several that tripped, or did not, none is named.
  const tripOf = (trips) => {
    const yes = trips.filter(({ word }) => told.signs.tripped.words[word] === "yes"), of = yes.length ? yes : trips;
    return of.length ? [{ kind: "tripped", word: Number(of[0].word), spots: [], unit: of.length === 1 ? of[0].k : undefined }] : [];
  };
  // Each message stands at its field, which names it, and all of them above the answer.
  const mark = (faults) => {
    for (const one of form.querySelectorAll(".at-field")) {
      const name = one.id.slice(2), own = faults.filter((fault) => fault.name === name);
      one.textContent = own.map(({ text }) => text).join(" ");
      one.hidden = !own.length;
      field(name)?.setAttribute?.("aria-invalid", own.length > 0); // not of choices
    }
    put("dock-wrong", faults.map(({ text }) => text).join(" "));
  };

  const put = (id, text) => { const one = document.getElementById(id); one.textContent = text; one.hidden = !text; };
  const line = (label, ...texts) => {
    const row = document.createElement("div"), name = document.createElement("dt");
    name.textContent = label;
    row.append(name);
    for (const text of texts.filter(Boolean)) {
      const words = document.createElement("dd");
      if (typeof text === "string") words.textContent = text; else words.append(text);
      row.append(words);
    }
    return row;
  };
  const paragraphs = (all) => {
    const found = document.createDocumentFragment();
    for (const one of all) { const words = document.createElement("p"); words.append(one); found.append(words); }
    return found;
  };
  const strong = (text) => { const one = document.createElement("strong"); one.textContent = text; return one; };
  const oddOf = (loop, { item, low, high, sign, word, unit, heat, lowVolts }, left) => {
    if (heat) return say("odd_heat", { found: shown("heat", heat.found), plate: shown("heat", heat.plate) });
    if (sign) {
      const of = unit === undefined ? "" : ` (${loop.asksAt[unit]})`;
      return say("odd_sign", { title: `${told.titles[sign]}${of}`, word: told.signs[sign].words[word] });
    }
    const place = loop.spots.length > 1 ? ` at ${loop.spots[item.spot].outlet}` : "";
    if (item.kind === "flow") {
      return say("odd_bucket", { bucket: shown("bucket", item.size), place, seconds: Math.round(item.time),
        low: Math.round(item.size / high), high: low > 0 ? Math.round(item.size / low) : "\u221e" });
    }
    if (item.kind === "discharge") {
      const sea = item.value - item.read;
      return say(left ? "near_cut_out_read" : "odd_rise", { value: shown("temperature", item.value), place, ...left,
        low: plain("temperature", low + sea), high: shown("temperature", high + sea) });
    }
    const value = shown(item.kind, item.value), ends = { low: plain(item.kind, low), high: shown(item.kind, high) };
    return lowVolts ? say(lowVolts, { volts: value, ...ends }) : say("odd_number", { title: told.titles[item.kind], value, ...ends });
  };
  // That nothing was told of some outlets, each name leading to where it is asked about.
  const toOutlets = (loop, spots) => {
    const words = document.createElement("span"), [before, behind] = say("other_outlets", { outlets: "\n" }).split(/"?\n"?/);
    const links = spots.map((spot) => {
      const link = document.createElement("a");
      link.href = `#at-${loop}-${spot}`;
      link.textContent = told.loops[loop].spots[spot].outlet;
      link.addEventListener("click", () => { document.getElementById(`at-${loop}-${spot}`).open = true; });
      return link;
    });
    words.append(before, ...links.flatMap((link, k) => (k ? [k < links.length - 1 ? ", " : " and ", link] : [link])), behind);
    return words;
  };
  const inWords = (chance) => told.odds.find(([least]) => Math.round(chance * 100) / 100 >= least)[1];
  const percent = (chance) => `${Math.round(100 * chance)}%`;
  const capital = (text) => `${text[0].toUpperCase()}${text.slice(1)}`;
  const atUnit = (unit) => unit && say("at_unit", { unit });
  // How likely something is wrong at each place, and that nothing is; the first place before likelier ones if a look
  // there takes less.
  const oddsOf = (places, none) => {
    const [first] = places, slower = places.some(({ fault, chance }) =>
      fault.effort > first.fault.effort && Math.round(100 * chance) > Math.round(100 * first.chance));
    const rows = places.map(({ fault, chance }, k) => ({ place: fault.look, chance, quick: k === 0 && slower }));
    if (none >= told.leastTold) rows.push({ place: told.nothing, chance: none });
    return rows.sort((a, b) => (b.quick ?? 0) - (a.quick ?? 0) || b.chance - a.chance).map(({ place, chance, quick }) =>
      say(quick ? "card_place_quick" : "card_place", { place: capital(place), odds: inWords(chance), chance: percent(chance) }));
  };

  // What a healthy boat shows at the outlet that is asked about.
  const normalToday = (asked) => {
    const loop = loopOf(asked.loop), now = between(loop, asked.sea), spot = at.spot, size = usualBucket();
    const [rise, flow] = ["discharge", "flow"].map((kind) => healthyOf(loop, now, { kind, spot }, told.levels));
    return !rise || !flow ? "" : say(`normal_${asked.assumed ? "if_" : ""}${loop.spots.length > 1 ? "at" : "here"}`, {
      place: loop.spots[spot].outlet, sea: shown("temperature", asked.sea),
      low: plain("temperature", asked.sea + rise[0]), high: shown("temperature", asked.sea + rise[2]),
      bucket: shown("bucket", size), fast: Math.round(size / flow[2]), slow: Math.round(size / flow[0]),
    });
  };
  // What was read, in words, of all or of one outlet.
  const inShort = (asked, only) => {
    const { spots, asksAt } = told.loops[asked.loop], word = ({ kind, word: k }) => told.signs[kind].words[k];
    const place = (spot) => (only === undefined && spots.length > 1 ? ` (${spots[spot].outlet})` : "");
    const here = ({ spot, spots: of }) => only === undefined || (spot ?? of?.[0]) === only;
    const said = only === undefined && !asked.assumed ? [`${told.titles.sea} ${shown("temperature", asked.sea)}`] : [];
    const trips = asked.trips.map((one) => `${told.titles.tripped}${asksAt.length > 1 ? ` (${one.unit})` : ""}: ${told.signs.tripped.words[one.word]}`);
    for (const one of asked.numbers.filter(here)) {
      said.push(one.kind === "flow" ? `${shown("bucket", one.size)} in ${Math.round(one.time)}\u00a0s${place(one.spot)}`
        : one.kind === "discharge" ? `${told.titles.discharge} ${shown("temperature", one.value)}${place(one.spot)}`
          : `${told.titles[one.kind]} ${shown(one.kind, one.value)}`);
    }
    for (const one of asked.signs.filter(here)) {
      if (one.kind !== "tripped" || !trips.length) said.push(`${told.titles[one.kind]}${one.kind === "stream" ? place(one.spots[0]) : ""}: ${word(one)}`);
    }
    return [...said, ...(only === undefined ? trips : [])].join("; ");
  };
  const others = (asked) => told.loops[asked.loop].spots.forEach((_, spot) => {
    const told_ = form.querySelector(`[data-spot="${asked.loop}-${spot}"] .told`);
    if (told_) told_.textContent = inShort(asked, spot);
  });
  // The fixed order is of use until the readings give one.
  let unfolded = true;
  const fold = (open) => {
    if (open !== unfolded) for (const one of document.querySelectorAll("#dock .order")) one.open = open;
    unfolded = open;
  };
  const bar = document.getElementById("dock-bar");
  // It leads to the answer, until that is in sight.
  new IntersectionObserver(([seen]) => bar.classList.toggle("away", seen.isIntersecting), { rootMargin: "-80px" })
    .observe(document.getElementById("dock-answer"));
  const tell = () => {
    const asked = read(), empty = !asked.numbers.length && !asked.signs.length;
    mark(asked.faults);
    put("dock-normal", normalToday(asked));
    others(asked);
    const box = document.getElementById("dock-answer");
    // What cannot be read is left out, and named; what contradicts itself gets no answer but a stop.
    const left = asked.faults.filter(({ name, kind }) => kind === "not_read" || (kind === "cannot_be" && name !== "sea"));
    const stops = asked.signs.some(({ kind, word }) => told.stops.some(([one, of]) => one === kind && of === told.signs[kind].words[word]));
    box.hidden = empty || (asked.faults.length > left.length && !stops);
    fold(box.hidden);
    if (box.hidden) { bar.hidden = true; return; }
    const found = answer(asked), { verdict, places, named } = found, loop = found.found.loop;
    const sign = { normal: "yes", watch: "tight", act_soon: "tight", stop_now: "no" }[verdict.word];
    box.className = `dock-answer ${sign}`;
    document.querySelector("#dock-word use").setAttribute("href", `#flag-${sign}`);
    document.querySelector("#dock-word span").textContent = say(verdict.word);
    const day = new Date().toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric" });
    put("dock-read", `${day}: ${inShort(asked)}`);
    put("dock-of", told.anyBoat ? told.sizes[asked.loop] : told.loops.length > 1 ? loop.heading : "");
    bar.hidden = false;
    bar.className = `dock-bar ${sign}`;
    bar.firstChild.textContent = say(verdict.word);
    // Low volts or the first odd reading; what flow and rise say of it, and low volts whatever else is told, are a note.
    const oddities = verdict.odd.filter(({ heat, lowVolts }, k) => lowVolts || (verdict.why === "odd" && (k === 0 || heat)))
      .sort((one, other) => Boolean(other.lowVolts) - Boolean(one.lowVolts));
    const why = oddities.map((one) => oddOf(loop, one)), isOdd = ["odd", "flat_bank", "low_mains"].includes(verdict.why);
    if (!isOdd) why.unshift(say(verdict.why, { chance: percent(found.each[loop.leak] ?? 0) }));
    const [low, , most] = verdict.room ?? [];
    if (verdict.why === "near_cut_out") {
      const left = { margin: shown("difference", loop.margin), most: shown("difference", most) };
      const warm = verdict.odd.find(({ item }) => item?.kind === "discharge");
      why[0] = warm ? oddOf(loop, warm, left) : say("near_cut_out", left);
    }
    const room = verdict.why !== "near_cut_out" && verdict.word !== "stop_now" && most > 0 && !(isOdd && oddities[0].lowVolts)
      ? say(low > 0 ? "room" : "card_room_at_most", { low: plain("difference", low), high: shown("difference", most) }) : "";
    put("dock-why", [why[0], room].filter(Boolean).join(" "));
    const after = new Set(named.map(({ fault }) => fault.after).filter(Boolean)), healthy = verdict.word === "normal";
    const rows = [], labels = [say("look_here"), say("then_here")];
    if (healthy) rows.push(line(say("do"), say(verdict.why === "as_at_part_load" ? "card_full_load" : "store")));
    else if (verdict.why === "sea_unread") rows.push(line(say("do"), told.asks.sea));
    else if (found.first) rows.push(line(say(found.first === "sea_unread" ? "do" : "first"), say(found.first)));
    named.forEach(({ fault, unit }, k) => {
      const words = document.createElement("span");
      words.append(`${capital(fault.look)}${atUnit(unit)}. `);
      if (fault.caution) words.append(strong(`${fault.caution} `));
      words.append(fault.act);
      rows.push(line(labels[k], words));
    });
    if (after.size) rows.push(line(say("last"), strong([...after].join(" "))));
    if (!healthy && verdict.word !== "stop_now") rows.push(line(say("stop_if"), say("stop_signs")));
    const unseen = found.unseen && say(found.unseen.kind, { room: shown("difference", found.unseen.room ?? 0), by: loop.shows });
    if (healthy && unseen) rows.push(line(say("but"), unseen));
    const notes = [...why.slice(1), healthy ? loop.short : unseen].filter(Boolean);
    if (notes.length) rows.push(line(say("note"), notes.join(" ")));
    put("dock-odds", named.map(({ chance }, k) => `${labels[k]} ${percent(chance)}`).join(", "));
    put("dock-places", named.length ? oddsOf(places, verdict.word === "stop_now" ? 0 : found.none).join(" ") : "");
    const wanted = [found.untold.length && toOutlets(asked.loop, found.untold)];
    if (found.next && verdict.why !== "sea_unread") {
      const { kind, spot } = found.next, outlet = spot !== undefined && loop.spots.length > 1 ? `(${loop.spots[spot].outlet})` : "";
      wanted.push([told.careful[kind], told.asks[kind], outlet, !after.has(told.after[kind]) && told.after[kind]].filter(Boolean).join(" "));
    }
    if (wanted.some(Boolean)) rows.push(line(say("read_next"), paragraphs(wanted.filter(Boolean))));
    const unsure = [
      left.length && say("left_out", { fields: left.map((one) => one.field).join(", ") }),
      asked.assumed && say("sea_assumed", { sea: shown("temperature", asked.sea) }),
      !asked.assumed && (asked.sea < loop.seas[0] - 1 || asked.sea > loop.seas.at(-1) + 1) && say("sea_outside"),
      verdict.word === "stop_now" ? "" : found.found.coarser > 1 ? say("few_boats") : found.found.effective < told.roughBelow && say("rough"),
    ].filter(Boolean);
    if (unsure.length) rows.push(line(say("unsure"), unsure.join(" ")));
    document.getElementById("dock-rows").replaceChildren(...rows);
    bar.lastChild.textContent = named.length && !found.first ? `${labels[0]}: ${named[0].fault.look}${atUnit(named[0].unit)}` : "";
    const causes = loop.faults.map((fault, k) => [fault.title, found.each[k]]);
    if (verdict.word !== "stop_now") causes.push([told.nothing, found.none]);
    const body = causes.filter(([, chance]) => chance >= 0.03).sort((a, b) => b[1] - a[1]).slice(0, 6).map(([title, chance]) => {
      const row = document.createElement("tr");
      for (const [tag, text] of [["th", title], ["td", ""], ["td", `${percent(chance)}, ${inWords(chance)}`]]) {
        const cell = document.createElement(tag);
        if (tag === "th") cell.scope = "row";
        cell.textContent = text;
        row.append(cell);
      }
      const bar = document.createElement("progress");
      bar.max = 100; bar.value = 100 * chance; bar.setAttribute("aria-label", title);
      row.children[1].append(bar);
      return row;
    });
    document.getElementById("dock-causes").replaceChildren(...body);
  };

  let waiting = 0;
  const soon = () => { clearTimeout(waiting); waiting = setTimeout(tell, 150); };
  const units = () => {
    for (const one of form.querySelectorAll("[data-kind]")) {
      const kind = one.dataset.kind, was = one.dataset.system, system = us() ? "us" : "metric";
      // A bucket that nothing was timed with yet is the usual one; what was read stays as much as it was.
      const unread = kind === "bucket" && !typed(one.name.replace("bucket", "time")).trim();
      const own = !was || one.value === BUCKET[was === "us" ? 1 : 0];
      if (unread && own && (was || !one.value)) one.value = BUCKET[us() ? 1 : 0];
      else if (was && was !== system && kind !== "time" && dock.isBare(one.value)) {
        const before = one.value, steps = kind === "bucket" ? 100 : 10;
        one.value = one.value === one.dataset.shown ? one.dataset.typed
          : String(Math.round(steps * KINDS[kind].to(dock.amount(kind, before, was === "us"))) / steps);
        Object.assign(one.dataset, { typed: before, shown: one.value });
      }
      one.dataset.system = system;
    }
    soon();
  };
  // What is asked at the outlet that is asked about stands among the questions, the rest where it is folded.
  const slots = Object.fromEntries([...form.querySelectorAll("[data-slot]")].map((one) => [one.dataset.slot, one]));
  const homes = [...form.querySelectorAll("[data-spot]")].map((one) => [one, [...one.querySelectorAll("[data-part]")]]);
  const placed = () => {
    for (const one of document.querySelectorAll("#dock [data-loop]")) one.hidden = Number(one.dataset.loop) !== at.loop;
    for (const [home, parts] of homes) {
      const here = home.dataset.spot === `${at.loop}-${at.spot}`;
      for (const part of parts) (here ? slots[part.dataset.part] : home).append(part);
      home.hidden = here || home.tagName !== "DETAILS";
    }
  };
  const OF_OUTLET = ["stream", "discharge", "bucket", "time"];
  const moved = () => {
    const now = where(), before = at;
    if (now.loop === before.loop && now.spot === before.spot) return;
    if (now.loop === before.loop) {
      // What was said of the others by one of them is theirs once another is asked about.
      told.loops[now.loop].spots.forEach((_, spot) => enter(`stream-${now.loop}-${spot}`, streamOf(now.loop, spot)));
      enter(`alike-${now.loop}`, false);
    } else if (told.anyBoat) {
      for (const kind of OF_OUTLET) { // the same outlet, of another size
        const [from, to] = [before, now].map(({ loop }) => field(`${kind}-${loop}-0`));
        enter(`${kind}-${now.loop}-0`, from.value);
        if (from.dataset) Object.assign(to.dataset, from.dataset);
      }
    } else {
      remembered[before.loop] = { spot: before.spot, signs: Object.fromEntries(shared.map((name) => [name, chosen(name)])) };
      for (const name of shared) enter(name, remembered[now.loop].signs[name] ?? "");
    }
    at = now;
    placed();
  };
  form.addEventListener("input", soon);
  form.addEventListener("change", () => { moved(); soon(); });
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => setTimeout(() => {
    remembered = told.loops.map(() => ({ spot: 0, signs: {} }));
    at = where();
    placed(); units(); tell();
  }));
  for (const one of document.getElementsByName("units")) one.addEventListener("change", units);
  placed(); units(); tell();
  // What was filled in for a loop, as it was typed, and the same put back.
  const ofLoop = (loop) => [...new Set([...form.elements].map(({ name }) => name))].filter((name) =>
    name === "sea" || shared.includes(name) || new RegExp(`^(?!sign)[a-z]+-${loop}(-\\d+)?$`).test(name));
  const filledIn = (loop) => {
    const value = (name) => shared.includes(name) ? signOf(loop, name) : field(name).type === "checkbox" ? field(name).checked : field(name).value;
    return { spot: spotOf(loop), us: us(), fields: Object.fromEntries(ofLoop(loop).map((name) => [name, value(name)])) };
  };
  const fillIn = (loop, said) => {
    const one = form.querySelector(`[name=loop][value="${loop}-${said.spot}"], [name=loop][value="${loop}"]`);
    if (one) one.checked = true;
    moved();
    for (const name of ofLoop(loop)) {
      enter(name, said.fields[name] ?? "");
      if (field(name).dataset) Object.assign(field(name).dataset, { system: said.us ? "us" : "metric", shown: "", typed: "" });
    }
    units(); tell();
  };
  Object.assign(globalThis.dock, { read, say, put, us, inShort, filledIn, fillIn, loopNow: () => at.loop });
})();
