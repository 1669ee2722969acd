// Sending: what waits goes to the shop's door in batches; an item leaves the phone only when the shop said kept or known.
import { all, change, get, write } from "./db.js";
import { device } from "./kept.js";

const AT_ONCE = 40;  // facts of one batch
const SHEETS_AT_ONCE = 5;  // each is judged anew by the shop, which takes its time
const FIRST_S = 4;
const MOST_S = 300;
const IN_TIME_MS = 60000;
const DONE = ["kept", "known"];

export const sending = { busy: false, why: "", tryIn: FIRST_S, last: null };
let timer;
let onChange = () => {};

export const watchSending = (call) => { onChange = call; };

const strip = (draft) => ({ uid: draft.uid, kind: draft.kind, unit: draft.unit, done: draft.done, fields: draft.fields, person: draft.person });

function sheetSent(sheet) {
  return { uid: sheet.uid, unit: sheet.unit, on: sheet.on, works: sheet.works, entries: sheet.entries, close: sheet.close, person: sheet.person, taken: sheet.taken };
}

// A sheet under work stays until it is finished or left, so that the last touch can be taken back.
const isReady = (sheet) => sheet.state === "waiting" && sheet.entries.length > 0 && (sheet.close || sheet.left);

async function post(path, method, body, type) {
  const given = await fetch(path, { method, body, headers: { "content-type": type }, signal: AbortSignal.timeout(IN_TIME_MS) });
  if (given.status === 401 || given.redirected) throw new Error("signIn");
  return given;
}

const refusalOf = (said) => said.refusal ?? { what: "the shop gave no reason", rule: "", do: "" };

async function tellDraft(said) {
  if (DONE.includes(said.word)) return [["drafts", { remove: said.uid }]];
  const kept = await get("drafts", said.uid);
  return kept ? [["drafts", { ...kept, state: "refused", refusal: refusalOf(said) }]] : [];
}

// What the shop said of a sheet: gone from the phone when it is all there and closed; else it stays with what was refused.
function sheetAfter(kept, sent, said) {
  const taken = said.entries.filter((each) => DONE.includes(each.word)).map((each) => each.uid);
  const wrong = [said, ...said.entries, ...(said.close ? [said.close] : [])].find((each) => each.word === "refused");
  const isSame = kept.entries.length === sent.entries.length && kept.close === sent.close && kept.left === sent.left;
  if (wrong) return { ...kept, sent: taken, state: "refused", refusal: refusalOf(wrong), close: false, left: false };
  return { ...kept, sent: taken, state: isSame ? "sent" : "waiting", outcome: said.close?.outcome ?? "", moved: said.close?.moved ?? [] };
}

async function addSent(count) {
  await change("meta", "sent", (kept) => ({ key: "sent", value: (kept?.value ?? 0) + count }));
}

async function sendBatch(drafts, sheets) {
  const body = { device: await device(), at: new Date().toISOString(), drafts: drafts.map(strip), sheets: sheets.map(sheetSent) };
  const given = await post("/api/door", "POST", JSON.stringify(body), "application/json");
  if (!given.ok) throw new Error(`${given.status}`);
  const said = await given.json();
  const changes = (await Promise.all(said.drafts.map(tellDraft))).flat();
  await write(changes);
  for (const [at, each] of said.sheets.entries()) await change("sheets", sheets[at].uid, (kept) => kept && sheetAfter(kept, sheets[at], each));
  await addSent(said.drafts.filter((each) => DONE.includes(each.word)).length + said.sheets.filter((each) => each.close && each.close.word !== "refused").length);
}

async function sendPhoto(photo) {
  const given = await post(`/api/door/photos/${photo.sha256}`, "PUT", photo.blob, photo.blob.type || "image/jpeg");
  if (given.ok) {
    await write([["photos", { remove: photo.sha256 }]]);
    await addSent(1);
  } else if (given.status >= 400 && given.status < 500 && given.status !== 429) {
    const said = await given.json().catch(() => ({}));
    await write([["photos", { ...photo, state: "refused", refusal: said.error ?? said.refusal ?? refusalOf({}) }]]);
  } else throw new Error(`${given.status}`);
}

async function sendAll() {
  for (const photo of (await all("photos")).filter((each) => each.state === "waiting")) await sendPhoto(photo);
  for (;;) {
    const drafts = (await all("drafts")).filter((each) => each.state === "waiting").slice(0, AT_ONCE);
    const sheets = (await all("sheets")).filter(isReady).slice(0, SHEETS_AT_ONCE);
    if (!drafts.length && !sheets.length) return;
    await sendBatch(drafts, sheets);
    onChange();
  }
}

function later() {
  clearTimeout(timer);
  timer = setTimeout(send, sending.tryIn * 1000);
  sending.tryIn = Math.min(sending.tryIn * 2, MOST_S);
}

// Sends what waits; called at every change, when the signal comes back, and by its own clock after a failure. Only one window sends at a time.
export function send() {
  if (!navigator.locks) return sendOnce();
  return navigator.locks.request("pinseal-send", { ifAvailable: true }, (lock) => (lock ? sendOnce() : undefined));
}

async function sendOnce() {
  if (sending.busy) return;
  sending.busy = true;
  clearTimeout(timer);
  onChange();
  try {
    await sendAll();
    Object.assign(sending, { why: "", tryIn: FIRST_S, last: new Date().toISOString() });
  } catch (error) {
    sending.why = error.message === "signIn" ? "signIn" : navigator.onLine && /^\d+$/.test(error.message) ? error.message : "offline";
    later();
  } finally {
    sending.busy = false;
    onChange();
  }
}

export async function retryRefused() {
  for (const store of ["drafts", "photos"]) {
    const held = (await all(store)).filter((each) => each.state === "refused");
    await write(held.map((each) => [store, { ...each, state: "waiting", refusal: undefined }]));
  }
}

// The last resort: everything unsent as one file, in the shape that the door takes, photos as text.
export async function unsent() {
  const text = async (photo) => ({ sha256: photo.sha256, type: photo.blob.type, base64: await base64(photo.blob) });
  const [drafts, sheets, photos] = await Promise.all([all("drafts"), all("sheets"), all("photos")]);
  const open = sheets.filter((each) => each.state !== "sent" && each.entries.length);
  const body = { device: await device(), drafts: drafts.map(strip), sheets: open.map(sheetSent), photos: await Promise.all(photos.map(text)) };
  return new Blob([JSON.stringify(body, null, 1)], { type: "application/json" });
}

function base64(blob) {
  return new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve(reader.result.slice(reader.result.indexOf(",") + 1));
    reader.onerror = () => reject(reader.error);
    reader.readAsDataURL(blob);
  });
}
