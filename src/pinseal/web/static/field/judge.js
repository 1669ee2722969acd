// The verdict on a reading, by the figures that the shop worked out (sheets/comparing.py). It only compares; the shop judges anew.
// Four words: pass, fail, too-close, unknown. `local` marks an unknown that is so only here: the shop has more to judge by.
const PASS_SHARE = 0.8;
const FAIL_SHARE = 1.2;
const GRAIN_KG = 1e-7;  // less than any scale shows: figures that are equal on paper are equal here

const said = (verdict, more = {}) => ({ verdict, side: "", local: false, ...more });
const later = () => said("unknown", { local: true });

export function threeWay(difference, u) {
  const away = Math.abs(difference);
  return away <= PASS_SHARE * u ? "pass" : away > FAIL_SHARE * u ? "fail" : "too-close";
}

// A row of the table at a temperature, linear between its neighbours; null outside of it.
export function rowAt(table, kelvin) {
  const after = (table ?? []).findIndex(([t]) => t >= kelvin - 1e-3);
  if (after < 0 || (after === 0 && table[0][0] > kelvin + 1e-3)) return null;
  if (after === 0) return table[0];
  const [before, next] = [table[after - 1], table[after]];
  const share = (kelvin - before[0]) / (next[0] - before[0]);
  return before.map((value, at) => (value === null ? null : value + share * (next[at] - value)));
}

function onDial(pa, band) {
  if (!band) return "not-given";
  return pa < band[0] - 0.5 ? "below" : pa > band[1] + 0.5 ? "above" : "in";
}

function byBand(limit, pa, kelvin) {
  const place = onDial(pa, limit.band);
  if (place === "not-given") return later();
  const [low, high] = limit.room_k;
  if (!(kelvin >= low && kelvin <= high)) return said("too-close");
  return place === "in" ? said("pass") : said("fail", { side: place });
}

function gauge(limit, { gauge: pa, temperature: kelvin }) {
  if (limit.missing) return said("unknown");
  if (!limit.table.length) return byBand(limit, pa, kelvin);
  const row = rowAt(limit.table, kelvin);
  if (!row) return later();
  const [, low, high, rest, u] = row;
  const expected = Math.min(Math.max(pa, low), high);
  const side = pa < expected ? "below" : "above";
  let verdict = threeWay(pa - expected, u);
  // Gas that went into the water explains a low reading: too close, never a fail.
  if (rest !== null && verdict === "fail" && pa < expected && pa - rest >= -FAIL_SHARE * u) verdict = "too-close";
  if (verdict === "pass" && ["below", "above"].includes(onDial(pa, limit.band))) return said("too-close", { side });
  return said(verdict, { side });
}

function against(kg, low, high, guard) {
  for (const [side, beyond] of [["below", low - kg], ["above", kg - high]]) {
    if (beyond > GRAIN_KG && beyond >= guard - GRAIN_KG) return said("fail", { side });
    if (beyond > GRAIN_KG - guard) return said("too-close", { side });
  }
  return said("pass");
}

function grossWeight(limit, { gross: kg }, scale) {
  const guard = scale?.u_kg ?? 0;
  if (limit.low_kg !== null && limit.high_kg !== null) {
    const band = limit.high_kg - limit.low_kg;
    if (scale && (scale.resolution_kg * 10 > band || scale.u_kg * 3 > band)) return said("unknown");
    return against(kg, limit.low_kg, limit.high_kg, guard);
  }
  if (limit.full_kg === null) return said("unknown");
  return Math.abs(kg - limit.full_kg) <= guard + GRAIN_KG ? said("pass") : said("unknown", { side: kg < limit.full_kg ? "below" : "above" });
}

const WORST = ["pass", "too-close", "fail"];

function beyond(over, guard) {
  if (over <= GRAIN_KG - guard) return "pass";
  return over >= guard - GRAIN_KG ? "fail" : "too-close";
}

function weightLoss(limit, { gross: kg }, scale) {
  if (limit.full_kg === null || limit.net_kg === null) return said("unknown");
  const guard = scale?.u_kg ?? 0;
  const most = (limit.net_kg * limit.limit_percent) / 100;
  if (scale && guard > 0 && (scale.resolution_kg * 10 > most || guard * 3 > most)) return said("unknown");
  const found = [beyond(limit.full_kg - kg - most, guard)];
  if (limit.high_kg === null) found.push(kg - limit.full_kg > guard + GRAIN_KG ? "fail" : "pass");
  else found.push(kg > limit.high_kg + GRAIN_KG ? "fail" : kg > limit.high_kg - guard + GRAIN_KG ? "too-close" : "pass");
  if (limit.low_kg !== null) found.push(beyond(limit.low_kg - kg, guard));
  const worst = WORST[Math.max(...found.map((word) => WORST.indexOf(word)))];
  return said(worst, { side: kg > limit.full_kg + GRAIN_KG ? "above" : "below" });
}

function cartridgeWeight(limit, { cartridge: kg }, scale) {
  if (limit.full_kg === null) return said("unknown");
  const guard = scale?.u_kg ?? 0;
  if (limit.low_kg !== null) {
    const spread = Math.max(limit.full_kg - limit.low_kg, guard);
    return against(kg, limit.low_kg, limit.full_kg + spread + guard, guard);
  }
  return kg >= limit.full_kg - guard - GRAIN_KG ? said("pass") : said("unknown", { side: "below" });
}

function regulator(limit, { static: pa }) {
  if (limit.want_pa === null) return said("unknown");
  return said(threeWay(pa - limit.want_pa, limit.u_pa), { side: pa < limit.want_pa ? "below" : "above" });
}

const JUDGES = {
  gauge: [gauge, ["gauge", "temperature"]],
  "gross-weight": [grossWeight, ["gross"]],
  "weight-loss": [weightLoss, ["gross"]],
  "cartridge-weight": [cartridgeWeight, ["cartridge"]],
  regulator: [regulator, ["static"]],
};

// `limit` is one block of compare, `readings` figures in SI by name, `scale` what is known of the scale, or nothing.
// Null where nothing is judged yet.
export function judge(limit, readings, scale) {
  const [judging, needed] = JUDGES[limit?.by] ?? [];
  if (!judging) return limit && Object.keys(readings).length ? later() : null;
  return needed.every((name) => Number.isFinite(readings[name])) ? judging(limit, readings, scale) : null;
}
