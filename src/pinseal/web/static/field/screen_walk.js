// The walk: units in walking order, each found, missing, moved or blocked; and the sentence that says how the list and the walk agree.
import { field, go, h, heading, press, quiet, shape, stateWord, tag } from "./dom.js";
import { day, fits, isOwner, nameOf, units, worst } from "./day.js";
import { all, write } from "./db.js";
import { addDraft, mark, marks, sheets } from "./kept.js";
import { say } from "./words.js";
import { send, sending } from "./send.js";

const SHOWN = 60;

// "52 listed, 51 found, 1 moved: it hangs in room 210."
export function reconciled(listed, marked) {
  const known = new Set(listed.map((each) => each.uid));
  const of = (word) => [...marked.values()].filter((each) => each.word === word);
  const found = [...marked.values()].filter((each) => known.has(each.unit) && ["found", "moved"].includes(each.word)).length;
  const parts = [say("listedFound", { listed: listed.length, found })];
  for (const word of ["moved", "missing", "blocked", "unlisted"]) {
    const some = of(word);
    if (!some.length) continue;
    const place = word === "moved" && some.length === 1 ? `: ${say("itHangs", { place: some[0].place })}` : "";
    parts.push(say(`${word}N`, { n: some.length }) + place);
  }
  const open = listed.filter((each) => !marked.has(each.uid)).length;
  if (open) parts.push(say("notLooked", { n: open }));
  return `${parts.join(", ")}.`;
}

function row(each, marked, sheet) {
  const word = sheet?.close || sheet?.left ? say("done") : sheet ? say("begun") : marked ? say(marked.word === "found" ? "seen" : `mark${marked.word[0].toUpperCase()}${marked.word.slice(1)}`) : "";
  const wrong = ["missing", "blocked"].includes(marked?.word) && !sheet?.close;
  return h("li", {}, h("a", { href: `#/job/${each.uid}`, class: `row-unit${wrong ? " is-wrong" : word ? " is-touched" : ""}` },
    h("b", {}, nameOf(each)), h("span", { class: "row-place" }, each.place ?? ""), h("span", { class: "row-words" }, each.words ?? ""),
    h("span", { class: "row-state" }, wrong ? h("span", { class: "row-wrong" }, shape("overdue"), " ", word) : word ? h("span", { class: "row-done" }, word) : stateWord(worst(each)))));
}

// What hangs here and was on no list, as it was written down.
function unlistedList(marked) {
  const found = [...marked.values()].filter((each) => each.word === "unlisted");
  if (!found.length) return null;
  return h("div", {}, h("h2", {}, say("unlistedTitle")), h("ul", { class: "plain" }, found.map((each) => h("li", {}, h("b", {}, each.note || say("notKnown")), ` ${each.place ?? ""}`))));
}

export async function walkScreen() {
  const [held, listed, marked, worked] = await Promise.all([day(), units(), marks(), sheets()]);
  if (!held) return { parts: [heading(say("walkTitle")), h("p", {}, say("takeLead")), press(say("dayTitle"), () => go("day"))] };
  const byUnit = new Map(worked.filter((each) => each.entries.length).map((each) => [each.unit, each]));
  const list = h("ul", { class: "units" });
  const more = h("p");
  const find = field(say("find"), { type: "search", placeholder: say("findHint"), enterkeyhint: "search" });
  function fill(limit = SHOWN) {
    const fitting = find.input.value.trim() ? listed.filter((each) => fits(each, find.input.value)) : listed;
    list.replaceChildren(...fitting.slice(0, limit).map((each) => row(each, marked.get(each.uid), byUnit.get(each.uid))));
    const left = fitting.length - limit;
    more.replaceChildren(fitting.length ? "" : say("noneFound"), left > 0 ? quiet(say("showAll", { n: left }), () => fill(Infinity)) : "");
  }
  find.input.addEventListener("input", () => fill());
  fill();
  return {
    parts: [
      heading(say("walkTitle")), tag(h("p", { id: "reconciled" }, reconciled(listed, marked))), find.row,
      h("p", { class: "pair" }, quiet(say("scan"), () => go("scan")), isOwner(held) ? null : quiet(say("unlisted"), () => go("unlisted"))), list, more, unlistedList(marked),
    ],
  };
}

// A mark that is changed takes its fact back: off the phone where it has not left, else by a correction that voids it.
async function takeBack(draft, unit, held) {
  const kept = (await all("drafts")).find((each) => each.uid === draft);
  if (kept && !sending.busy) return write([["drafts", { remove: draft }]]);
  if (!isOwner(held)) await addDraft("corrected", unit, { corrects: draft, void: "yes", reason: say("reasonMistaken") });
  return undefined;
}

// Sets the word for a unit with the fact that tells it; the same word again takes it back.
async function remark(found, held, word, more, kind, fields) {
  const before = (await marks()).get(found.uid);
  if (before?.draft) await takeBack(before.draft, found.uid, held);
  if (before?.word === word && !more) return write([["walk", { remove: found.uid }]]);
  const draft = kind ? (await addDraft(kind, found.uid, fields)).uid : undefined;
  await mark(found.uid, word, { ...more, draft });
  send();
  return undefined;
}

// A unit that is worked on is found, whatever was said of it before.
export async function seen(found, held) {
  const word = (await marks()).get(found.uid)?.word;
  if (!word || word === "missing") await remark(found, held, "found");
}

// The four words for one unit, on its own screen; an owner has three.
export async function markButtons(found, held, again) {
  const known = (await marks()).get(found.uid)?.word;
  const one = (word, act) => quiet(say(`mark${word[0].toUpperCase()}${word.slice(1)}`), act, { "aria-pressed": known === word ? "true" : "false" });
  function asking(question, keep) {
    const asked = field(question);
    const panel = h("div", { class: "card" }, asked.row, h("div", { class: "hands" }, quiet(say("cancel"), again), press(say("keep"), async () => {
      const text = asked.input.value.trim();
      if (!text) return asked.input.focus();
      await keep(text);
      return again();
    })));
    document.getElementById("main").append(panel);
    asked.input.focus();
  }
  const say_ = async (...said) => { await remark(found, held, ...said); await again(); };
  const isSaid = (word) => known === word;
  return h("p", { class: "marks" },
    one("found", () => say_("found")),
    one("missing", () => say_("missing", null, "not-done", { reason: say("reasonMissing"), missing: "yes" })),
    // Where a unit belongs is for the shop to change; an owner says it in the note of a step.
    isOwner(held) ? null : one("moved", () => (isSaid("moved") ? say_("moved") : asking(say("movedTo"), (place) =>
      remark(found, held, "moved", { place }, "moved", { ...(found.site ? { site: found.site } : {}), place })))),
    one("blocked", () => (isSaid("blocked") ? say_("blocked") : asking(say("whyBlocked"), (reason) =>
      remark(found, held, "blocked", { reason }, "not-done", { reason: say("reasonBlocked", { why: reason }) })))));
}
