// Taking the day along: one answer of the shop, written whole or not at all, and read back as units with their sheets.
import { all, get, write } from "./db.js";
import { sheets } from "./kept.js";

const IN_TIME_MS = 60000;

export async function fetchDay(site, on) {
  const given = await fetch(`/api/door/day?${new URLSearchParams({ ...(site ? { site } : {}), ...(on ? { on } : {}) })}`, { signal: AbortSignal.timeout(IN_TIME_MS) });
  if (given.status === 401 || given.redirected) throw new Error("signIn");
  if (given.ok) return given.json();
  const said = (await given.json().catch(() => ({}))).error;
  throw Object.assign(new Error(`${given.status}`), { said });
}

// What is sent and closed makes room; everything unsent stays, whatever day it is of.
export async function keepDay(day, site) {
  const { units, ...rest } = day;
  const gone = (await sheets()).filter((each) => each.state === "sent" || !each.entries.length).map((each) => ["sheets", { remove: each.uid }]);
  const rows = units.map((each, order) => ["units", { ...each, order }]);
  const head = ["meta", { key: "day", value: { ...rest, site, fetched: new Date().toISOString(), count: units.length } }];
  await write([["units", { clear: true }], ["walk", { clear: true }], ...(await marksKept(rest.on, site, units)), ...gone, ...rows, head]);
}

// The walk goes on where the same day is fetched again: what was found stays found, and what was not listed stays written down.
async function marksKept(on, site, units) {
  const before = await day();
  if (before?.on !== on) return [];
  const listed = new Set(units.map((each) => each.uid));
  const stays = (each) => listed.has(each.unit) || (each.word === "unlisted" && before.site === site);
  const now = (each) => (each.word === "unlisted" && listed.has(each.unit) ? { ...each, word: "found" } : each);
  return (await all("walk")).filter(stays).map((each) => ["walk", now(each)]);
}

export const day = async () => (await get("meta", "day"))?.value;
export const isOwner = (held) => held?.you?.role === "owner";
export const unit = (uid) => get("units", uid);
export const units = async () => (await all("units")).sort((one, other) => one.order - other.order);

export const nameOf = (found) => found.id || found.serial || "?";

// Every word must be found somewhere in what is known of the unit, as the beginning of a word or inside a number.
export function fits(found, text) {
  const known = [found.id, found.serial, found.tag, found.site, found.place, found.words, found.agent, found.made, ...Object.values(found.plate ?? {})].join(" ").toLowerCase();
  const parts = known.split(/[^\p{L}\p{N}]+/u);
  return text.toLowerCase().split(/[^\p{L}\p{N}-]+/u).filter(Boolean).every((word) => known.includes(word) || parts.some((part) => part.startsWith(word) || near(part, word)));
}

// One slip of the finger in a longer word: a letter wrong, missing, or too many.
function near(part, word) {
  if (word.length < 5 || Math.abs(part.length - word.length) > 1) return false;
  let [at, slips] = [0, 0];
  for (let i = 0; i < word.length; i += 1) {
    if (part[at] === word[i]) at += 1;
    else {
      slips += 1;
      if (slips > 1) return false;
      if (part.length === word.length) at += 1;
      else if (part.length > word.length) { at += 1; i -= 1; }
    }
  }
  return slips + (part.length - at) <= 1;
}

const STATE_ORDER = ["withdraw", "overdue", "may be overdue", "due", "ahead", "unknown"];

export function worst(found) {
  const states = (found.dues ?? []).map((each) => each.state);
  return STATE_ORDER.find((each) => states.includes(each)) ?? "ahead";
}

// The yearly sheet where it is due, else the inspection; null where the phone has neither.
export function dueWork(found) {
  const isDue = (found.dues ?? []).some((each) => each.duty === "maintenance" && ["overdue", "may be overdue", "due"].includes(each.state));
  const works = Object.keys(found.sheets ?? {}).filter((each) => !found.sheets[each].refused);
  return isDue && works.includes("maintenance") ? "maintenance" : works.includes("inspection") ? "inspection" : (works[0] ?? null);
}

// One sheet made whole: steps, rules, limits and figures are shared between units, and a unit names them by their place.
export function sheetOf(held, found, work) {
  const own = found.sheets?.[work];
  if (!own || own.refused) return null;
  const shared = held.shapes[own.shape];
  const [limits, gates] = [held.limits?.[own.limits] ?? {}, held.gates?.[own.gates] ?? {}];
  const steps = shared.steps.map((place) => {
    const step = held.steps[place];
    return { ...step, limits: limits[step.id] ?? {}, gate: gates[step.id] ?? step.gate };
  });
  return { ...shared, steps, outcome_rules: shared.outcome_rules.map((place) => held.rules[place]), compare: held.compares[own.compare] ?? {}, scales: held.scales ?? {} };
}

// Why there is no sheet for a work, in the shop's words.
export const whyNone = (found) => Object.values(found.sheets ?? {}).map((each) => each.refused?.rule).find(Boolean) ?? "";
