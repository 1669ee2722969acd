// Hand over: what was done, what was found, what is due next; then the customer's name, and a signature if they like.
import { dueWords, field, h, heading, press, stateWord, tell } from "./dom.js";
import { day, nameOf, sheetOf, units } from "./day.js";
import { addDraft, addPhoto, remember, setting, sheets } from "./kept.js";
import { standing } from "./sheet.js";
import { say } from "./words.js";
import { send } from "./send.js";
import { signature } from "./sign.js";

const workOf = (works) => (works.includes("maintenance") ? "maintenance" : "inspection");

async function workedToday(held) {
  const [listed, all] = await Promise.all([units(), sheets()]);
  const byUid = new Map(listed.map((each) => [each.uid, each]));
  return all.filter((each) => (each.close || each.left) && byUid.has(each.unit)).map((kept) => {
    const found = byUid.get(kept.unit);
    const sheet = sheetOf(held, found, workOf(kept.works));
    return { kept, found, work: workOf(kept.works), findings: sheet ? standing(sheet, kept.entries).findings : [] };
  });
}

const lineOf = (each) => `${say(each.work === "maintenance" ? "maintain" : "inspect")}: ${each.kept.close ? say("done") : say("left")}${each.findings.length ? `; ${each.findings.map((one) => one.title).join(", ")}` : ""}`;

async function hand(worked, name, drawn) {
  const blob = await drawn.blob();
  for (const each of worked) {
    const note = say("handedNote", { name, what: lineOf(each) });
    if (blob) await addPhoto(blob, each.found.uid, { sheet: each.kept.uid, note, "handed-to": name });
    else await addDraft("noted", each.found.uid, { sheet: each.kept.uid, note, "handed-to": name });
  }
  const done = (await setting("handed")) ?? [];
  await remember("handed", [...done, ...worked.map((each) => each.kept.uid)]);
  send();
}

export async function handScreen({ again }) {
  const held = await day();
  const all = held ? await workedToday(held) : [];
  const handed = new Set((await setting("handed")) ?? []);
  const worked = all.filter((each) => !handed.has(each.kept.uid));
  if (!worked.length) return { parts: [heading(say("handTitle")), h("p", {}, all.length ? say("handed", { name: (await setting("signer")) ?? "" }) : say("nothingWorked"))] };
  const name = field(say("signer"));
  const drawn = signature();
  const done = ({ kept, work }) => (kept.close ? (work === "maintenance" ? ["maintenance", "inspection"] : ["inspection"]) : []);
  const owed = (each) => (each.found.dues ?? []).filter((due) => due.state !== "ahead" && !done(each).includes(due.duty));
  const next = worked.flatMap((each) => owed(each).map((due) => [each.found, { ...due, because: "" }])).slice(0, 20);
  const deficient = worked.filter((each) => each.findings.length);
  return {
    parts: [
      heading(say("handTitle")), h("p", {}, say("handLead")),
      h("h2", {}, say("worked")), h("ul", { class: "plain" }, worked.map((each) => h("li", {}, h("b", {}, nameOf(each.found)), ` ${each.found.place ?? ""}: ${lineOf(each)}`))),
      h("h2", {}, say("foundWrong")),
      deficient.length ? h("ul", { class: "plain" }, deficient.map((each) => h("li", {}, h("b", {}, nameOf(each.found)), ` ${each.findings.map((one) => `${one.title}${one.fixed ? ` (${say("done")})` : ""}`).join(", ")}`))) : h("p", {}, say("noStops")),
      next.length ? [h("h2", {}, say("dueNext")), h("ul", { class: "plain" }, next.map(([found, each]) => h("li", {}, h("b", {}, nameOf(found)), " ", stateWord(each.state), ` ${dueWords(each)}`)))] : null,
      name.row, drawn.part,
      h("div", { class: "hands" }, press(say("accept"), async () => {
        const said = name.input.value.trim();
        if (!said) {
          tell(say("signer"), true);
          return name.input.focus();
        }
        await remember("signer", said);
        await hand(worked, said, drawn);
        tell(say("handed", { name: said }));
        return again();
      }, { class: "first" })),
    ].flat(),
  };
}
