// Where a job sheet stands by its entries: what is answered, what was found, what is left, which steps are shut.
// It follows the shop's engine (sheets/) as far as a phone needs; the shop takes every entry anew and decides.
import { judge } from "./judge.js";
import { read } from "./measures.js";

// What opens, empties, fills or charges a unit is done at the bench.
export const AT_BENCH = ["disarm", "lever", "empty", "open", "inside", "test", "hose-off", "dry", "fill", "close", "supply", "charge", "arm", "after-charge", "collar", "label"];
const ON_THE_SPOT = ["correct", "clean", "repair", "replace-part", "refinish"];
const READ_AGAIN = ["too-close", "not-judged", "not-done", "needle-outside-band"];
const STAGES = ["arrive", "look", "weigh", "empty", "open", "inside", "test", "dry", "fill", "close", "charge", "leak", "mark", "return", "leave"];

export const isWanted = (step) => step.when !== "leaving";
export const isBench = (step) => AT_BENCH.includes(step.effect);
const goodAnswers = (step) => step.answers.filter((each) => each.good);

function ruleOf(sheet, finding) {
  const rule = (sheet.outcome_rules ?? []).find((each) => each.finding === finding);
  if (rule) return { title: rule.title, action: rule.forces, words: rule.words };
  return { title: finding.replaceAll("-", " "), action: READ_AGAIN.includes(finding) ? "read-again" : "maintenance", words: "" };
}

// The verdict on what a step reads, or null. `texts` are the readings as typed, `instruments` their ids by reading.
export function verdictOf(sheet, step, texts, instruments = {}) {
  const limit = sheet.compare?.[step.id];
  if (!limit) return null;
  const figures = {};
  for (const [name, text] of Object.entries(texts ?? {})) {
    const si = read(step.wants[name]?.quantity, text);
    if (si !== null) figures[name] = si;
  }
  const weighed = Object.entries(step.wants).find(([, want]) => want.quantity === "mass");
  return judge(limit, figures, sheet.scales?.[instruments[weighed?.[0]]]);
}

function findingOf(sheet, step, verdict) {
  const named = sheet.compare[step.id].findings;
  if (verdict.verdict === "fail") return named[verdict.side] ?? named.fail;
  return verdict.verdict === "too-close" ? "too-close" : "not-judged";
}

export class Standing {
  constructor(sheet, isOwners = false) {
    this.sheet = sheet;
    this.isOwners = isOwners;
    this.answers = new Map();
    this.findings = (sheet.found ?? []).map((each) => ({ finding: each.finding, step: each.step, title: each.title, action: each.action, words: each.words, because: each.because.join("; "), fixed: false }));
    this.verdicts = new Map();
    this.count = 0;
  }

  take(entry) {
    this.count += 1;
    if (entry.fix !== undefined) this.#fix(entry);
    else if (entry.step !== undefined) this.#answer(entry);
    else if (entry.confirm !== undefined) this.coverable(entry.confirm).forEach((step) => this.answers.set(step.id, goodAnswers(step)[0].code));
  }

  #answer(entry) {
    const step = this.step(entry.step);
    if (!step) return;
    this.answers.set(step.id, entry.answer);
    this.findings = this.findings.filter((each) => each.step !== step.id);
    const answer = step.answers.find((each) => each.code === entry.answer);
    if (answer?.finding) this.#find(step, answer.finding, [answer.says, entry.note].filter(Boolean).join(": "));
    const verdict = verdictOf(this.sheet, step, entry.readings, entry.instruments);
    this.verdicts.delete(step.id);
    if (!verdict) return;
    this.verdicts.set(step.id, verdict);
    if (verdict.verdict !== "pass" && !verdict.local) this.#find(step, findingOf(this.sheet, step, verdict), "");
  }

  #find(step, finding, because) {
    this.findings.push({ finding, step: step.id, because, fixed: false, ...ruleOf(this.sheet, finding) });
  }

  #fix(entry) {
    const found = this.findings.find((each) => each.finding === entry.fix && (entry.step ?? each.step) === each.step && !each.fixed);
    if (found) found.fixed = true;
  }

  step(id) {
    return this.sheet.steps.find((each) => each.id === id);
  }

  // An owner puts right what needs no work on the unit; the shop holds them to it (service/door.py).
  isFixable(found) {
    if (this.isOwners) return found.action === "correct";
    return ON_THE_SPOT.includes(found.action) || (found.action === "maintenance" && this.sheet.duties.includes("maintenance"));
  }

  // What keeps the tag off.
  stops() {
    return this.findings.filter((each) => each.action !== "note" && !each.fixed);
  }

  left() {
    return this.sheet.steps.filter((step) => isWanted(step) && !this.answers.has(step.id));
  }

  // The gates that keep a step shut here: those that follow from the entries are worked out, the others stand as the shop wrote them.
  shut(step) {
    return step.gate.filter((gate) => !this.#isOpen(step, gate));
  }

  #isOpen(step, gate) {
    const steps = this.sheet.steps;
    const unanswered = (some) => some.some((each) => isWanted(each) && !this.answers.has(each.id));
    switch (gate.gate) {
      case "earlier-steps": return !unanswered(steps.slice(0, steps.indexOf(step)));
      case "earlier-stages": return !unanswered(steps.filter((each) => STAGES.indexOf(each.stage) < STAGES.indexOf(step.stage)));
      case "no-open-stops": return this.stops().length === 0;
      case "stand-in": return gate.open || this.answers.get("stand-in-there") === "stands";
      default: return gate.open;
    }
  }

  // The steps that one confirmation would cover now, each in its turn: what it answers itself may open the next one.
  coverable(group) {
    const before = new Map(this.answers);
    const found = [];
    for (const step of this.sheet.steps.filter((each) => each.group === group)) {
      const [good, ...more] = goodAnswers(step);
      if (!good || more.length || !isWanted(step) || isBench(step) || this.answers.has(step.id) || this.shut(step).length) continue;
      this.answers.set(step.id, good.code);
      found.push(step);
    }
    this.answers = before;
    return found;
  }

  // How the sheet may end: "" where it may not yet, else returns, found (an inspection with deficiencies) or away.
  ending() {
    if (this.answers.get("taken-away") === "gone") return "away";
    if (this.left().length) return "";
    if (!this.stops().length) return "returns";
    return this.sheet.duties.every((each) => each === "inspection") ? "found" : "";
  }
}

export function standing(sheet, entries, isOwners = false) {
  const stands = new Standing(sheet, isOwners);
  entries.forEach((each) => stands.take(each));
  return stands;
}
