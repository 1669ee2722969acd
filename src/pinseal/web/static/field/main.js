// The field page: where one is stands in the address after the #; every screen is built anew from what is kept.
import { dayWords, h, heading, tell } from "./dom.js";
import { counts } from "./kept.js";
import { say } from "./words.js";
import { send, sending, watchSending } from "./send.js";
import { dayScreen } from "./screen_day.js";
import { walkScreen } from "./screen_walk.js";
import { workScreen } from "./screen_work.js";
import { handScreen } from "./screen_hand.js";
import { sendScreen } from "./screen_send.js";
import { scanScreen } from "./screen_scan.js";
import { unlistedScreen } from "./screen_unlisted.js";
import { codeScreen } from "./screen_code.js";
import { day, isOwner } from "./day.js";
import { roomWords, startWorker } from "./worker_door.js";

const SCREENS = {
  "": dayScreen, day: dayScreen, walk: walkScreen, scan: scanScreen, unlisted: unlistedScreen, code: codeScreen,
  job: workScreen, hand: handScreen, send: sendScreen,
};
const UNDER = { scan: "walk", unlisted: "walk" };  // screens that belong to a tab
const TABS = [["day", "dayTitle"], ["walk", "walkTitle"], ["hand", "handTitle"], ["send", "sendTitle"]];
const main = document.getElementById("main");
let shown = 0;

async function status() {
  const { waiting, refused } = await counts();
  const words = [refused ? say("failedN", { n: refused }) : "", waiting ? say("waiting", { n: waiting }) : refused ? "" : say("allSent")];
  const full = await roomWords();
  if (full) words.push(full);
  if (!navigator.onLine || sending.why === "offline") words.push(say("noSignal"));
  const line = document.getElementById("state");
  line.textContent = words.filter(Boolean).join(" · ");
  line.className = refused || full ? "wrong" : "";
}

async function where(text) {
  const held = text ? null : await day();
  document.getElementById("where").textContent = text || (held ? `${held.site || say("everySite")} · ${dayWords(held.on)}` : say("title"));
}

// A site's owner hands nothing over: that is between them and the shop.
async function tabs(name) {
  const here = UNDER[name] ?? name;
  const bar = document.getElementById("tabs");
  const shownTabs = isOwner(await day()) ? TABS.filter(([path]) => path !== "hand") : TABS;
  bar.replaceChildren(...shownTabs.map(([path, key]) => h("a", { href: `#/${path}`, "aria-current": here === path ? "page" : undefined }, say(key))));
  bar.hidden = here === "job";
}

export async function show(isNew = true) {
  shown += 1;
  const turn = shown;
  const [name, ...parts] = location.hash.replace(/^#\/?/, "").split("/").map(decodeURIComponent);
  const make = SCREENS[name] ?? dayScreen;
  try {
    const made = await make({ parts, again: () => show(false) });
    if (turn !== shown) return;
    await where(made.where);
    await tabs(name || "day");
    main.replaceChildren(...made.parts.filter(Boolean));
    main.className = `field-${name || "day"}`;
    if (isNew) {
      window.scrollTo(0, 0);
      main.querySelector("h1")?.focus();
    }
  } catch (error) {
    const isFull = error?.name === "QuotaExceededError";
    tell(isFull ? say("full") : `${error?.message ?? error}`, true);
    if (turn === shown && !main.children.length) main.replaceChildren(heading(say("title")));
  }
  await status();
  if (turn === shown) main.dataset.shown = location.hash;
}

window.addEventListener("hashchange", () => { tell(""); show(); });
window.addEventListener("online", () => { status(); send(); });
window.addEventListener("offline", status);
window.addEventListener("unhandledrejection", (event) => tell(event.reason?.name === "QuotaExceededError" ? say("full") : `${event.reason?.message ?? event.reason}`, true));
document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
watchSending(async () => {
  await status();
  if (location.hash.startsWith("#/send")) show(false);
});
await show();
startWorker();
send();
