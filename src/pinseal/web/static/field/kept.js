// What is kept on the phone: the day, the sheets under work with their entries, facts, photos. Every touch is written before it is shown.
import { all, change, get, write } from "./db.js";
import { today } from "./dom.js";
import { sha256, uuid7 } from "./ids.js";

export { today };

export async function setting(key, made) {
  const found = await change("meta", key, (kept) => kept ?? (made === undefined ? undefined : { key, value: made() }));
  return found?.value;
}

export const remember = (key, value) => write([["meta", { key, value }]]);
export const device = () => setting("device", () => `phone-${uuid7()}`);
export const person = () => setting("person");

// The sheet of a unit for a work that is under work here, else a new one. `person` is who works.
export async function beginSheet(unit, works, on) {
  const found = (await all("sheets")).find((each) => each.unit === unit && !each.close && !each.left && String(each.works) === String(works));
  if (found) return found;
  const taken = (await setting("day"))?.at;  // the shop judges the sheet by what it had when the day was taken along
  const made = { uid: uuid7(), unit, on, works, entries: [], close: false, left: false, state: "waiting", person: await person(), taken, begun: new Date().toISOString() };
  await write([["sheets", made]]);
  return made;
}

const waiting = (sheet) => ({ ...sheet, state: "waiting", refusal: undefined });

export function addEntry(uid, said) {
  const entry = { uid: uuid7(), at: new Date().toISOString(), ...said };
  return change("sheets", uid, (sheet) => waiting({ ...sheet, entries: [...sheet.entries, entry] }));
}

// Takes the last touch back, as long as it has not left the phone.
export function undo(uid) {
  return change("sheets", uid, (sheet) => {
    const last = sheet.entries.at(-1);
    if (sheet.close || !last || (sheet.sent ?? []).includes(last.uid)) return undefined;
    return waiting({ ...sheet, entries: sheet.entries.slice(0, -1) });
  });
}

export const closeSheet = (uid) => change("sheets", uid, (sheet) => waiting({ ...sheet, close: true }));
export const leaveSheet = (uid) => change("sheets", uid, (sheet) => waiting({ ...sheet, left: true }));
export const reopenSheet = (uid) => change("sheets", uid, (sheet) => ({ ...sheet, close: false, left: false, refusal: undefined }));

export async function addDraft(kind, unit, fields, done = today()) {
  const draft = { uid: uuid7(), kind, unit, done, fields, person: await person(), state: "waiting" };
  await write([["drafts", draft]]);
  return draft;
}

// A photo with the fact that tells what it is of, both or neither.
export async function addPhoto(blob, unit, fields) {
  const digest = await sha256(blob);
  const draft = { uid: uuid7(), kind: "noted", unit, done: today(), fields: { ...fields, file: digest }, person: await person(), state: "waiting" };
  await write([["photos", { sha256: digest, blob, unit, sheet: fields.sheet ?? "", state: "waiting", taken: new Date().toISOString() }], ["drafts", draft]]);
  return digest;
}

export async function mark(unit, word, more = {}) {
  const made = { unit, word, at: new Date().toISOString(), ...more };
  await write([["walk", made]]);
  return made;
}

export const marks = async () => new Map((await all("walk")).map((each) => [each.unit, each]));
export const sheets = () => all("sheets");
export const sheet = (uid) => get("sheets", uid);

// What has not left the phone yet, and what the shop did not take.
export async function counts() {
  const [sheetsHeld, drafts, photos] = await Promise.all([all("sheets"), all("drafts"), all("photos")]);
  const items = [...drafts, ...photos, ...sheetsHeld.filter((each) => each.entries.length)];
  const sent = (await get("meta", "sent"))?.value ?? 0;
  return {
    waiting: items.filter((each) => each.state === "waiting").length,
    refused: items.filter((each) => each.state === "refused").length,
    underWork: sheetsHeld.filter((each) => each.state === "waiting" && each.entries.length && !each.close && !each.left).length,
    sent,
  };
}
