// What the phone itself must give: the worker that holds the page, a store that is not cleared, room for the day.
import { readerHeld } from "./codes.js";
import { say } from "./words.js";
import { h, press, tell } from "./dom.js";

const LOW_MB = 60;

export const canWorkOffline = () => "serviceWorker" in navigator && window.isSecureContext;

export async function startWorker() {
  if (!canWorkOffline()) return;
  try {
    const kept = await navigator.serviceWorker.register("/field/worker.js", { scope: "/field", updateViaCache: "none" });
    kept.addEventListener("updatefound", () => {
      const fresh = kept.installing;
      fresh?.addEventListener("statechange", () => {
        if (fresh.state === "installed" && navigator.serviceWorker.controller) offerUpdate(fresh);
      });
    });
    (await navigator.serviceWorker.ready).active.postMessage("hold-reader");
  } catch {
    tell(say("noOffline"), true);
  }
}

// The newer page is used when the person says so, between two touches and never in the middle of one.
function offerUpdate(fresh) {
  const line = h("p", { class: "tag", id: "update" }, `${say("update")} `, press(say("reload"), () => {
    navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
    fresh.postMessage("use-now");
  }));
  document.getElementById("main").before(line);
}

// How many MB the page may still keep; without end where the phone does not say.
async function roomLeft() {
  const room = (await navigator.storage?.estimate?.()) ?? {};
  return room.quota ? (room.quota - room.usage) / 1e6 : Infinity;
}

// Few words for the line at the top, on every screen: a full phone is said before it refuses a touch.
export async function roomWords() {
  const left = await roomLeft();
  return left < LOW_MB ? say("nearlyFull", { mb: Math.max(0, Math.round(left)) }) : "";
}

// Words about the store: whether the page is held, whether it may be cleared, whether there is room. Empty where all is well.
export async function storeWords() {
  const words = [];
  if (!canWorkOffline()) return [say("noOffline")];
  if (navigator.storage?.persist && !(await navigator.storage.persisted()) && !(await navigator.storage.persist())) words.push(say("persistNo"));
  const left = await roomLeft();
  if (!(await readerHeld())) words.push(say("readerNotHeld"));
  if (left < LOW_MB) words.push(say("lowSpace", { mb: Math.round(left) }));
  return words;
}
