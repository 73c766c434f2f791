// What is typed into a field: a number, with its unit or in that of the switch, as the commands read it.
(() => {
  if (!globalThis.dock) return;
  const { fields } = globalThis.dock.told;
  const AMOUNT = String.raw`(?:\d+[\s-]+\d+\/[1-9]\d*|\d+\/[1-9]\d*|\d+[.,]?\d*|[.,]\d+)`;
  const ONE = new RegExp(`^([+−–-]?)\\s*(${AMOUNT})\\s*(.*)$`);
  const IN_A_ROW = new RegExp(`^(${AMOUNT})\\s*([a-z]+)[\\s,-]*(${AMOUNT})\\s*([a-z]+)$`);
  const CLOCK = /^(\d+):([0-5]?\d(?:\.\d+)?)\s*(?:min|mins|minutes|m)?$/;
  const SHORT = /^(\d+)\s*(?:m|min|['\u2019\u2032])\s*([0-5]?\d)(?:["\u201d\u2033]|'')?$/; // 1m30 and 2'10
  const DEGREES = /^(?:deg(?:ree)?s?\.?|°|º|')?\s*(c(?:elsius|entigrade)?|f(?:ahrenheit)?)?$/;
  // Said of a vessel that is filled, and no part of its size.
  const VESSEL = /\b(?:an?|buckets?|pails?|of|fills?|to)\b|(?<=\d)-(?=[a-z])/g;
  const FILLED = [/^(?<volume>.+?)(?: in |\s*\/\s*)(?<time>.+)$/, /^(?<time>.+?)\s+(?:for|per)\s+(?<volume>.+)$/];

  const figure = (text) => {
    const parts = /^(?:(\d+)[\s-]+)?(\d+)\/(\d+)$/.exec(text);
    if (parts) return Number(parts[1] ?? 0) + Number(parts[2]) / Number(parts[3]);
    return Number(text.replace(",", "."));
  };
  const split = (text) => {
    const found = ONE.exec(text);
    return found && { value: (/[−–-]/.test(found[1]) ? -1 : 1) * figure(found[2]), unit: found[3] };
  };
  const scaleOf = (kind, unit, us) => {
    if (!unit) return fields[kind].bare[us ? 1 : 0];
    const degrees = kind === "temperature" && DEGREES.exec(unit);
    if (degrees) return degrees[1] ? fields[kind].units[degrees[1][0]] : fields[kind].bare[us ? 1 : 0];
    return fields[kind].units[unit];
  };
  // The number in the unit of the package (degrees Celsius, m3, s, V, A, Pa); NaN if it is no such thing.
  const amount = (kind, typed, us) => {
    let text = typed.trim().toLowerCase().replace(/\s+/g, " ");
    if (kind === "bucket") text = text.replace(VESSEL, " ").trim().replace(/\s+/g, " ");
    const clock = kind === "time" && (CLOCK.exec(text) ?? SHORT.exec(text));
    if (clock) return 60 * Number(clock[1]) + Number(clock[2]);
    const row = kind === "time" && IN_A_ROW.exec(text);
    if (row) {
      const [large, small] = [row[2], row[4]].map((unit) => scaleOf(kind, unit)?.[0]);
      return large === 60 * small ? large * figure(row[1]) + small * figure(row[3]) : NaN;
    }
    const found = split(text), scale = found && scaleOf(kind, found.unit, us);
    return scale ? scale[0] * found.value + scale[1] : NaN;
  };
  const isBare = (typed) => split(typed.trim().toLowerCase())?.unit === "";
  // "10 L in 35 s", a flow such as "15 L/min" and their like, as bucket and time; else null.
  const filled = (typed, us) => {
    const text = typed.trim().toLowerCase().replace(/\s+/g, " ");
    for (const one of FILLED) {
      const found = one.exec(text)?.groups;
      const size = found && amount("bucket", found.volume, us), time = found && amount("time", found.time, us);
      if (Number.isFinite(size) && Number.isFinite(time)) return { size, time };
    }
    const flow = isBare(text) ? NaN : amount("flow", text, us), size = amount("bucket", "10", false);
    return flow > 0 ? { size, time: size / flow } : null;
  };
  Object.assign(globalThis.dock, { amount, filled, isBare });
})();
