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
import { t } from "../speak.js";

export function runScreen(key) {
  const record = key ? recordBy(key) : null;
  if (key && !record) return h("p", {}, t("This run isn't here any more."));
  return record ? runForm(record) : startForm();
}

const gearOptions = () => [["", t("not noted")], ...(trip() ? trip().gear : [])];

function startForm() {
  const gear = gearOptions();
  const start = async form => {
    if (!hasSpot(form)) return null;
    const body = { day: day(), started_at: nowText(), tubs: "0", ...values(form) };
    const entry = await keepAndSay("run", body, t("box run started"));
    if (entry) await Promise.all(["spot", "tub", "layer"].map(name => setPref(name, body[name])));
    return entry;
  };
  return entryForm({ keep: start, after: () => go("") },
    h("h1", {}, t("Start a box run")),
    field(t("Spot"), select("spot", spotOptions(), state.prefs.spot, { required: true })),
    field(t("Box"), select("gear", gear, gear.length === 2 ? gear[1][0] : "")),
    h("div", { class: "three" },
      field(t("A tub holds"), input("tub", state.prefs.tub || `12 ${state.bundle ? state.bundle.volume_unit : "L"}`, { inputmode: "decimal" })),
      field(t("Layer"), select("layer", choices("layer"), state.prefs.layer || "gravel"))),
    h("div", { class: "keepbar" }, h("button", { class: "primary", type: "submit" }, t("Start the run"))));
}

// Another tub is another version of the run: nothing is counted only on the screen.
export function addTub(record) {
  const more = body => String(Number(String(body.tubs || 0).replace(",", ".")) + 1);
  if (more(record.body) === "NaN") {
    say(t("“{tubs}” tubs isn't a number to add to. Put it right under Clean-up.", { tubs: record.body.tubs }));
    return null;
  }
  return changeNow(record, body => ({ tubs: more(body) }), body => t("{tubs} tubs", { tubs: body.tubs }));
}

export function endRun(record) {
  return changeNow(record, () => ({ ended_at: nowText() }), () => t("run ended"));
}

function runForm(record) {
  const { body } = record;
  const save = form => {
    const next = { ...body, ...values(form) };
    next.started_at = atFace(next.started_at, next.day || day(), body.started_at);
    next.ended_at = endAfter(next.started_at, atFace(next.ended_at, next.day || day(), body.ended_at));
    if (runOpen({ kind: "run", body: next })) next.ended_at = nowText();
    return keepAndSay("run", next, t("the clean-up with its run"), { record });
  };
  const form = entryForm({ keep: save, after: () => go("") },
    h("h1", {}, runOpen(record) ? t("Box run and clean-up") : t("Clean-up of the run")),
    h("p", { class: "hint" }, body.started_at ? t("Started {started_at}{ended_at}.", { started_at: clockFace(body.started_at), ended_at: body.ended_at ? t(", ended {ended_at}", { ended_at: clockFace(body.ended_at) }) : t(", still running: keeping the clean-up ends it") }) : ""),
    counters(body),
    h("div", { class: "three" },
      field(t("Tubs"), input("tubs", body.tubs, { inputmode: "decimal" })),
      field(t("A tub holds"), input("tub", body.tub, { inputmode: "decimal" })),
      field(t("or fed in all"), input("volume", body.volume, { inputmode: "decimal" }))),
    h("details", {}, h("summary", {}, t("Spot, box, time, note")),
      field(t("Spot"), select("spot", spotOptions(), body.spot)),
      field(t("Box"), select("gear", gearOptions(), body.gear)),
      field(t("Layer"), select("layer", choices("layer"), body.layer)),
      h("div", { class: "three" },
        field(t("Started"), input("started_at", clockFace(body.started_at), { type: "time" })),
        field(t("Ended"), input("ended_at", clockFace(body.ended_at), { type: "time" }))),
      field(t("Time it ran"), input("minutes", body.minutes, { placeholder: "1:30" }), t("Empty: from start and end.")),
      field(t("Day"), input("day", body.day || day(), { type: "date" })),
      field(t("Note"), input("note", body.note, { maxlength: 200 }))),
    h("div", { class: "keepbar" },
      h("button", { class: "primary", type: "submit" }, t("Keep the clean-up")),
      button(t("Keep, rest are 0"), () => { zeros(form); form.keepIt(); }),
      button(t("Remove"), async () => { if (await remove(record, words(record))) go(""); }, { class: "danger" })));
  return form;
}
