// A unit's code read outside of this page: the unit is opened, and fetched with its site first where it is not on the phone.
import { go, h, heading, press, quiet, tell } from "./dom.js";
import { day, fetchDay, isOwner, keepDay, unit } from "./day.js";
import { marks, remember, today } from "./kept.js";
import { signInLink } from "./screen_day.js";
import { say } from "./words.js";

const path = (held, uid) => (isOwner(held) ? `job/${uid}/inspection` : `job/${uid}`);

async function fetched(uid, site, again) {
  const given = await fetchDay(site, "");
  if (!given.units.some((each) => each.uid === uid)) throw new Error(say("notYours"));
  await remember("person", given.you.name);
  await keepDay(given, site);
  if (location.hash.startsWith("#/code/")) location.replace(`#/${path(given, uid)}`);
  return again;
}

const why = (error) => (error.message === "signIn" ? say("signIn") : error.said ? say("refusedWords", error.said) : error.name === "TypeError" || error.name === "TimeoutError" ? say("noSignal") : error.message);

export async function codeScreen({ parts: [uid = "", site = ""], again }) {
  const [held, found, marked] = await Promise.all([day(), unit(uid), marks()]);
  const isToday = held?.on === today();
  if (found && (isToday || !navigator.onLine)) {
    location.replace(`#/${path(held, uid)}`);
    return { parts: [heading(say("title"))] };
  }
  const line = h("p", {}, say("fetchingUnit"));
  async function take() {
    line.replaceChildren(say("fetchingUnit"));
    try {
      await fetched(uid, site, again);
    } catch (error) {
      line.replaceChildren(say("notFetched", { why: why(error) }), " ", error.message === "signIn" ? signInLink(`/u/${uid}`) : "");
      tell("");
    }
  }
  const parts = [heading(say("unitByCode"))];
  // Marks of a walk that is under way stay until the person says that the walk is over.
  if (held && isToday && marked.size && site !== held.site) {
    line.replaceChildren(say("otherSite", { site: held.site || say("everySite"), to: site || say("everySite") }));
    parts.push(line, h("div", { class: "hands" }, quiet(say("cancel"), () => go("walk")), press(say("take"), take, { class: "first" })));
  } else {
    parts.push(line, h("div", { class: "hands" }, quiet(say("dayTitle"), () => go("day")), press(say("takeAgain"), take, { class: "first" })));
    take();
  }
  return { parts };
}
