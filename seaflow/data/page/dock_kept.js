// Readings stay on this device, to be looked at, filled in again, or saved as a file that the commands take. What is
// filled in stays for the day, also if the page is left.
(() => {
  if (!globalThis.dock?.read) return;
  const { told, read, say, put, inShort, filledIn, fillIn, loopNow } = globalThis.dock;
  const KEPT = "seaflow.readings." + told.boat, DRAFT = "seaflow.draft." + told.boat, get = (id) => document.getElementById(id);
  // Each with its day, loop, what the form held, what was read, and its text for the file.
  const store = {
    get: () => {
      try { return (JSON.parse(localStorage.getItem(KEPT)) ?? []).map((one) => (typeof one === "string" ? { text: one } : one)).filter((one) => one?.text); } catch { return []; }
    },
    set: (rows) => { try { localStorage.setItem(KEPT, JSON.stringify(rows)); return true; } catch { return false; } },
  };
  const quote = (text) => JSON.stringify(String(text)).replace(/\u007f/g, "\\u007f");
  const today = () => { const now = new Date(); return new Date(now - 60_000 * now.getTimezoneOffset()).toISOString().slice(0, 10); };
  const asRow = (asked, day) => {
    // Of any boat nothing has a name: the rows are then of whatever boat with one loop they are put beside.
    const loop = told.loops[asked.loop], rows = [`date = ${day}`];
    if (told.anyBoat) rows.unshift(`# with the size of unit chosen: ${told.sizes[asked.loop]}`); else rows.push(`loop = ${quote(loop.name)}`);
    const at = (spot, value) => quote(told.anyBoat ? value : `${loop.spots[spot].outlet}=${value}`);
    const of = (kind, value, ending) => {
      const every = asked.numbers.filter((one) => one.kind === kind);
      if (every.length) rows.push(`${ending} = [${every.map((one) => at(one.spot, value(one))).join(", ")}]`);
    };
    if (!asked.assumed) rows.push(`sea = ${quote(`${asked.sea.toFixed(1)} degC`)}`);
    of("discharge", (one) => `${one.value.toFixed(1)} degC`, "discharge");
    of("flow", (one) => `${(1000 * one.size).toFixed(2)} L in ${Number(one.time.toFixed(1))} s`, "bucket");
    const streams = asked.signs.filter((one) => one.kind === "stream");
    const word = (one) => told.signs[one.kind].words[one.word];
    if (streams.length) rows.push(`stream = [${streams.map((one) => at(one.spots[0], word(one))).join(", ")}]`);
    if (asked.trips.length) {
      const of = ({ unit, word }) => loop.asksAt.length > 1 ? `${unit}=${told.signs.tripped.words[word]}` : told.signs.tripped.words[word];
      rows.push(`tripped = [${asked.trips.map((one) => quote(of(one))).join(", ")}]`);
    }
    for (const one of asked.signs) if (one.kind !== "stream" && !(one.kind === "tripped" && asked.trips.length)) rows.push(`${one.kind} = ${quote(word(one))}`);
    const METERS = { volts: [1, "V"], amps: [1, "A"], suction: [1000, "kPa"], delivery: [1000, "kPa"] };
    for (const { kind, value } of asked.numbers) {
      const whose = kind === "amps" && loop.ampsAt ? `${loop.ampsAt}=` : "";
      if (kind in METERS) rows.push(`${kind} = ${quote(`${whose}${Number((value / METERS[kind][0]).toFixed(2))} ${METERS[kind][1]}`)}`);
    }
    return `[[reading]]\n${rows.join("\n")}\n`;
  };
  const text = () => store.get().map((one) => one.text).join("\n");
  const isEmpty = (asked) => !asked.numbers.length && !asked.signs.length;

  const dayOf = ({ day }) => day ? new Date(`${day}T12:00`).toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric" }) : "";
  // Whether the form and the boats are still those that it was kept with.
  const isOfToday = ({ said, asked, name }) => Boolean(said) && told.loops[asked.loop]?.name === name;
  const button = (words, of, act) => {
    const one = document.createElement("button");
    one.type = "button"; one.textContent = words; one.setAttribute("aria-label", `${words}: ${of}`);
    one.addEventListener("click", act);
    return one;
  };
  const row = (one, k) => {
    const item = document.createElement("li"), words = document.createElement("p"), day = document.createElement("strong");
    const where = told.anyBoat ? told.sizes[one.asked?.loop] : told.loops.length > 1 && one.name;
    day.textContent = [dayOf(one), where].filter(Boolean).join(", ");
    const today_ = isOfToday(one);
    words.append(day, " ", today_ ? inShort(one.asked) : one.text.split("\n").slice(1).join(" "));
    const buttons = document.createElement("div");
    buttons.className = "buttons";
    if (today_) buttons.append(button(say("fill_in"), day.textContent, () => refill(one)));
    buttons.append(button(say("delete"), day.textContent, () => {
      if (confirm(say("forget_one", { day: day.textContent }))) { store.set(store.get().filter((_, at) => at !== k)); list(); put("dock-told", ""); get("dock-keep").focus(); }
    }));
    item.append(words, buttons);
    return item;
  };
  const list = () => {
    const rows = store.get();
    get("dock-kept").hidden = !rows.length;
    get("dock-kept").querySelector("summary").textContent = say("kept", { count: rows.length });
    get("dock-list").replaceChildren(...rows.map(row).reverse());
    get("dock-share").hidden = !navigator.share;
  };
  const refill = (one) => {
    const now = read(), is = ({ asked }) => JSON.stringify(asked) === JSON.stringify(now);
    if (!isEmpty(now) && !store.get().some(is) && !confirm(say("fill_over"))) return;
    fillIn(one.asked.loop, one.said);
    drafted();
    get("dock-form").scrollIntoView();
    get("r-sea").focus({ preventScroll: true });
  };
  // All loops that something was read of, also where their questions are not shown.
  get("dock-keep").addEventListener("click", () => {
    const every = told.anyBoat ? [loopNow()] : told.loops.map((_, k) => k);
    const day = today(), asked = every.map((loop) => read(loop)).filter((one) => !isEmpty(one));
    if (!asked.length) return put("dock-told", say("nothing_to_keep"));
    const before = store.get();
    const rows = asked.map((one) => ({ day, name: told.loops[one.loop].name, asked: one, said: filledIn(one.loop), text: asRow(one, day) }))
      .filter(({ text: own }) => !before.some((one) => one.text === own));
    if (!store.set([...before, ...rows])) return put("dock-told", say("cannot_keep"));
    list();
    get("dock-kept").open = true;
    put("dock-told", say("kept", { count: before.length + rows.length }));
  });
  get("dock-save").addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text()], { type: "application/toml" }));
    const boat = told.boat.normalize("NFKD").toLowerCase().replace(/[^a-z0-9 -]/g, "").trim().replace(/[ -]+/g, "-");
    link.download = `${boat || "boat"}-readings.toml`;
    link.click();
    URL.revokeObjectURL(link.href);
  });
  get("dock-share").addEventListener("click", () => navigator.share({ text: text() }).catch(() => {}));
  get("dock-forget").addEventListener("click", () => {
    if (confirm(say("forget_all"))) { store.set([]); list(); put("dock-told", ""); get("dock-keep").focus(); }
  });
  // The loop that is asked about comes last: it is the one that is shown again.
  const form = get("dock-form"), names = told.loops.map(({ name }) => name).join();
  const drafted = () => {
    const every = told.anyBoat ? [] : [...told.loops.keys()].filter((loop) => loop !== loopNow());
    const loops = [...every, loopNow()].map((loop) => [loop, filledIn(loop)]);
    try { localStorage.setItem(DRAFT, JSON.stringify({ day: today(), names, loops })); } catch { /* as it was before */ }
  };
  const undrafted = () => { get("dock-draft").hidden = true; try { localStorage.removeItem(DRAFT); } catch { /* none */ } };
  const again = () => {
    try {
      const draft = JSON.parse(localStorage.getItem(DRAFT));
      if (draft.day !== today() || draft.names !== names) return undrafted();
      for (const [loop, said] of draft.loops) fillIn(loop, said);
      get("dock-draft").hidden = false;
    } catch { undrafted(); }
  };
  for (const kind of ["input", "change"]) form.addEventListener(kind, drafted);
  form.addEventListener("reset", undrafted);
  get("dock-clear").addEventListener("click", () => { form.reset(); get("r-sea").focus({ preventScroll: true }); });
  for (const one of document.getElementsByName("units")) one.addEventListener("change", list);
  again();
  list();
})();
