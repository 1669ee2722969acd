// Works out again what a report rests on, from the records that this file holds, and says in words whether it fits.
"use strict";

const held = JSON.parse(document.getElementById("held").textContent);
const bytes = (text) => new TextEncoder().encode(text);
const place = (id) => document.getElementById(id);

function part(name, words, style) {
  const made = document.createElement(name);
  if (words) made.textContent = words;
  if (style) made.className = style;
  return made;
}

// "fits", "does not fit" or "kept back" for one record, with what it says.
function checked({ uid, digest, text }) {
  if (text === null) return { uid, word: "kept back", said: "Its text stays with the shop; its digest stands in the hash." };
  let record = null;
  try { record = JSON.parse(text); } catch { /* told below: it does not fit */ }
  const fits = sha256(bytes(text)) === digest && record !== null && record.uid === uid;
  const fields = record && record.fields ? Object.entries(record.fields).map(([name, value]) => `${name}: ${value}`).join("; ") : "";
  const said = record ? [record.done, record.kind, record.person, fields].filter(Boolean).join(" · ") : text;
  return { uid, word: fits ? "fits" : "does not fit", said };
}

function list(target, rows) {
  for (const each of rows) {
    const line = part("li", "", each.word === "fits" ? "fits" : each.word === "kept back" ? "back" : "wrong");
    line.append(part("b", each.word), ` ${each.uid} `, part("span", each.said));
    target.append(line);
  }
}

function told(digest, wrong) {
  const isSame = digest === held.hash;
  if (wrong.length) return `It does not fit: ${wrong.length} of ${held.records.length} records ${wrong.length === 1 ? "is" : "are"} not as the shop wrote ${wrong.length === 1 ? "it" : "them"}.`;
  return isSame ? "It fits: the records are as they were when the report was made." : "It does not fit: a record is missing, or was added, or the order was changed.";
}

function compare(found) {
  const typed = place("printed").value.replace(/[^0-9a-fA-F]/g, "").toLowerCase();
  const answer = place("same");
  if (!typed) answer.textContent = "";
  else if (typed.length < 64) answer.textContent = `${typed.length} of 64 characters so far.`;
  else answer.textContent = typed === found ? "The same: this page belongs to that report." : "Another hash: this page does not belong to that report, or something was changed.";
  answer.className = typed.length >= 64 && typed !== found ? "wrong" : "";
}

const results = held.records.map(checked);
const wrong = results.filter((each) => each.word === "does not fit");
const found = sha256(bytes([held.about, ...held.records.map(({ uid, digest }) => `${uid} ${digest}`)].join("\n") + "\n"));
const bad = wrong.length > 0 || found !== held.hash;
place("answer").textContent = told(found, wrong);
place("answer").className = bad ? "answer wrong" : "answer fits";
place("found").textContent = found.match(/.{16}/g).join(" ");
if (wrong.length) {
  place("wrong").hidden = false;
  list(place("wrong-list"), wrong);
}
const back = results.filter((each) => each.word === "kept back").length;
place("count").textContent = `${results.length} records; ${results.length - wrong.length - back} fit, ${wrong.length} do not fit, ${back} are kept back.`;
place("all").addEventListener("toggle", () => { if (!place("all-list").childElementCount) list(place("all-list"), results); });
place("printed").addEventListener("input", () => compare(found));
