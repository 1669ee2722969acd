// Reading a unit's code with the camera, where the phone has a detector of its own; else the number is typed.
import { go, h, quiet, tell } from "./dom.js";
import { say } from "./words.js";

const EVERY_MS = 200;

export function byCode(listed, code) {
  const plain = code.trim().toLowerCase();
  const last = plain.split(/[/#?=]/).filter(Boolean).at(-1) ?? plain;
  return listed.find((each) => [each.uid, each.id, each.serial, each.tag].some((known) => known && [plain, last].includes(known.toLowerCase())));
}

export async function scan(listed) {
  if (!("BarcodeDetector" in window)) return tell(say("noDetector"), true);
  let stream;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
  } catch {
    return tell(say("noCamera"), true);
  }
  const detector = new window.BarcodeDetector();
  const video = h("video", { autoplay: true, playsinline: true, muted: true });
  video.srcObject = stream;
  const panel = h("div", { class: "card camera" }, h("p", {}, say("scanLead")), video);
  const stop = () => {
    clearInterval(timer);
    stream.getTracks().forEach((each) => each.stop());
    panel.remove();
  };
  const timer = setInterval(async () => {
    const [seen] = await detector.detect(video).catch(() => []);
    if (!seen) return;
    const found = byCode(listed, seen.rawValue);
    stop();
    if (found) go(`work/${found.uid}`);
    else tell(say("unknownCode", { code: seen.rawValue }), true);
  }, EVERY_MS);
  window.addEventListener("hashchange", stop, { once: true });
  panel.append(quiet(say("cancel"), stop));
  return document.getElementById("main").prepend(panel);
}

const LONGEST_PX = 1600;

// A photo small enough to be sent from a basement: JPEG, its longest side 1600 px, and without what the camera wrote into it.
export async function smaller(file) {
  const picture = await createImageBitmap(file);
  const share = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
  const canvas = h("canvas", { width: Math.round(picture.width * share), height: Math.round(picture.height * share) });
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  return new Promise((resolve) => { canvas.toBlob(resolve, "image/jpeg", 0.8); });
}
