// A unit that hangs here and is on no list: written down as a fact with what is known of it, however little.
import { choice, field, go, h, heading, press, quiet, tell } from "./dom.js";
import { day } from "./day.js";
import { addDraft, mark } from "./kept.js";
import { uuid7 } from "./ids.js";
import { say } from "./words.js";
import { send } from "./send.js";

const SIZES = ["lb", "kg", "gal", "L"];
const FIGURE = /^\d+([.,]\d+)?$/;
const MADE = /^(19|20)\d\d(-(0[1-9]|1[0-2]))?$/;

export async function unlistedScreen({ parts: [code = ""] }) {
  const held = await day();
  if (!held) return { parts: [heading(say("unlisted")), h("p", {}, say("takeLead")), press(say("dayTitle"), () => go("day"))] };
  const sites = held.sites ?? [];
  const site = sites.length > 1 ? choice(say("site"), sites.map((each) => [each, each]), held.site) : null;
  const place = field(say("where"));
  const id = field(say("numberOnIt"), { value: code });
  const serial = field(say("serial"));
  const agent = choice(say("agent"), [["", say("notKnown")], ...(held.agents ?? [])], "");
  const size = field(say("size"), { inputmode: "decimal" });
  const unit = choice(say("sizeUnit"), SIZES.map((each) => [each, each]), held.system === "metric" ? "kg" : "lb");
  const made = field(say("made"), { inputmode: "numeric", placeholder: "2014" });
  const note = field(say("whatElse"));
  const text = (found) => found.input.value.trim();
  unit.row.querySelector("label").className = "unseen";
  size.row.append(unit.row);
  size.row.classList.add("with-unit");
  function wrong(found, words) {
    tell(words, true);
    found.input.focus();
  }
  async function keep() {
    const figure = text(size).replace(",", ".");
    const said = {
      id: text(id), serial: text(serial), place: text(place), site: site?.input.value ?? held.site ?? sites[0] ?? "", agent: agent.input.value,
      size: figure ? `${figure} ${unit.input.value}` : "", manufactured: text(made), note: text(note),
    };
    const fields = Object.fromEntries(Object.entries(said).filter(([, value]) => value));
    if (!["id", "serial", "place", "agent", "note"].some((name) => fields[name])) return wrong(place, say("saySomething"));
    if (figure && !FIGURE.test(figure)) return wrong(size, say("typo", { what: say("size") }));
    if (fields.manufactured && !MADE.test(fields.manufactured)) return wrong(made, say("typoMade"));
    const uid = uuid7();
    await addDraft("registered", uid, fields);
    await mark(uid, "unlisted", { place: fields.place ?? "", note: [fields.id, fields.serial, fields.note].filter(Boolean).join(", ") });
    send();
    tell(say("unlistedKept"));
    return go("walk");
  }
  return {
    parts: [
      heading(say("unlisted")), h("p", {}, say("unlistedLead")),
      place.row, id.row, serial.row, agent.row, size.row, made.row, note.row, site?.row,
      h("div", { class: "hands" }, quiet(say("cancel"), () => go("walk")), press(say("keep"), keep, { class: "first" })),
    ],
  };
}
