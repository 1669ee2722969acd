// One step, one question: what to do, the caution beside the hand, the figure with its pad, the answers under the thumb.
import { caution, choice, field, h, heading, press, quiet, tag, tell, verdictWord } from "./dom.js";
import { dial } from "./dial.js";
import { CHOICES, UNITS, forPeople, read } from "./measures.js";
import { rowAt } from "./judge.js";
import { remember, setting } from "./kept.js";
import { isBench, verdictOf } from "./sheet.js";
import { say } from "./words.js";

const WORDS = { pass: "verdictPass", fail: "verdictFail", "too-close": "verdictClose", unknown: "verdictUnknown" };
const KEYS = ["7", "8", "9", "⌫", "4", "5", "6", ".", "1", "2", "3", "0"];
const SIGNED_KEYS = ["7", "8", "9", "⌫", "4", "5", "6", ".", "−", "1", "2", "3", "0"];
const KEY_WORDS = { "⌫": "clearFigure", "−": "minus" };
const TYPED = { "⌫": (text) => text.slice(0, -1), "−": (text) => (text.startsWith("-") ? text.slice(1) : `-${text}`) };
const isMark = (step) => step.effect === "tag" || step.id === "inspection-noted";
const NUMBERS = ["pressure", "temperature", "mass", "length", "volume", "seconds", "count", "percent"];

export function verdictLine(verdict) {
  return h("p", { class: "verdict" }, verdictWord(verdict.verdict, say(WORDS[verdict.verdict])), verdict.local ? `: ${say("judgedLater")}` : "");
}

// The pad types into the field that was touched last; the phone's own keyboard stays away. A temperature may be below zero.
function pad(active, isSigned) {
  const type = (key) => () => {
    const input = active();
    input.value = TYPED[key]?.(input.value) ?? input.value + key;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const keys = isSigned ? SIGNED_KEYS : KEYS;
  return h("div", { class: isSigned ? "pad signed" : "pad" }, keys.map((key) => h("button", { type: "button", class: "pad-key", "aria-label": KEY_WORDS[key] ? say(KEY_WORDS[key]) : key, onclick: type(key) }, key)));
}

async function wantField(name, want, system, held) {
  const isNumber = NUMBERS.includes(want.quantity);
  const label = `${want.label}${want.optional ? ` (${say("optional")})` : ""}`;
  const { input, row } = field(label, isNumber ? { inputmode: "none", class: "figure", name } : { name });
  const units = CHOICES[want.quantity];
  const kept = units ? await setting(`unit-${want.quantity}`) : undefined;
  const unit = units ? choice(`${say("none")}`, units.map((each) => [each, each]), kept ?? UNITS[system][want.quantity]) : null;
  if (unit) {
    unit.row.querySelector("label").textContent = want.quantity;
    unit.row.querySelector("label").className = "unseen";
    unit.input.addEventListener("change", () => { remember(`unit-${want.quantity}`, unit.input.value); input.dispatchEvent(new Event("input", { bubbles: true })); });
    row.append(unit.row);
    row.classList.add("with-unit");
  }
  const fitting = (held.instruments ?? []).filter((each) => each.what === want.instrument);
  const chosen = fitting.length ? await setting(`instrument-${want.instrument}`) : undefined;
  const tool = fitting.length ? choice(`${say("instrument")}: ${want.instrument}`, [["", say("none")], ...fitting.map((each) => [each.id, each.id])], chosen ?? "") : null;
  tool?.input.addEventListener("change", () => remember(`instrument-${want.instrument}`, tool.input.value));
  const fixed = { seconds: "s", count: "", percent: "%" }[want.quantity];
  const text = () => (input.value.trim() === "" ? "" : isNumber ? `${input.value.trim()} ${unit ? unit.input.value : (fixed ?? "")}`.trim() : input.value.trim());
  return { name, want, input, row, tool, isNumber, text, unit: () => unit?.input.value, instrument: () => tool?.input.value ?? "" };
}

function gaugePart(limit, fields) {
  const [gauge, warm] = ["gauge", "temperature"].map((name) => fields.find((each) => each.name === name));
  const unit = gauge.unit();
  const kelvin = read("temperature", warm.text());
  const row = kelvin === null ? null : rowAt(limit.table, kelvin);
  const pa = read("pressure", gauge.text());
  const words = !limit.table?.length ? "" : !row ? say("needTemp")
    : row[2] - row[1] < 500 ? say("expected", { value: forPeople("pressure", row[1], unit) })
      : say("expectedBetween", { low: forPeople("pressure", row[1], unit), high: forPeople("pressure", row[2], unit) });
  return [dial({ unit, pa: pa ?? NaN, band: limit.band, expected: row ? [row[1], row[2]] : null, u: row?.[4] }), h("p", { class: "expected" }, words)];
}

// `keep(answer, readings, instruments, note)` writes the entry. `stands` is the standing of the sheet; with `isLast` a good answer ends it too.
export async function stepParts({ stands, step, held, keep, photo, isLast, writes }) {
  const system = held.system === "metric" ? "metric" : "us";
  const shut = stands.shut(step);
  const written = isMark(step) ? tag(h("p", { class: "tag-title" }, say("markSays")), h("p", { class: "code" }, writes)) : null;
  const head = [heading(step.title), h("p", { class: "do" }, step.do), caution(step.caution), written];
  const why = h("details", {}, h("summary", {}, say("why")), h("p", {}, step.why), h("p", { class: "cited" }, `${step.source}: ${step.checked}`));
  if (isBench(step)) return [...head, tag(h("p", { class: "tag-title" }, say("atBench")), h("p", {}, say("benchWhy"))), why];
  if (shut.length) return [...head, tag(h("p", { class: "tag-title" }, say("gateShut")), h("ul", {}, shut.map((each) => h("li", {}, gateWords(each, stands))))), why];
  const fields = await Promise.all(Object.entries(step.wants).map(([name, want]) => wantField(name, want, system, held)));
  let active = fields.find((each) => each.isNumber);
  const live = h("div", { class: "judged" });
  const read_ = () => Object.fromEntries(fields.map((each) => [each.name, each.text()]).filter(([, text]) => text));
  const tools = () => Object.fromEntries(fields.filter((each) => each.text() && each.instrument()).map((each) => [each.name, each.instrument()]));
  const limit = stands.sheet.compare?.[step.id];
  function draw() {
    const verdict = verdictOf(stands.sheet, step, read_(), tools());
    const [picture, words] = limit?.by === "gauge" && !limit.missing ? gaugePart(limit, fields) : ["", ""];
    live.replaceChildren(picture, h("div", {}, words, verdict ? verdictLine(verdict) : ""));
  }
  fields.forEach((each) => {
    each.input.addEventListener("focus", () => { active = each.isNumber ? each : active; });
    each.row.addEventListener("input", draw);
    each.tool?.row.addEventListener("change", draw);
  });
  draw();
  const note = field(say("note"));
  async function answer(each) {
    const isBare = each.code === "not-done" || each.code === "not-fitted";
    if (each.code === "not-done" && !note.input.value.trim()) {
      tell(say("reason"), true);
      note.row.closest("details").open = true;
      return note.input.focus();
    }
    const missing = fields.find(({ want, text }) => !isBare && !want.optional && !text() && (want.only_with.length ? want.only_with.includes(each.code) : each.good));
    if (missing) {
      tell(say("missingReading", { label: missing.want.label }), true);
      return missing.input.focus();
    }
    const odd = fields.find((field_) => field_.isNumber && field_.text() && !/^[+-]?\d+([.,]\d+)?( [A-Za-z%]+)?$/.test(field_.text()));
    if (odd) return tell(say("typo", { what: odd.want.label }), true);
    return keep(each.code, isBare ? {} : read_(), isBare ? {} : tools(), note.input.value.trim());
  }
  const [first, ...others] = [...step.answers.filter((each) => each.good), ...step.answers.filter((each) => !each.good)];
  const isFigures = fields.some((each) => each.isNumber);
  const tools_ = fields.filter((each) => each.tool);
  const more = others.map((each) => quiet(each.says, () => answer(each)));
  return [
    ...head, fields.length ? h("div", { class: isFigures ? "figures" : "" }, fields.map((each) => each.row)) : null, live, isFigures ? pad(() => active.input, fields.some((each) => each.want.quantity === "temperature")) : null,
    isFigures ? h("details", {}, h("summary", {}, say("otherwise")), tools_.map((each) => each.tool.row), note.row, h("div", { class: "others" }, more))
      : h("details", {}, h("summary", {}, say("note")), note.row),
    why,
    h("div", { class: "hands" }, photo, isFigures ? null : more, press(isLast && first.good ? say("lastAndFinish", { what: first.says }) : fields.length && first.code === "read" ? say("next") : first.says, () => answer(first), { class: "first" })),
  ];
}

function gateWords(gate, stands) {
  if (gate.gate === "earlier-steps" || gate.gate === "earlier-stages") return say("answerFirst");
  if (gate.gate === "no-open-stops") return say("openFindings", { what: stands.stops().map((each) => each.title).join(", ") });
  return gate.gate === "stand-in" ? say("standIn") : gate.because;
}
