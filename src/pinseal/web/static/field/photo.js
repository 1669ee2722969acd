// Photos small enough to be sent from a basement.
import { h } from "./dom.js";

const LONGEST_PX = 1600;

// JPEG, its longest side 1600 px, and without what the camera wrote into it.
export async function smaller(file) {
  const picture = await createImageBitmap(file);
  const share = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
  const canvas = h("canvas", { width: Math.round(picture.width * share), height: Math.round(picture.height * share) });
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  return new Promise((resolve) => { canvas.toBlob(resolve, "image/jpeg", 0.8); });
}
