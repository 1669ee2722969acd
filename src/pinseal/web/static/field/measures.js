// Readings as typed, and as figures in SI. The factors are exact by definition (NIST Special Publication 811, appendix B).
const LB = 0.45359237;
const PSI = (LB * 9.80665) / 0.0254 ** 2;
const FACTORS = {
  pressure: { psi: PSI, bar: 100000, kPa: 1000 },
  mass: { lb: LB, oz: LB / 16, kg: 1, g: 0.001 },
  temperature: { F: null, C: null },
};
export const UNITS = {
  us: { pressure: "psi", mass: "lb", temperature: "F", length: "in", volume: "gal", seconds: "s", percent: "%" },
  metric: { pressure: "bar", mass: "kg", temperature: "C", length: "mm", volume: "L", seconds: "s", percent: "%" },
};
export const CHOICES = {
  pressure: ["psi", "bar", "kPa"], mass: ["lb", "kg"], temperature: ["F", "C"], length: ["in", "mm"], volume: ["gal", "L"],
};

export function toSi(quantity, number, unit) {
  if (quantity === "temperature") return unit === "F" ? ((number - 32) * 5) / 9 + 273.15 : number + 273.15;
  return number * FACTORS[quantity][unit];
}

export function fromSi(quantity, si, unit) {
  if (quantity === "temperature") return unit === "F" ? ((si - 273.15) * 9) / 5 + 32 : si - 273.15;
  return si / FACTORS[quantity][unit];
}

// "171 psi" -> its figure in SI; null for what cannot be read or is not compared here. The shop reads the same text anew.
export function read(quantity, text) {
  const found = /^\s*([+-]?\d+(?:[.,]\d+)?)\s*([A-Za-z]+)\s*$/.exec(text ?? "");
  if (!found || FACTORS[quantity]?.[found[2]] === undefined) return null;
  return toSi(quantity, Number(found[1].replace(",", ".")), found[2]);
}

export function forPeople(quantity, si, unit) {
  const digits = quantity === "mass" ? 2 : unit === "bar" ? 1 : 0;
  return `${fromSi(quantity, si, unit).toFixed(digits)} ${unit === "F" || unit === "C" ? `°${unit}` : unit}`;
}
