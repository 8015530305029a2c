// A form of one entry. However often its button is pressed it is kept once; half filled in, it
// outlives a dead battery and a tap on "Back".

import { button, h, say } from "./dom.js";
import { again } from "./frame.js";
import { setDraft, state } from "./state.js";
import { t } from "./speak.js";

const screen = () => location.hash.slice(1);
const typed = form => [...form.elements].filter(each => each.name && each.type !== "file");

// `keep` gives something true when it is kept, then `after` says where to go. `form.keepIt()` is
// what the submitting button does, for buttons beside it; `form.isTouched()` whether drawing it anew
// would take something from under the thumbs.
export function entryForm({ keep, after }, ...children) {
  const form = h("form", { class: "entry" }, ...children);
  const place = screen();
  let busy = false;
  form.keepIt = async () => {
    if (busy) return;
    busy = true;
    try {
      const entry = await keep(form);
      if (!entry) return;
      await setDraft(place, null);
      after(entry);
    } finally { busy = false; }
  };
  form.addEventListener("submit", event => { event.preventDefault(); form.keepIt(); });
  form.isTouched = () => busy || form.contains(document.activeElement)
    || [...form.elements].some(each => each.name && each.value !== (drawn.get(each.name) ?? ""));
  const drawn = new Map(typed(form).map(each => [each.name, each.value]));
  if (goOn(form, state.drafts[place])) form.prepend(leftOff(place));
  // Only what was touched is a draft: the rest may be told anew meanwhile.
  form.addEventListener("input", () => {
    const touched = typed(form).filter(each => each.value !== drawn.get(each.name));
    setDraft(place, touched.length ? Object.fromEntries(touched.map(each => [each.name, each.value])) : null);
  });
  return form;
}

function goOn(form, draft) {
  const known = Object.entries(draft || {}).filter(([name, value]) => form.elements[name] && value !== null);
  for (const [name, value] of known) form.elements[name].value = value;
  return known.length > 0;
}

const leftOff = place => h("p", { class: "warning" }, t("Not kept yet: you go on where you left off. "),
  button(t("Start afresh"), async () => { await setDraft(place, null); again(); }));

// A spot has to be chosen; said aloud, because the select may lie above the screen.
export function hasSpot(form) {
  if (form.elements.spot.value) return true;
  form.elements.spot.focus();
  say(t("Not kept yet: choose the spot first. “New” on the first screen adds one."));
  return false;
}
