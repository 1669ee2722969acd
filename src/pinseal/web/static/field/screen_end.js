// The end of a sheet: what was found and what can be put right here, then finished, taken away, or left for the shop.
import { field, h, heading, press, quiet, tag, tell } from "./dom.js";
import { isBench } from "./sheet.js";
import { say } from "./words.js";

function fixForm(stands, found, fix) {
  const how = field(say("how"));
  const part = field(say("part"));
  return h("details", {}, h("summary", {}, `${say("fix")}: ${found.title}`), how.row, stands.isOwners ? "" : part.row, press(say("keep"), () => {
    if (!how.input.value.trim()) {
      tell(say("how"), true);
      return how.input.focus();
    }
    return fix(found, how.input.value.trim(), part.input.value.trim());
  }));
}

function foundPart(stands, actions, isEnded) {
  if (!stands.findings.length) return null;
  return tag(h("p", { class: "tag-title" }, say("findings")), ...stands.findings.map((each) => h("div", {},
    h("p", {}, h("b", {}, each.title), each.because ? `: ${each.because}` : "", each.fixed ? ` (${say("done")})` : ` ${each.words}`),
    !isEnded && !each.fixed && stands.isFixable(each) ? fixForm(stands, each, actions.fix) : "")));
}

function leavingList(stands, path) {
  if (stands.isOwners) return null;
  const steps = stands.sheet.steps.filter((each) => each.when === "leaving" && !isBench(each));
  if (!steps.length) return null;
  return h("details", {}, h("summary", {}, say("takeAway")), h("ul", { class: "covers" }, steps.map((each) =>
    h("li", {}, h("a", { href: `${path}/${each.id}` }, each.title), stands.answers.has(each.id) ? h("small", {}, say("answered")) : ""))));
}

function ended(kept, actions) {
  return [
    heading(kept.close ? say("closedAs") : say("left")),
    h("p", {}, kept.state === "sent" ? say("sentN", { n: 1 }) : say("finished")),
    ...(kept.moved ?? []).map((each) => h("p", {}, `${each.duty}: ${each.before} → ${each.after}`)),
    h("div", { class: "hands" }, press(say("nextUnit"), actions.onward, { class: "first" })),
  ];
}

export function endParts({ stands, kept, actions, path, photo }) {
  if (kept.close || kept.left) return [...ended(kept, actions), foundPart(stands, actions, true)];
  const ending = stands.ending();
  const bench = stands.left().filter(isBench);
  const stops = stands.stops();
  const words = {
    returns: say("decisionReturn"), found: say("decisionFound"), away: say("takeAway"),
    "": stops.length ? say("decisionStop", { what: stops.map((each) => each.title).join(", ") }) : say("stepsLeft", { n: stands.left().length }),
  }[ending];
  const refused = kept.refusal ? h("p", { class: "odd" }, say("refusedWords", kept.refusal)) : null;
  return [
    heading(ending ? say("finish") : stops.length ? say("findings") : say("atBench")), refused, h("p", {}, words),
    bench.length ? tag(h("p", { class: "tag-title" }, say("atBench")), h("p", {}, say("benchWhy")), h("ul", {}, bench.map((each) => h("li", {}, each.title)))) : null,
    foundPart(stands, actions, false),
    ending ? null : h("p", {}, `${say("stopsLeft")} ${say("leaveWords")}`),
    stops.length || bench.length ? leavingList(stands, path) : null,
    h("div", { class: "hands" }, photo, ending ? null : press(say("leaveOpen"), actions.leave), ending ? press(say("finish"), actions.finish, { class: "first", id: "finish" }) : null),
  ];
}
