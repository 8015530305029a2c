// Test pans: big counters, litres and layer kept from the last pan, one tap to keep.

import { button, field, h, input, select, values } from "../dom.js";
import { keepAndSay, remove } from "../keeping.js";
import { verdict } from "../lookup.js";
import { day, pansAt, placeOf, recordBy, setDraft, setPref, state, tables } from "../state.js";
import { choices, words } from "../words.js";
import { again, go, spotOptions } from "../frame.js";

export const CLASSES = [["coarse", "Coarse"], ["medium", "Medium"], ["fine", "Fine"]];

export function panScreen(key) {
  const record = key ? recordBy(key) : null;
  if (key && !record) return h("p", {}, "This test pan isn't here any more.");
  const start = record ? record.body : fresh();
  const form = h("form", { class: "entry", onsubmit: event => { event.preventDefault(); keepPan(form, record); } },
    h("h1", {}, record ? "Change test pan" : "Test pan"),
    !record && h("p", { class: "verdict", id: "verdict" }),
    field("Spot", select("spot", spotOptions(), start.spot || state.prefs.spot || "", { required: true, onchange: event => { if (!record) setPref("spot", event.target.value); showVerdict(); } })),
    counters(start, record ? null : "pan"),
    h("div", { class: "three" },
      field("Gravel", input("volume", start.volume, { inputmode: "decimal" })),
      field("Layer", select("layer", choices("layer"), start.layer)),
      field("Depth", input("depth", start.depth, { inputmode: "decimal", placeholder: "cm" }))),
    more(record, start),
    h("div", { class: "keepbar" },
      h("button", { class: "primary", type: "submit" }, record ? "Keep the change" : "Keep"),
      button("Keep, rest are 0", () => { zeros(form); keepPan(form, record); }),
      record && button("Remove", async () => { if (await remove(record, words(record))) go(""); }, { class: "danger" })));
  const showVerdict = () => {
    const place = form.querySelector("#verdict");
    if (!place) return;
    const spot = form.elements.spot.value;
    const said = verdict(tables(), placeOf(spot), pansAt(spot));
    place.textContent = said.text;
    place.className = `verdict ${said.word}`;
  };
  showVerdict();
  return form;
}

const fresh = () => ({
  spot: state.prefs.spot, layer: state.prefs.layer || "gravel", depth: state.prefs.depth || null,
  volume: state.prefs.volume || (state.bundle && state.bundle.pan ? `${state.bundle.pan} ${state.bundle.volume_unit}` : null),
  ...(state.drafts.pan || {}),
});

function more(record, start) {
  return h("details", { open: Boolean(start.note || start.mass) }, h("summary", {}, "Note, weight, day"),
    field("Note", input("note", start.note, { maxlength: 200 })),
    field("Weighed alone", input("mass", start.mass, { inputmode: "decimal", placeholder: "mg" })),
    field("Day", input("day", start.day || day(), { type: "date" })));
}

// One row a class: − and + for the thumb, the number itself for a keyboard, and "not counted".
export function counters(body, draft = null) {
  const rows = CLASSES.map(([name, title]) => {
    const box = input(name, body[name], { inputmode: "numeric", placeholder: "not counted", "aria-label": `${title} colours` });
    const changed = () => { if (draft) setDraft(draft, kept(box.closest("form"))); };
    const step = by => { box.value = String(Math.max(0, (Number.parseInt(box.value, 10) || 0) + by)); changed(); };
    box.addEventListener("input", changed);
    const meant = state.bundle ? state.bundle.words[name] : "";
    return h("div", { class: "counter", role: "group", "aria-label": `${title}: ${meant}` },
      h("p", { class: "class" }, h("strong", {}, title), h("span", { class: "hint" }, meant)),
      button("−", () => step(-1), { class: "step", "aria-label": `One ${name} fewer` }),
      box,
      button("+", () => step(1), { class: "step plus", "aria-label": `One ${name} more` }),
      button("Not counted", () => { box.value = ""; changed(); }, { class: "unset", "aria-label": `${title} not counted` }));
  });
  return h("fieldset", { class: "counters" }, h("legend", {}, "Colours"), rows);
}

const kept = form => Object.fromEntries(CLASSES.map(([name]) => [name, form.elements[name].value || null]));

export function zeros(form) {
  for (const [name] of CLASSES) if (form.elements[name].value.trim() === "") form.elements[name].value = "0";
}

async function keepPan(form, record) {
  const body = { day: day(), ...values(form) };
  if (!body.spot) { form.elements.spot.focus(); return; }
  const done = await keepAndSay("pan", body, words({ kind: "pan", body }).replace("Test pan", "test pan"), { record });
  if (!done) return;
  if (record) { go(""); return; }
  // The next pan starts where this one ended, with nothing counted.
  await Promise.all([["volume", body.volume], ["layer", body.layer], ["depth", body.depth], ["spot", body.spot]]
    .map(([name, value]) => setPref(name, value)));
  await setDraft("pan", null);
  again();
}
