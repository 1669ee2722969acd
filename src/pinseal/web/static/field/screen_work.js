// Working a sheet: one thing at a time. A good unit takes three touches: choose it, confirm what was looked at, finish.
import { caution, dayWords, dueWords, go, h, heading, press, quiet, stateWord, tell } from "./dom.js";
import { day, dueWork, isOwner, nameOf, sheetOf, unit, units, whyNone } from "./day.js";
import { addEntry, addPhoto, beginSheet, closeSheet, leaveSheet, sheets, undo } from "./kept.js";
import { isBench, standing } from "./sheet.js";
import { say } from "./words.js";
import { send } from "./send.js";
import { smaller } from "./photo.js";
import { stepParts } from "./screen_step.js";
import { endParts } from "./screen_end.js";
import { markButtons, seen } from "./screen_walk.js";

const opened = new Map();  // when a confirmation came on the screen: how long it was looked at goes with it

function facts(found, open) {
  const owed = h("ul", { class: "said-list" }, (found.dues ?? []).map((each) => h("li", {}, stateWord(each.state), ` ${dueWords(each)}`)));
  const last = (found.readings ?? []).map((each) => h("li", {}, `${each.quantity} ${each.value}${each["at-temperature"] ? ` at ${each["at-temperature"]}` : ""}, ${dayWords(each.done)}`));
  const wrong = (found.deficiencies ?? []).map((each) => h("li", {}, `${each.words || each.finding}, ${dayWords(each.found)}`));
  const told = (found.notes ?? []).map((each) => h("li", {}, `${each.note}, ${dayWords(each.done)}`));
  const parts = (found.parts ?? []).map((each) => h("li", {}, `${[each.count, each.part, each.number].filter(Boolean).join(" ")}, ${dayWords(each.done)}`));
  const hangs = (found.marks ?? []).map((each) => h("li", {}, `${[each.words, each.text, each.number].filter(Boolean).join(" ")}, ${dayWords(each.done)}`));
  const list = (title, items) => (items.length ? [h("p", { class: "caption" }, say(title)), h("ul", {}, items)] : "");
  return h("details", { class: "about", open }, h("summary", {}, [found.words, found.serial].filter(Boolean).join(" · ") || say("duties")), owed,
    list("openBefore", wrong), list("last", last), list("notes", told), list("partsFitted", parts), list("marksThere", hangs));
}

function workTabs(found, work) {
  const words = { inspection: "inspect", maintenance: "maintain" };
  return h("p", { class: "works" }, Object.keys(found.sheets ?? {}).filter((each) => !found.sheets[each].refused).map((each) =>
    h("a", { href: `#/job/${found.uid}/${each}`, "aria-current": each === work ? "true" : undefined }, say(words[each] ?? "goOn"))));
}

function groupParts({ stands, steps, group, kept, again, path }) {
  opened.has(kept.uid + group) || opened.set(kept.uid + group, Date.now());
  async function confirm() {
    const seconds = Math.min(86400, Math.round((Date.now() - opened.get(kept.uid + group)) / 1000));
    await addEntry(kept.uid, { confirm: group, seconds });
    await again();
  }
  const cautions = steps.map((each) => each.caution).filter(Boolean);
  return [
    heading(stageTitle(group)), ...cautions.slice(0, 1).map(caution), h("p", {}, say("covers")),
    h("ul", { class: "covers" }, steps.map((each) => h("li", {}, h("a", { href: `${path}/${each.id}` }, each.title), h("small", {}, each.proves || each.do)))),
    h("div", { class: "hands" }, quiet(say("oneByOne"), () => go(`${path.slice(2)}/${steps[0].id}`)), press(say("allRight"), confirm, { class: "first" })),
  ];
}

const TITLED = ["approach", "outside", "finish"];
const stageTitle = (group) => (TITLED.includes(group) ? say(`group-${group}`) : `${group[0].toUpperCase()}${group.slice(1).replaceAll("-", " ")}`);

async function nextUnit(uid) {
  const [listed, held] = await Promise.all([units(), sheets()]);
  const done = new Set(held.filter((each) => each.close || each.left).map((each) => each.unit));
  const at = listed.findIndex((each) => each.uid === uid);
  return [...listed.slice(at + 1), ...listed.slice(0, at)].find((each) => !done.has(each.uid));
}

function photoButton(kept, stepId, again) {
  const input = h("input", { type: "file", accept: "image/*", capture: "environment", class: "unseen", id: "photo" });
  input.addEventListener("change", async () => {
    if (!input.files[0]) return;
    await addPhoto(await smaller(input.files[0]), kept.unit, { sheet: kept.uid, note: stepId ?? "" });
    tell(say("saved"));
    await again();
  });
  return h("span", { class: "photo" }, input, h("label", { for: "photo", class: "quiet" }, say("photo")));
}

// The sheet of today for this work: one under work, else the last one, else a new one that is written with its first entry.
async function sheetFor(found, held, works) {
  const mine = (await sheets()).filter((each) => each.unit === found.uid && String(each.works) === String(works) && each.on === held.on).sort((one, other) => (one.uid < other.uid ? -1 : 1));
  return mine.at(-1) ?? beginSheet(found.uid, works, held.on);
}

export async function workScreen({ parts: [uid, asked, stepId], again }) {
  const [held, found] = await Promise.all([day(), unit(uid)]);
  if (!found || !held) return { parts: [heading(say("gone")), press(say("home"), () => go("walk"))] };
  const where = `${nameOf(found)} · ${[found.site, found.place].filter(Boolean).join(", ")}`;
  const work = asked || dueWork(found);
  const sheet = work ? sheetOf(held, found, work) : null;
  const stepCount = h("p", { class: "caption" });
  const bar = [h("div", { class: "job-bar" }, h("p", { class: "back" }, h("a", { href: "#/walk" }, say("list"))), stepCount, workTabs(found, work))];
  if (!sheet) return { where, parts: [...bar, heading(nameOf(found)), h("p", {}, say("noSheet"), ` ${whyNone(found)}`), facts(found, true), await markButtons(found, held, again)] };
  const kept = await sheetFor(found, held, [work]);
  const stands = standing(sheet, kept.entries, isOwner(held));
  const path = `#/job/${uid}/${work}`;
  async function keep(answer, readings, instruments, note) {
    const said = { step: stepId ?? next.id, answer, ...(Object.keys(readings).length ? { readings } : {}), ...(Object.keys(instruments).length ? { instruments } : {}), ...(note ? { note } : {}) };
    await addEntry(kept.uid, said);
    await seen(found, held);
    if (isLast && next.answers.some((each) => each.code === answer && each.good)) return actions.finish();
    if (stepId) return go(path.slice(2));
    return again();
  }
  const ended = kept.close || kept.left;
  const next = stepId ? stands.step(stepId) : stands.left().find((each) => !isBench(each) && !stands.shut(each).length);
  const byStep = sheet.notes.some((each) => each.startsWith("each step is answered by itself")) && sheet.duties.includes("maintenance");
  const covered = !stepId && next?.group && !byStep ? stands.coverable(next.group) : [];
  // The last touch of a good unit: the answer of the one step that is left ends the sheet too.
  const isLast = Boolean(next) && stands.left().length === 1 && stands.left()[0] === next && !stands.stops().length && !Object.keys(next.wants).length;
  const writes = say("byHand", { work: say(work === "maintenance" ? "maintain" : "inspect"), day: dayWords(kept.on), who: kept.person ?? "" });
  const photo = photoButton(kept, next?.id, again);
  const actions = {
    undo: async () => { if (await undo(kept.uid)) tell(say("undone", { what: say("answered") })); await again(); },
    finish: async () => { await closeSheet(kept.uid); await seen(found, held); send(); tell(say("finished")); await onward(); },
    leave: async () => { await leaveSheet(kept.uid); send(); await onward(); },
    fix: async (finding, how, part) => { await addEntry(kept.uid, { fix: finding.finding, step: finding.step, how, ...(part ? { part } : {}) }); await again(); },
    onward: () => onward(),
  };
  const here = location.hash;
  async function onward() {
    const to = await nextUnit(uid);
    if (location.hash !== here) return;  // the hand was quicker, and went elsewhere
    go(to ? `job/${to.uid}` : "walk");
  }
  let body;
  if (!ended && next && covered.length > 1) body = groupParts({ stands, steps: covered, group: next.group, kept, again, path });
  else if (!ended && next) body = await stepParts({ stands, step: next, held, keep, photo, isLast, writes });
  else body = endParts({ stands, kept, actions, path, photo });
  const wanted = sheet.steps.filter((each) => each.when !== "leaving").length;
  stepCount.append(say("steps", { done: wanted - stands.left().length, all: wanted }));
  const foot = !ended && kept.entries.length && !stepId ? quiet(say("undo"), actions.undo, { id: "undo", class: "quiet small" }) : null;
  const about = next && !stepId && !kept.entries.length ? [facts(found, false), await markButtons(found, held, again)] : [];
  return { where, parts: [...bar, ...body, foot, ...about] };
}
