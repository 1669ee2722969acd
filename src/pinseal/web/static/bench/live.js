// The figures of a test while they are typed, exact as on paper: no rounding before a comparison. Every limit and every factor
// is a figure that the shop sent with the page; the shop judges anew when the form is sent. Figures are ratios [n, d] of BigInt.
const PLAIN = /^([+-]?)(?:(\d+)(?:[.,](\d+))?|[.,](\d+))$/;
const THOUSANDS = /\d,\d{3}(?!\d)/;  // a comma before three figures can mean two things: nothing is said of it here
const TEXT_MAX = 60;

export function exact(text) {
  const plain = (text ?? "").trim();
  const found = plain.length <= TEXT_MAX && !THOUSANDS.test(plain) ? PLAIN.exec(plain) : null;
  if (!found) return null;
  const decimals = found[3] ?? found[4] ?? "";
  const n = BigInt(`${found[2] ?? ""}${decimals}`);
  return [found[1] === "-" ? -n : n, 10n ** BigInt(decimals.length)];
}

// "10075/3" or "10", as the shop writes it.
export function ratio(text) {
  const [n, d = "1"] = text.split("/");
  return [BigInt(n), BigInt(d)];
}

const times = ([a, b], [c, d]) => [a * c, b * d];
const minus = ([a, b], [c, d]) => [a * d - c * b, b * d];
const over = ([a, b], [c, d]) => [a * d, b * c];
const order = ([a, b], [c, d]) => a * d - c * b;
const HUNDRED = [100n, 1n];
const figure = ([n, d]) => Number((n * 10n ** 15n) / d) / 1e15;

// Half to even, as the shop rounds what it shows.
function rounded([n, d], digits) {
  const [scaled, sign] = [(n < 0n ? -n : n) * 10n ** BigInt(digits), n < 0n ? -1n : 1n];
  const [whole, rest] = [scaled / d, 2n * (scaled % d)];
  return sign * (rest > d || (rest === d && whole % 2n) ? whole + 1n : whole);
}

// With as many decimals as show on which side of the limit it lies.
export function percentWords(percent, limit) {
  const same = order(percent, limit) === 0n;
  const apart = (d) => same || rounded(percent, d) * limit[1] !== limit[0] * 10n ** BigInt(d);
  const digits = [2, 3, 4, 5, 6, 7, 8, 9, 10, 11].find(apart) ?? 12;
  const text = rounded(percent, digits).toString().padStart(digits + 1, "0");
  return `${text.slice(0, -digits)}.${text.slice(-digits)} %`;
}

const volumeWords = (cm3) => `${Number(figure(cm3).toPrecision(6))} cm3`;

// Volumes in cm3. `word` is within, over, elastic-over, or why the shop will refuse it; null while something is not typed.
export function jacket({ total, permanent, rejection }, { limit, least, most }) {
  if (!total || !permanent) return null;
  if (permanent[0] < 0n) return { word: "below-zero" };
  if (order(total, least) < 0n || order(total, most) > 0n) return { word: "no-total" };
  if (order(permanent, total) > 0n) return { word: "exchanged" };
  const [elastic, percent] = [minus(total, permanent), times(HUNDRED, over(permanent, total))];
  const stretched = rejection && order(elastic, rejection) > 0n;
  const word = order(percent, limit) > 0n ? "over" : stretched ? "elastic-over" : "within";
  return { word, elastic: volumeWords(elastic), percent: percentWords(percent, limit) };
}

export const enough = (value, least) => (value ? order(value, least) >= 0n : null);

export function daily({ certified, read }, { limit }) {
  if (!certified || !read || certified[0] <= 0n || read[0] <= 0n) return null;
  const off = minus(read, certified);
  const percent = times(HUNDRED, over([off[0] < 0n ? -off[0] : off[0], off[1]], certified));
  return { word: order(percent, limit) > 0n ? "over" : "within", percent: percentWords(percent, limit) };
}

// -- on the page

const BAD = ["over", "elastic-over", "below-zero", "no-total", "exchanged"];

function typed(form, name) {
  const [value, unit] = [exact(form.querySelector(`#r-${name}`)?.value), form.querySelector(`#u-${name}`)?.selectedOptions[0]];
  return value && unit?.dataset.factor ? times(value, ratio(unit.dataset.factor)) : value;
}

function say(place, word) {
  place.querySelectorAll("[data-word]").forEach((each) => { each.hidden = each.dataset.word !== word; });
  const shape = BAD.includes(word) ? "overdue" : "ahead";
  place.className = `live-word state state-${shape}`;
  place.querySelector("use").setAttribute("href", `#shape-${shape}`);
}

function showLeast(form) {
  for (const place of form.querySelectorAll("[data-least-of]")) {
    const name = place.dataset.leastOf;
    const unit = form.querySelector(`#u-${name}`)?.selectedOptions[0];
    const met = enough(exact(form.querySelector(`#r-${name}`)?.value), ratio(unit?.dataset.least ?? place.dataset.least));
    place.hidden = met === null;
    if (met !== null) say(place, met ? "within" : "over");
  }
}

function show(form) {
  showLeast(form);
  const box = form.querySelector("[data-live-box]");
  if (!box) return;
  const said = Object.fromEntries(["limit", "least", "most"].filter((name) => box.dataset[name]).map((name) => [name, ratio(box.dataset[name])]));
  const names = ["total", "permanent", "rejection", "certified", "read"];
  const found = (box.dataset.liveBox === "daily" ? daily : jacket)(Object.fromEntries(names.map((name) => [name, typed(form, name)])), said);
  box.hidden = !found;
  if (!found) return;
  box.querySelectorAll("output").forEach((each) => { each.textContent = found[each.dataset.figure] ?? "–"; });
  say(box.querySelector(".live-word"), found.word);
}

for (const form of globalThis.document?.querySelectorAll("form[data-live]") ?? []) {
  form.addEventListener("input", () => show(form));
  show(form);
}
