// Test pans: big counters, litres and layer kept from the last pan, one tap to keep.

import { button, field, h, input, select, values } from "../dom.js";
import { entryForm, hasSpot } from "../form.js";
import { keepAndSay, remove } from "../keeping.js";
import { verdict } from "../lookup.js";
import { day, pansAt, placeOf, recordBy, setPref, state, tables } from "../state.js";
import { choices, words } from "../words.js";
import { again, go, spotOptions } from "../frame.js";
import { t } from "../speak.js";

export const CLASSES = [["coarse", t("Coarse")], ["medium", t("Medium")], ["fine", t("Fine")]];

export function panScreen(key) {
  const record = key ? recordBy(key) : null;
  if (key && !record) return h("p", {}, t("This test pan isn't here any more."));
  const start = record ? record.body : fresh();
  const place = field(t("Spot"), select("spot", spotOptions(), start.spot || state.prefs.spot || "", { required: true, onchange: event => { if (!record) setPref("spot", event.target.value); showVerdict(); } }));
  place.classList.add("beside");
  const form = entryForm({ keep: element => keepPan(element, record), after: () => (record ? go("") : again()) },
    h("h1", { class: record ? "" : "unseen" }, record ? t("Change test pan") : t("Test pan")),
    !record && h("p", { class: "verdict", id: "verdict" }),
    place,
    counters(start),
    h("div", { class: "three" },
      field(t("Gravel"), input("volume", start.volume, { inputmode: "decimal" })),
      field(t("Layer"), select("layer", choices("layer"), start.layer)),
      field(t("Depth"), input("depth", start.depth, { inputmode: "decimal", placeholder: "cm" }))),
    more(record, start),
    h("div", { class: "keepbar" },
      h("button", { class: "primary", type: "submit" }, record ? t("Keep the change") : t("Keep")),
      button(t("Keep, rest are 0"), () => { if (hasSpot(form)) { zeros(form); form.keepIt(); } }),
      record && button(t("Remove"), async () => { if (await remove(record, words(record))) go(""); }, { class: "danger" })));
  const showVerdict = () => {
    const shown = form.querySelector("#verdict");
    if (!shown) return;
    const spot = form.elements.spot.value;
    const said = spot ? verdict(tables(), placeOf(spot), pansAt(spot)) : NO_SPOT;
    shown.replaceChildren(...saidParts(said));
    shown.className = `verdict ${said.word}`;
  };
  showVerdict();
  return form;
}

const NO_SPOT = { word: "", said: t("Choose the spot"), why: t("What to do next is looked up for it.") };

// The word to act on in bold, what it rests on after it.
export const saidParts = ({ said, why }) => [h("strong", {}, said && `${said}. `), h("span", {}, why)];

const fresh = () => ({
  spot: state.prefs.spot, layer: state.prefs.layer || "gravel", depth: state.prefs.depth || null,
  volume: state.prefs.volume || (state.bundle && state.bundle.pan ? `${state.bundle.pan} ${state.bundle.volume_unit}` : null),
});

function more(record, start) {
  return h("details", { open: Boolean(start.note || start.mass) }, h("summary", {}, t("Note, weight, day")),
    field(t("Note"), input("note", start.note, { maxlength: 200 })),
    field(t("Weighed alone"), input("mass", start.mass, { inputmode: "decimal", placeholder: "mg" })),
    field(t("Day"), input("day", start.day || day(), { type: "date" })));
}

// One row a class: − and + for the thumb, the number itself for a keyboard, and "not counted".
export function counters(body) {
  const rows = CLASSES.map(([name, title]) => {
    const box = input(name, body[name], { inputmode: "numeric", placeholder: t("not counted"), "aria-label": t("{title} colours", { title }) });
    const set = text => { box.value = text; box.dispatchEvent(new Event("input", { bubbles: true })); };
    const step = by => set(String(Math.max(0, (Number.parseInt(box.value, 10) || 0) + by)));
    const meant = state.bundle ? state.bundle.words[name] : "";
    return h("div", { class: "counter", role: "group", "aria-label": `${title}: ${meant}` },
      h("p", { class: "class" }, h("strong", {}, title), " ", h("span", { class: "hint" }, meant)),
      button("−", () => step(-1), { class: "step", "aria-label": t("One {name} fewer", { name: title.toLowerCase() }), "data-repeats": true }),
      box,
      button("+", () => step(1), { class: "step plus", "aria-label": t("One {name} more", { name: title.toLowerCase() }), "data-repeats": true }),
      button(t("Not counted"), () => set(""), { class: "unset", "aria-label": t("{title} not counted", { title }) }));
  });
  return h("fieldset", { class: "counters" }, h("legend", { class: "unseen" }, t("Colours")), rows);
}

export function zeros(form) {
  for (const [name] of CLASSES) if (form.elements[name].value.trim() === "") form.elements[name].value = "0";
}

// The next pan starts where this one ended, with nothing counted.
async function keepPan(form, record) {
  if (!hasSpot(form)) return null;
  const body = { day: day(), ...values(form) };
  const entry = await keepAndSay("pan", body, words({ kind: "pan", body }).replace(t("Test pan"), t("test pan")), { record });
  if (entry && !record) {
    await Promise.all(["volume", "layer", "depth", "spot"].map(name => setPref(name, body[name])));
  }
  return entry;
}
