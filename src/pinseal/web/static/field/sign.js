// A signature drawn with a finger or a pen. Who cannot draw types the name: that counts as much.
import { h, quiet } from "./dom.js";
import { say } from "./words.js";

export function signature() {
  const canvas = h("canvas", { class: "sign", width: 700, height: 220, role: "img", "aria-label": say("sign") });
  const pen = canvas.getContext("2d");
  let isDown = false;
  let isDrawn = false;
  const at = (event) => {
    const box = canvas.getBoundingClientRect();
    return [((event.clientX - box.left) * canvas.width) / box.width, ((event.clientY - box.top) * canvas.height) / box.height];
  };
  function blank() {
    pen.fillStyle = "#ffffff";
    pen.fillRect(0, 0, canvas.width, canvas.height);
    Object.assign(pen, { strokeStyle: "#1c2024", lineWidth: 4, lineCap: "round", lineJoin: "round" });
    isDrawn = false;
  }
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    isDown = true;
    pen.beginPath();
    pen.moveTo(...at(event));
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!isDown) return;
    pen.lineTo(...at(event));
    pen.stroke();
    isDrawn = true;
  });
  canvas.addEventListener("pointerup", () => { isDown = false; });
  blank();
  const blob = () => new Promise((resolve) => { canvas.toBlob(resolve, "image/png"); });
  return { part: h("div", {}, h("p", { class: "caption" }, say("sign")), canvas, quiet(say("clear"), blank)), blob: async () => (isDrawn ? blob() : null) };
}
