// Box runs: start, tubs, end, clean-up. The colours of a clean-up belong to the run that fed it.

import { button, field, h, input, say, select, values } from "../dom.js";
import { entryForm, hasSpot } from "../form.js";
import { runOpen } from "../entries.js";
import { changeNow, keepAndSay, remove } from "../keeping.js";
import { day, recordBy, setPref, state, trip } from "../state.js";
import { atFace, clockFace, endAfter, nowText } from "../time.js";
import { choices, words } from "../words.js";
import { go, spotOptions } from "../frame.js";
import { counters, zeros } from "./pan.js";

export function runScreen(key) {
  const record = key ? recordBy(key) : null;
  if (key && !record) return h("p", {}, "This run isn't here any more.");
  return record ? runForm(record) : startForm();
}

const gearOptions = () => [["", "not noted"], ...(trip() ? trip().gear : [])];

function startForm() {
  const gear = gearOptions();
  const start = async form => {
    if (!hasSpot(form)) return null;
    const body = { day: day(), started_at: nowText(), tubs: "0", ...values(form) };
    const entry = await keepAndSay("run", body, "box run started");
    if (entry) await Promise.all(["spot", "tub", "layer"].map(name => setPref(name, body[name])));
    return entry;
  };
  return entryForm({ keep: start, after: () => go("") },
    h("h1", {}, "Start a box run"),
    field("Spot", select("spot", spotOptions(), state.prefs.spot, { required: true })),
    field("Box", select("gear", gear, gear.length === 2 ? gear[1][0] : "")),
    h("div", { class: "three" },
      field("A tub holds", input("tub", state.prefs.tub || `12 ${state.bundle ? state.bundle.volume_unit : "L"}`, { inputmode: "decimal" })),
      field("Layer", select("layer", choices("layer"), state.prefs.layer || "gravel"))),
    h("div", { class: "keepbar" }, h("button", { class: "primary", type: "submit" }, "Start the run")));
}

// Another tub is another version of the run: nothing is counted only on the screen.
export function addTub(record) {
  const more = body => String(Number(String(body.tubs || 0).replace(",", ".")) + 1);
  if (more(record.body) === "NaN") {
    say(`“${record.body.tubs}” tubs isn't a number to add to. Put it right under Clean-up.`);
    return null;
  }
  return changeNow(record, body => ({ tubs: more(body) }), body => `${body.tubs} tubs`);
}

export function endRun(record) {
  return changeNow(record, () => ({ ended_at: nowText() }), () => "run ended");
}

function runForm(record) {
  const { body } = record;
  const save = form => {
    const next = { ...body, ...values(form) };
    next.started_at = atFace(next.started_at, next.day || day(), body.started_at);
    next.ended_at = endAfter(next.started_at, atFace(next.ended_at, next.day || day(), body.ended_at));
    if (runOpen({ kind: "run", body: next })) next.ended_at = nowText();
    return keepAndSay("run", next, "the clean-up with its run", { record });
  };
  const form = entryForm({ keep: save, after: () => go("") },
    h("h1", {}, runOpen(record) ? "Box run and clean-up" : "Clean-up of the run"),
    h("p", { class: "hint" }, body.started_at ? `Started ${clockFace(body.started_at)}${body.ended_at ? `, ended ${clockFace(body.ended_at)}` : ", still running: keeping the clean-up ends it"}.` : ""),
    counters(body),
    h("div", { class: "three" },
      field("Tubs", input("tubs", body.tubs, { inputmode: "decimal" })),
      field("A tub holds", input("tub", body.tub, { inputmode: "decimal" })),
      field("or fed in all", input("volume", body.volume, { inputmode: "decimal" }))),
    h("details", {}, h("summary", {}, "Spot, box, time, note"),
      field("Spot", select("spot", spotOptions(), body.spot)),
      field("Box", select("gear", gearOptions(), body.gear)),
      field("Layer", select("layer", choices("layer"), body.layer)),
      h("div", { class: "three" },
        field("Started", input("started_at", clockFace(body.started_at), { type: "time" })),
        field("Ended", input("ended_at", clockFace(body.ended_at), { type: "time" }))),
      field("Time it ran", input("minutes", body.minutes, { placeholder: "1:30" }), "Empty: from start and end."),
      field("Day", input("day", body.day || day(), { type: "date" })),
      field("Note", input("note", body.note, { maxlength: 200 }))),
    h("div", { class: "keepbar" },
      h("button", { class: "primary", type: "submit" }, "Keep the clean-up"),
      button("Keep, rest are 0", () => { zeros(form); form.keepIt(); }),
      button("Remove", async () => { if (await remove(record, words(record))) go(""); }, { class: "danger" })));
  return form;
}
