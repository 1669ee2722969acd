// Send: what waits, what was sent, what the shop did not take and why; and a file as the last resort.
import { h, heading, press, quiet, tag, tell } from "./dom.js";
import { all } from "./db.js";
import { unit, nameOf } from "./day.js";
import { counts, reopenSheet } from "./kept.js";
import { retryRefused, send, sending, unsent } from "./send.js";
import { say } from "./words.js";
import { signInLink } from "./screen_day.js";

async function refusedList() {
  const held = (await Promise.all(["drafts", "sheets", "photos"].map(all))).flat().filter((each) => each.state === "refused");
  return Promise.all(held.map(async (each) => {
    const found = await unit(each.unit);
    const words = say("refusedWords", each.refusal ?? {});
    const open = each.entries ? h("a", { href: `#/job/${each.unit}`, onclick: () => reopenSheet(each.uid) }, say("goOn")) : "";
    return h("li", {}, h("b", {}, found ? nameOf(found) : each.unit), ` ${words} `, open);
  }));
}

async function saveFile() {
  const link = h("a", { href: URL.createObjectURL(await unsent()), download: `pinseal-unsent-${new Date().toISOString().slice(0, 16).replace(":", "")}.json` });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  tell(say("exported"));
}

function now() {
  if (sending.busy) return say("sending");
  if (!sending.why) return "";
  return `${say("cannotSend", { why: sending.why === "signIn" ? say("signIn") : sending.why === "offline" ? say("offline") : sending.why })} ${say("tryAgain", { n: sending.tryIn })}`;
}

export async function sendScreen({ again }) {
  const held = await counts();
  const refused = await refusedList();
  return {
    parts: [
      heading(say("sendTitle")), h("p", {}, say("sendLead")),
      tag(h("ul", { class: "plain counts-plain" },
        h("li", { id: "waits" }, say("waitsN", { n: held.waiting })), h("li", { id: "sent" }, say("sentN", { n: held.sent })), h("li", { id: "refused" }, say("refusedN", { n: held.refused }))),
      held.underWork ? h("p", {}, say("openOnes", { n: held.underWork })) : "", now() ? h("p", {}, now()) : ""),
      sending.why === "signIn" ? h("p", {}, signInLink()) : null,
      refused.length ? h("ul", { class: "plain odd" }, refused) : null,
      h("div", { class: "hands" }, quiet(say("export"), saveFile), press(say("sendNow"), async () => { await retryRefused(); await send(); await again(); }, { class: "first" })),
    ],
  };
}
