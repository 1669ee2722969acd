// The walk: units in walking order, each found, missing, moved or blocked; and the sentence that says how the list and the walk agree.
import { field, go, h, heading, press, quiet, stateWord, tag, tell } from "./dom.js";
import { day, fits, nameOf, units, worst } from "./day.js";
import { addDraft, mark, marks, sheets } from "./kept.js";
import { uuid7 } from "./ids.js";
import { say } from "./words.js";
import { send } from "./send.js";
import { scan } from "./camera.js";

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
  return h("li", {}, h("a", { href: `#/work/${each.uid}`, class: word ? "row-unit is-touched" : "row-unit" },
    h("b", {}, nameOf(each)), h("span", { class: "row-place" }, each.place ?? ""), h("span", { class: "row-words" }, each.words ?? ""),
    h("span", { class: "row-state" }, word ? h("span", { class: "row-done" }, word) : stateWord(worst(each)))));
}

async function unlisted(held, again) {
  const what = field(say("whatUnlisted"));
  const place = field(say("where"));
  const panel = h("div", { class: "card" }, what.row, place.row, h("div", { class: "hands" },
    quiet(say("cancel"), again),
    press(say("keep"), async () => {
      if (!what.input.value.trim()) return tell(say("whatUnlisted"), true);
      const uid = uuid7();
      const fields = { note: what.input.value.trim(), ...(held.site ? { site: held.site } : {}), ...(place.input.value.trim() ? { place: place.input.value.trim() } : {}) };
      await addDraft("registered", uid, fields);
      await mark(uid, "unlisted", { note: fields.note, place: fields.place });
      send();
      return again();
    })));
  document.getElementById("main").append(panel);
  what.input.focus();
}

export async function walkScreen({ again }) {
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
      h("p", { class: "pair" }, quiet(say("scan"), () => scan(listed)), quiet(say("unlisted"), () => unlisted(held, again))), list, more,
    ],
  };
}

// The four words for one unit, on its own screen.
export async function markButtons(found, again) {
  const known = (await marks()).get(found.uid)?.word;
  const one = (word, act) => quiet(say(`mark${word[0].toUpperCase()}${word.slice(1)}`), act, { "aria-pressed": known === word ? "true" : "false" });
  async function asking(word, question, keep) {
    const asked = field(question);
    const panel = h("div", { class: "card" }, asked.row, h("div", { class: "hands" }, quiet(say("cancel"), again), press(say("keep"), async () => {
      const text = asked.input.value.trim();
      if (!text) return asked.input.focus();
      await keep(text);
      send();
      return again();
    })));
    document.getElementById("main").append(panel);
    asked.input.focus();
  }
  return h("p", { class: "marks" },
    one("found", async () => { await mark(found.uid, "found"); again(); }),
    one("missing", async () => {
      await addDraft("not-done", found.uid, { reason: say("reasonMissing") });
      await mark(found.uid, "missing");
      send();
      again();
    }),
    one("moved", () => asking("moved", say("movedTo"), async (place) => {
      await addDraft("moved", found.uid, { ...(found.site ? { site: found.site } : {}), place });
      await mark(found.uid, "moved", { place });
    })),
    one("blocked", () => asking("blocked", say("whyBlocked"), async (reason) => {
      await addDraft("not-done", found.uid, { reason: say("reasonBlocked", { why: reason }) });
      await mark(found.uid, "blocked", { reason });
    })));
}

