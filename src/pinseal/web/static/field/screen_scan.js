// Scan: the camera looks, the first code that is known opens its unit. What is not known is said in words, and leads on.
import { field, go, h, heading, press, quiet, tag, tell } from "./dom.js";
import { detector, uidIn, unitsOf } from "./codes.js";
import { day, isOwner, nameOf, units } from "./day.js";
import { say } from "./words.js";

const PAUSE_MS = 120;

async function camera() {
  const asked = { facingMode: "environment", width: { ideal: 1280 } };
  return navigator.mediaDevices.getUserMedia({ video: asked });
}

// The phone's lamp: most units hang where it is dark.
function lamp(track) {
  if (!track.getCapabilities?.().torch) return null;
  let isOn = false;
  return quiet(say("light"), async (button) => {
    await track.applyConstraints({ advanced: [{ torch: !isOn }] });
    isOn = !isOn;
    button.setAttribute("aria-pressed", String(isOn));
  }, { "aria-pressed": "false" });
}

// Looks until a code is seen or the screen is left; what cannot be looked at now is looked at again.
async function look(video, reading, isHere) {
  while (isHere()) {
    const seen = video.readyState >= 2 ? await reading.detect(video).catch(() => []) : [];
    if (seen.length) return seen[0].rawValue;
    await new Promise((resolve) => { setTimeout(resolve, PAUSE_MS); });
  }
  return null;
}

// What a code leads to: its one unit, the choice between several, or words about a code that nobody here knows.
function resultParts(listed, code, held, again) {
  const found = unitsOf(listed, code);
  if (found.length === 1) return go(`job/${found[0].uid}`);
  const link = (each) => h("li", {}, h("a", { href: `#/job/${each.uid}`, class: "row-unit" }, h("b", {}, nameOf(each)), h("span", { class: "row-place" }, each.place ?? ""), h("span", { class: "row-words" }, each.words ?? "")));
  if (found.length) return [heading(say("codeTwice")), h("p", {}, code), h("ul", { class: "units" }, found.map(link))];
  const uid = uidIn(code);
  return [
    heading(say("codeUnknown")), tag(h("p", { class: "code" }, code)), h("p", {}, say(uid ? "codeElsewhere" : "codeWhy")),
    h("div", { class: "hands" },
      uid ? quiet(say("fetchUnit"), () => go(`code/${uid}`)) : isOwner(held) ? null : quiet(say("unlisted"), () => go(`unlisted/${encodeURIComponent(code)}`)),
      quiet(say("scanAgain"), again), press(say("searchWords"), () => go("walk"), { class: "first" })),
  ];
}

function typed(listed, held, show) {
  const number = field(say("typeNumber"), { enterkeyhint: "search" });
  number.input.addEventListener("keydown", (event) => { if (event.key === "Enter") open(); });
  const open = () => (number.input.value.trim() ? show(number.input.value) : number.input.focus());
  return h("div", { class: "with-press" }, number.row, press(say("open"), open));
}

export async function scanScreen({ again }) {
  const [held, listed] = await Promise.all([day(), units()]);
  if (!held) return { parts: [heading(say("scan")), h("p", {}, say("takeLead")), press(say("dayTitle"), () => go("day"))] };
  const body = h("div", { class: "scan" });
  const show = (code) => {
    const parts = resultParts(listed, code, held, again);
    if (!parts) return;
    stop();
    document.getElementById("main").replaceChildren(...parts);
    document.querySelector("main h1").focus();
  };
  const hands = h("div", { class: "hands" }, quiet(say("cancel"), () => go("walk")));
  const parts = [heading(say("scan")), body, typed(listed, held, show), hands];
  let stream = null;
  let isOver = false;
  const stop = () => {
    isOver = true;
    stream?.getTracks().forEach((each) => each.stop());
  };
  window.addEventListener("hashchange", stop, { once: true });
  watch().catch((error) => { body.replaceChildren(h("p", { class: "odd" }, say(error.reason ?? "noReader"))); });
  async function watch() {
    body.replaceChildren(h("p", {}, say("cameraStarts")));
    stream = await camera().catch(() => { throw Object.assign(new Error(), { reason: "noCamera" }); });
    if (isOver) return stop();
    const video = h("video", { autoplay: true, playsinline: true, "aria-label": say("scanLead") });
    video.muted = true;
    video.srcObject = stream;
    body.replaceChildren(h("p", {}, say("scanLead")), h("div", { class: "camera" }, video));
    hands.prepend(...[lamp(stream.getVideoTracks()[0])].filter(Boolean));
    const code = await look(video, await detector().catch((error) => { stop(); throw error; }), () => !isOver);
    if (code === null || isOver) return undefined;
    stop();
    navigator.vibrate?.(60);
    tell("");
    return show(code);
  }
  return { parts };
}
