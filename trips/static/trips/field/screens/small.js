// Spots, holes, notes, costs and blocks of hours: short forms that all work alike.

import { button, field, h, input, say, select, values } from "../dom.js";
import { entryForm } from "../form.js";
import { position } from "../camera.js";
import { holeOpen } from "../entries.js";
import { changeNow, keepAndSay, remove } from "../keeping.js";
import { day, recordBy, setPref, siteName, state, trip } from "../state.js";
import { choices, words } from "../words.js";
import { go, spotOptions } from "../frame.js";
import { t } from "../speak.js";

function form(kind, title, record, parts, { after = () => go("") } = {}) {
  const keep = element => {
    const body = { ...(record ? record.body : {}), ...values(element) };
    return keepAndSay(kind, body, words({ kind, body }), { record });
  };
  return entryForm({ keep, after },
    h("h1", {}, record ? t("Change {title}", { title }) : title.charAt(0).toUpperCase() + title.slice(1)),
    parts,
    h("div", { class: "keepbar" },
      h("button", { class: "primary", type: "submit" }, record ? t("Keep the change") : t("Keep")),
      record && button(t("Remove"), async () => { if (await remove(record, words(record))) go(""); }, { class: "danger" })));
}

const siteOptions = () => {
  const first = trip() ? trip().sites : [];
  const rest = (state.bundle ? state.bundle.sites : []).map(site => site.pk).filter(pk => !first.includes(pk));
  return [...first, ...rest].map(pk => [pk, siteName(pk)]);
};
const dayField = body => field(t("Day"), input("day", (body && body.day) || day(), { type: "date" }));
const people = empty => [["", empty], ...(trip() ? trip().people : [])];

export function spotScreen(key) {
  const record = key ? recordBy(key) : null;
  const body = record ? record.body : {};
  const element = form("spot", t("new spot"), record, [
    field(t("Name"), input("name", body.name, { required: true, maxlength: 120 })),
    field(t("What it is"), select("feature", choices("feature"), body.feature || "other")),
    field(t("Site"), select("site", siteOptions(), body.site)),
    h("div", { class: "three" },
      field(t("Latitude"), input("lat", body.lat, { inputmode: "decimal" })),
      field(t("Longitude"), input("lon", body.lon, { inputmode: "decimal" }))),
    button(t("Take the phone's position"), async () => {
      say(t("Looking for the position …"));
      const found = await position();
      if (found.lat === null) { say(found.reason); return; }
      element.elements.lat.value = found.lat;
      element.elements.lon.value = found.lon;
      say(t("Position taken, within about {within_m} m.", { within_m: found.within_m }));
    }),
  ], { after: async entry => { await setPref("spot", entry.record); go("pan"); } });
  return element;
}

export function holeScreen(key) {
  const record = key ? recordBy(key) : null;
  const body = record ? record.body : {};
  return form("hole", t("hole opened"), record, [
    field(t("Spot"), select("spot", [["", t("no spot")], ...spotOptions().filter(([value]) => value)], record ? body.spot : state.prefs.spot)),
    field(t("Site"), select("site", siteOptions(), body.site), t("Counts where no spot is chosen.")),
    h("div", { class: "three" },
      field(t("Length"), input("length", body.length, { inputmode: "decimal", placeholder: "m" })),
      field(t("Width"), input("width", body.width, { inputmode: "decimal", placeholder: "m" })),
      field(t("Depth"), input("depth", body.depth, { inputmode: "decimal", placeholder: "m" }))),
    field(t("Opened on"), input("opened_on", body.opened_on || day(), { type: "date" })),
    record && field(t("Filled on"), input("filled_on", body.filled_on, { type: "date" }), t("Empty: still open.")),
    field(t("Note"), input("note", body.note, { maxlength: 4000 })),
    record && holeOpen(record) && button(t("Filled today"), async () => { if (await fillHole(record)) go(""); }, { class: "wide" }),
  ]);
}

export const fillHole = record => changeNow(record, () => ({ filled_on: day() }), () => t("hole filled"));

export function noteScreen(key) {
  const record = key ? recordBy(key) : null;
  const body = record ? record.body : {};
  return form("note", t("note"), record, [
    field(t("Note"), h("textarea", { name: "text", required: true, maxlength: 4000, rows: 5 }, body.text || "")),
    field(t("Spot"), select("spot", [["", t("no spot")], ...spotOptions().filter(([value]) => value)], body.spot)),
    dayField(body),
  ]);
}

export function costScreen(key) {
  const record = key ? recordBy(key) : null;
  const body = record ? record.body : {};
  return form("cost", t("cost"), record, [
    field(t("Amount ({bundle})", { bundle: state.bundle ? state.bundle.currency : "" }), input("amount", body.amount, { required: true, inputmode: "decimal" })),
    field(t("What for"), select("what", choices("what"), body.what || "fuel")),
    field(t("Paid by"), select("paid_by", people(t("not noted")), body.paid_by ?? (trip() ? trip().me : ""))),
    field(t("Note"), input("note", body.note, { maxlength: 200 })),
  ]);
}

export function hoursScreen(key) {
  const record = key ? recordBy(key) : null;
  const body = record ? record.body : {};
  return form("hours", t("block of hours"), record, [
    field(t("Activity"), select("activity", choices("activity"), body.activity || "dig")),
    field(t("How long"), input("minutes", body.minutes, { placeholder: "1:30", required: !body.started_at }),
      body.started_at ? t("Empty: from the clock's start and end.") : t("For example 1:30 or 45 min.")),
    field(t("Who"), select("person", people(t("everybody on the trip")), body.person ?? "")),
    dayField(body),
    field(t("Note"), input("note", body.note, { maxlength: 200 })),
  ]);
}
