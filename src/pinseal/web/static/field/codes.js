// From a code to the unit: an address of the shop that names a unit, or the number that stands on it.

// Every unit that the code may mean. An address counts by the unit that it names, never by a number that stands in it by chance.
export function unitsOf(listed, code) {
  const plain = code.trim().toLowerCase();
  if (/^[a-z][a-z0-9+.-]*:/.test(plain)) {
    const parts = plain.split(/[/?#&=]+/);
    return listed.filter((each) => parts.includes(each.uid));
  }
  return listed.filter((each) => [each.uid, each.id, each.serial, each.tag].some((known) => known?.trim().toLowerCase() === plain));
}

// The uid in the short address of a unit (`…/u/UID`), where the code is one.
export const uidIn = (code) => /\/u(?:nits)?\/([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})(?![0-9a-f-])/i.exec(code)?.[1].toLowerCase();

// What is read: QR and Code 128 as our labels carry them, and what makers and other shops print most.
const WANTED = ["qr_code", "code_128", "code_39", "data_matrix"];

const readerFolder = () => document.querySelector("meta[name=reader]").content;

// The browser's own detector where it reads what we need, else the reader that the shop sent along. Throws where neither can be had.
export async function detector() {
  const own = globalThis.BarcodeDetector;
  const known = own ? await own.getSupportedFormats().catch(() => []) : [];
  if (["qr_code", "code_128"].every((each) => known.includes(each))) return new own({ formats: WANTED.filter((each) => known.includes(each)) });
  const { BarcodeDetector } = await import(`${readerFolder()}/ponyfill.js`);
  return new BarcodeDetector({ formats: WANTED });
}

// Whether codes can be read on this phone without a signal.
export async function readerHeld() {
  if (globalThis.BarcodeDetector) return true;
  const held = await caches.open("reader").then((store) => store.keys()).catch(() => []);
  return ["ponyfill.js", "zxing-exported.js", "zxing_reader.wasm"].every((name) => held.some((each) => each.url.endsWith(`${readerFolder()}/${name}`)));
}
