// Take the day along: who works, which site, which day; and what is on the phone already.
import { choice, dayWords, momentWords, field, go, h, heading, press, quiet, tag, tell } from "./dom.js";
import { day, fetchDay, keepDay } from "./day.js";
import { counts, person, remember, setting, today } from "./kept.js";
import { say } from "./words.js";
import { storeWords } from "./worker_door.js";

async function take(site, on, who) {
  tell(say("taking"));
  try {
    const fetched = await fetchDay(site, on);
    const mayBe = [fetched.you.name, ...(fetched.you.role === "supervisor" ? (fetched.people ?? []).map((each) => each.name) : [])];
    await remember("person", mayBe.includes(who) ? who : fetched.you.name);
    await keepDay(fetched, site);
    if (!site) await remember("sites", fetched.sites ?? []);
    tell("");
    go("walk");
  } catch (error) {
    const words = error.said ? say("refusedWords", error.said) : "";
    const why = error.message === "signIn" ? say("signIn") : words || (/^\d+$/.test(error.message) ? error.message : say("noSignal"));
    tell(say("notFetched", { why }), true);
    if (error.message === "signIn") document.getElementById("told").append(" ", signInLink());
  }
}

export const signInLink = (to = "/field") => h("a", { href: `/sign-in?next=${encodeURIComponent(to)}` }, say("signIn"));

// Whose work it is: the person who is signed in; only a supervisor may enter for another.
function whoField(held, who) {
  if (!held) return null;
  const people = held.you.role === "supervisor" ? (held.people ?? []).map((each) => each.name) : [];
  const names = [...new Set([who, held.you.name, ...people].filter(Boolean))];
  const found = choice(say("who"), names.map((name) => [name, name]), who);
  found.input.addEventListener("change", () => remember("person", found.input.value));
  return found;
}

export async function dayScreen() {
  const held = await day();
  const sites = (await setting("sites")) ?? [];
  const who = whoField(held, await person());
  const site = sites.length ? choice(say("site"), [["", say("everySite")], ...sites.map((each) => [each, each])], held?.site ?? "") : field(say("site"), { value: held?.site ?? "" });
  const on = field(say("day"), { type: "date", value: today() });
  const words = await storeWords();
  const onPhone = held ? tag(
    h("p", { class: "tag-title" }, say("taken", { n: held.count, site: held.site || say("everySite"), day: dayWords(held.on) })),
    h("p", {}, say("takenAt", { when: momentWords(held.fetched) })),
    quiet(say("walkTitle"), () => go("walk")),
  ) : null;
  const { waiting } = await counts();
  return {
    parts: [
      heading(say("takeTitle")), h("p", {}, say("takeLead")), onPhone,
      ...words.map((text) => h("p", { class: "odd" }, text)),
      words.length ? null : h("p", { class: "said" }, say("installed")),
      who?.row, site.row, on.row,
      waiting ? h("p", { class: "said" }, say("waitsN", { n: waiting })) : null,
      h("div", { class: "hands" }, press(held ? say("takeAgain") : say("take"), () => take(site.input.value.trim(), on.input.value, who?.input.value))),
    ],
  };
}
