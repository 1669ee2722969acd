// Ids that a device makes by itself: UUID version 7 (RFC 9562), in order of time, so that sending twice changes nothing.
let last = 0;

export function uuid7(now = Date.now()) {
  last = Math.max(now, last + 1);  // two in one millisecond stay in order, and a clock put back does not turn it round
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  let rest = last;
  for (let at = 5; at >= 0; at -= 1) {
    bytes[at] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

export async function sha256(blob) {
  const digest = await crypto.subtle.digest("SHA-256", await blob.arrayBuffer());
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
