// SHA-256 (FIPS 180-4) of bytes, as 64 hexadecimal digits. A page opened from a file may have no cryptography of the browser's own.
"use strict";

const { ROUND, START } = (() => {
  // The first 32 bits of the fractional parts of the cube roots of the first 64 primes, and of the square roots of the first 8.
  const primes = [];
  for (let n = 2; primes.length < 64; n += 1) if (primes.every((p) => n % p)) primes.push(n);
  // Roots by whole numbers: floor(root * 2^32) modulo 2^32, exact.
  const root = (n, power) => {
    let low = 0n;
    let high = 1n << 40n;
    const wanted = BigInt(n) << (32n * power);
    while (high - low > 1n) {
      const middle = (low + high) >> 1n;
      if (middle ** power <= wanted) low = middle; else high = middle;
    }
    return Number(low & 0xffffffffn);
  };
  return { ROUND: primes.map((p) => root(p, 3n)), START: primes.slice(0, 8).map((p) => root(p, 2n)) };
})();

const turned = (x, n) => (x >>> n) | (x << (32 - n));

function padded(bytes) {
  const whole = new Uint8Array(((bytes.length + 8) >> 6 << 6) + 64);
  whole.set(bytes);
  whole[bytes.length] = 0x80;
  const view = new DataView(whole.buffer);
  view.setUint32(whole.length - 8, Math.floor(bytes.length / 0x20000000));
  view.setUint32(whole.length - 4, (bytes.length << 3) >>> 0);
  return view;
}

function taken(state, view, at, w) {
  for (let i = 0; i < 16; i += 1) w[i] = view.getUint32(at + 4 * i);
  for (let i = 16; i < 64; i += 1) {
    const a = w[i - 15];
    const b = w[i - 2];
    w[i] = w[i - 16] + (turned(a, 7) ^ turned(a, 18) ^ (a >>> 3)) + w[i - 7] + (turned(b, 17) ^ turned(b, 19) ^ (b >>> 10));
  }
  let [a, b, c, d, e, f, g, h] = state;
  for (let i = 0; i < 64; i += 1) {
    const one = (h + (turned(e, 6) ^ turned(e, 11) ^ turned(e, 25)) + ((e & f) ^ (~e & g)) + ROUND[i] + w[i]) | 0;
    const two = ((turned(a, 2) ^ turned(a, 13) ^ turned(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + one) | 0, c, b, a, (one + two) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((word, i) => { state[i] += word; });
}

function sha256(bytes) {
  const state = Int32Array.from(START);
  const view = padded(bytes);
  const w = new Int32Array(64);
  for (let at = 0; at < view.byteLength; at += 64) taken(state, view, at, w);
  return Array.from(state, (word) => (word >>> 0).toString(16).padStart(8, "0")).join("");
}
