// Spots, holes, notes, costs and blocks of hours: short forms that all work alike.

import { button, field, h, input, say, select, values } from "../dom.js";
import { entryForm } from "../form.js";
import { position } from "../camera.js";
import { holeOpen } from "../entries.js";
import { changeNow, keepAndSay, remove } from "../keeping.js";
import { day, recordBy, setPref, siteName, state, trip } from "../state.js";
import { choices, words } from "../words.js";
import { go, spotOptions } from "../frame.js";

function form(kind, title, record, parts, { after = () => go("") } = {}) {
  const keep = element => {
    const body = { ...(record ? record.body : {}), ...values(element) };
    return keepAndSay(kind, body, words({ kind, body }), { record });
  };
  return entryForm({ keep, after },
    h("h1", {}, record ? `Change ${title}` : title.charAt(0).toUpperCase() + title.slice(1)),
    parts,
    h("div", { class: "keepbar" },
      h("button", { class: "primary", type: "submit" }, record ? "Keep the change" : "Keep"),
      record && button("Remove", async () => { if (await remove(record, words(record))) go(""); }, { class: "danger" })));
}

const siteOptions = () => {
  const first = trip() ? trip().sites : [];
  const rest = (state.bundle ? state.bundle.sites : []).map(site => site.pk).filter(pk => !first.includes(pk));
  return [...first, ...rest].map(pk => [pk, siteName(pk)]);
};
const dayField = body => field("Day", input("day", (body && body.day) || day(), { type: "date" }));
const people = empty => [["", empty], ...(trip() ? trip().people : [])];

export function spotScreen(key) {
  const record = key ? recordBy(key) : null;
  const body = record ? record.body : {};
  const element = form("spot", "new spot", record, [
    field("Name", input("name", body.name, { required: true, maxlength: 120 })),
    field("What it is", select("feature", choices("feature"), body.feature || "other")),
    field("Site", select("site", siteOptions(), body.site)),
    h("div", { class: "three" },
      field("Latitude", input("lat", body.lat, { inputmode: "decimal" })),
      field("Longitude", input("lon", body.lon, { inputmode: "decimal" }))),
    button("Take the phone's position", async () => {
      say("Looking for the position …");
      const found = await position();
      if (found.lat === null) { say(found.reason); return; }
      element.elements.lat.value = found.lat;
      element.elements.lon.value = found.lon;
      say(`Position taken, within about ${found.within_m} m.`);
    }),
  ], { after: async entry => { await setPref("spot", entry.record); go("pan"); } });
  return element;
}

export function holeScreen(key) {
  const record = key ? recordBy(key) : null;
  const body = record ? record.body : {};
  return form("hole", "hole opened", record, [
    field("Spot", select("spot", [["", "no spot"], ...spotOptions().filter(([value]) => value)], record ? body.spot : state.prefs.spot)),
    field("Site", select("site", siteOptions(), body.site), "Counts where no spot is chosen."),
    h("div", { class: "three" },
      field("Length", input("length", body.length, { inputmode: "decimal", placeholder: "m" })),
      field("Width", input("width", body.width, { inputmode: "decimal", placeholder: "m" })),
      field("Depth", input("depth", body.depth, { inputmode: "decimal", placeholder: "m" }))),
    field("Opened on", input("opened_on", body.opened_on || day(), { type: "date" })),
    record && field("Filled on", input("filled_on", body.filled_on, { type: "date" }), "Empty: still open."),
    field("Note", input("note", body.note, { maxlength: 4000 })),
    record && holeOpen(record) && button("Filled today", async () => { if (await fillHole(record)) go(""); }, { class: "wide" }),
  ]);
}

export const fillHole = record => changeNow(record, () => ({ filled_on: day() }), () => "hole filled");

export function noteScreen(key) {
  const record = key ? recordBy(key) : null;
  const body = record ? record.body : {};
  return form("note", "note", record, [
    field("Note", h("textarea", { name: "text", required: true, maxlength: 4000, rows: 5 }, body.text || "")),
    field("Spot", select("spot", [["", "no spot"], ...spotOptions().filter(([value]) => value)], body.spot)),
    dayField(body),
  ]);
}

export function costScreen(key) {
  const record = key ? recordBy(key) : null;
  const body = record ? record.body : {};
  return form("cost", "cost", record, [
    field(`Amount (${state.bundle ? state.bundle.currency : ""})`, input("amount", body.amount, { required: true, inputmode: "decimal" })),
    field("What for", select("what", choices("what"), body.what || "fuel")),
    field("Paid by", select("paid_by", people("not noted"), body.paid_by ?? (trip() ? trip().me : ""))),
    field("Note", input("note", body.note, { maxlength: 200 })),
  ]);
}

export function hoursScreen(key) {
  const record = key ? recordBy(key) : null;
  const body = record ? record.body : {};
  return form("hours", "block of hours", record, [
    field("Activity", select("activity", choices("activity"), body.activity || "dig")),
    field("How long", input("minutes", body.minutes, { placeholder: "1:30", required: !body.started_at }),
      body.started_at ? "Empty: from the clock's start and end." : "For example 1:30 or 45 min."),
    field("Who", select("person", people("everybody on the trip"), body.person ?? "")),
    dayField(body),
    field("Note", input("note", body.note, { maxlength: 200 })),
  ]);
}
