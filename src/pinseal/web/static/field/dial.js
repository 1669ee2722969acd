// The gauge, drawn: brass rim, the band in green, what a full unit shows today outside of the scale, the needle, the figure.
import { s } from "./dom.js";
import { say } from "./words.js";
import { forPeople, fromSi } from "./measures.js";

const FROM = -135;
const SWEEP = 270;
const R = 78;

function niceEnd(value) {
  const step = 10 ** Math.floor(Math.log10(value));
  return [1, 2, 3, 4, 5, 6, 8, 10].map((each) => each * step).find((each) => each >= value);
}

const point = (radius, degrees) => {
  const angle = ((degrees - 90) * Math.PI) / 180;
  return [radius * Math.cos(angle), radius * Math.sin(angle)].map((each) => each.toFixed(2)).join(" ");
};

function arc(radius, from, to, name) {
  return s("path", { class: name, d: `M ${point(radius, from)} A ${radius} ${radius} 0 ${to - from > 180 ? 1 : 0} 1 ${point(radius, to)}` });
}

// `expected` is [least, most] in Pa or null, `band` [low, high] in Pa or null, `pa` the reading or null.
export function dial({ unit, pa, band, expected, u }) {
  const at = (value) => fromSi("pressure", value, unit);
  const most = Math.max(...[pa, band?.[1], expected?.[1]].filter((each) => Number.isFinite(each)), 1);
  const end = niceEnd(at(most) * 1.35);
  const turn = (value) => FROM + SWEEP * Math.min(Math.max(at(value) / end, 0), 1.03);
  const ticks = [...Array(21).keys()].map((each) => {
    const degrees = FROM + (SWEEP * each) / 20;
    const isLong = each % 5 === 0;
    return s("path", { class: isLong ? "tick-long" : "tick-short", d: `M ${point(R, degrees)} L ${point(R - (isLong ? 9 : 5), degrees)}` });
  });
  const figures = [0, 1, 2, 3, 4].map((each) => {
    const [x, y] = point(R - 20, FROM + (SWEEP * each) / 4).split(" ");
    return s("text", { x, y: Number(y) + 4, "text-anchor": "middle", class: "dial-figure" }, `${Number(((end * each) / 4).toPrecision(3))}`);
  });
  const full = expected ? [turn(expected[0] - (u ?? 0) * 0.8), turn(expected[1] + (u ?? 0) * 0.8)] : null;
  const words = expected ? say("expected", { value: forPeople("pressure", (expected[0] + expected[1]) / 2, unit) }) : "";
  return s("svg", { class: "dial", viewBox: "-100 -100 200 200", role: "img", "aria-label": say("dialSays", { value: Number.isFinite(pa) ? forPeople("pressure", pa, unit) : say("none"), expected: words }) },
    s("circle", { r: 95, class: "dial-rim" }),
    arc(R, FROM, FROM + SWEEP, "dial-scale"),
    band ? arc(R - 4, turn(band[0]), turn(band[1]), "dial-band") : null,
    full ? arc(R + 8, full[0], Math.max(full[1], full[0] + 1.5), "dial-full") : null,
    ...ticks, ...figures,
    full ? s("text", { x: 0, y: 62, "text-anchor": "middle", class: "dial-word" }, say("fullToday")) : null,
    Number.isFinite(pa) ? s("path", { class: "dial-needle", d: `M ${point(10, turn(pa) + 180)} L ${point(R - 6, turn(pa))}` }) : null,
    s("circle", { r: 6, class: "dial-hub" }),
    s("text", { x: 0, y: 33, "text-anchor": "middle", class: "dial-read" }, Number.isFinite(pa) ? forPeople("pressure", pa, unit) : "–"),
  );
}
