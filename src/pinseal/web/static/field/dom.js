// Small hands for building a page: elements, shapes, and the parts that screens share. Text goes in as text, never as markup.
import { say } from "./words.js";

const SVG = "http://www.w3.org/2000/svg";

function fill(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "value") element.value = value;
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat(3).filter((each) => each !== null && each !== undefined && each !== false && each !== ""));
  return element;
}

export const h = (tag, attributes, ...children) => fill(document.createElement(tag), attributes, children);
export const s = (tag, attributes, ...children) => fill(document.createElementNS(SVG, tag), attributes, children);

export function shape(name) {
  return s("svg", { class: "shape", viewBox: "0 0 16 16", "aria-hidden": "true", focusable: "false" }, s("use", { href: `#shape-${name.replaceAll(" ", "-")}` }));
}

export const stateWord = (state) => h("span", { class: `state state-${state.replaceAll(" ", "-")}` }, shape(state), " ", state);
export const verdictWord = (verdict, words) => h("span", { class: `state verdict-${verdict}` }, shape(`verdict-${verdict}`), " ", words);

// A button. What it does may take time: it is not pressed twice meanwhile.
export function press(text, act, attributes = {}) {
  const button = h("button", { type: "button", ...attributes }, text);
  button.addEventListener("click", async () => {
    if (button.disabled) return;
    button.disabled = true;
    try {
      await act(button);
    } finally {
      button.disabled = false;
    }
  });
  return button;
}

export const quiet = (text, act, attributes = {}) => press(text, act, { class: "quiet", ...attributes });
export const tag = (...children) => h("div", { class: "tag" }, ...children);

export function caution(text) {
  if (!text) return null;
  return h("p", { class: "caution" }, h("b", {}, `${say("caution")}. `), text);
}

let named = 0;

export function field(label, attributes = {}, tagName = "input") {
  named += 1;
  const id = `f${named}`;
  const input = h(tagName, { id, autocomplete: "off", ...attributes });
  return { input, row: h("p", { class: "row" }, h("label", { for: id }, label), input) };
}

export function choice(label, options, chosen) {
  named += 1;
  const id = `f${named}`;
  const input = h("select", { id }, options.map(([value, text]) => h("option", { value, selected: value === chosen }, text)));
  return { input, row: h("p", { class: "row" }, h("label", { for: id }, label), input) };
}

// A line at the foot that says what just happened, read aloud too.
export function tell(text, isWrong = false) {
  const line = document.getElementById("told");
  line.textContent = text;
  line.className = isWrong ? "wrong" : "";
}

export const heading = (text) => h("h1", { tabindex: "-1" }, text);
export const go = (path) => { location.hash = `#/${path}`; };
export const dayWords = (iso) => {
  const [year, month, day] = iso.split("-").map(Number);
  return month ? new Date(Date.UTC(year, month - 1, day || 1)).toLocaleDateString("en-GB", { day: day ? "numeric" : undefined, month: "short", year: "numeric", timeZone: "UTC" }) : iso;
};

// "24 Nov 2026, 16:30", by the clock of the phone.
export function momentWords(text) {
  const at = new Date(text);
  return `${dayWords(today(at))}, ${at.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" })}`;
}

// The day by the clock of the phone, as the shop writes it.
export const today = (now = new Date()) => new Date(now - now.getTimezoneOffset() * 60000).toISOString().slice(0, 10);

// "hydrostatic test, by 17 Mar 2031".
export const dueWords = (due) => `${due.duty.replaceAll("-", " ")}${due.by ? `, ${due.by}` : ""}${due.because ? `. ${due.because}` : ""}`;
