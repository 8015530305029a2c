// Photos: shrunk on the phone, kept in a store of their own until the server has them.

import { button, field, h, input, say, select } from "../dom.js";
import { NotAPhoto, position, shrink } from "../camera.js";
import { NOT_KEPT } from "../keeping.js";
import { dropPhoto, keepPhoto } from "../store.js";
import { ofTrip, reload, spotName, spots, state, tripKey } from "../state.js";
import { newId, nowText } from "../time.js";
import { words } from "../words.js";
import { again, refresh } from "../frame.js";

export function photoScreen() {
  const keepsPlace = Boolean(state.bundle && state.bundle.keeps_photo_place);
  const form = h("form", { class: "entry", onsubmit: event => { event.preventDefault(); keep(form, keepsPlace); } },
    h("h1", {}, "Photo"),
    field("Take or choose", h("input", { type: "file", name: "photo", accept: "image/*", capture: "environment", required: true })),
    field("Of what", select("of", [
      ["trip", "the trip"],
      ...ofTrip("hole").map(record => [`hole ${record.key}`, words(record)]),
      ...spots().map(spot => [`spot ${spot.uuid}`, `Spot ${spot.name}`]),
    ], state.prefs.spot ? `spot ${state.prefs.spot}` : "trip")),
    field("When", select("role", [["other", "while working"], ["before", "before the work"], ["after", "after the work"]], "other")),
    field("Caption", input("caption", "", { maxlength: 200 })),
    h("p", { class: "hint" }, keepsPlace
      ? "Your party keeps place and time of photos: both are sent along."
      : "Place and time are not kept with photos. A keeper can change that under Party."),
    h("div", { class: "keepbar" }, h("button", { class: "primary", type: "submit" }, "Keep")));
  const held = state.photos.filter(photo => photo.blob);
  return [form, held.length > 0 && h("section", {}, h("h2", {}, `${held.length} on this phone only`),
    h("ul", { class: "plain" }, held.map(photo => h("li", { class: "row" },
      h("span", {}, `${about(photo)}, ${Math.round(photo.blob.size / 1024)} kB`,
        photo.reason && h("span", { class: "reason" }, photo.reason)),
      photo.status === "refused" && button("Put on this trip", async () => {
        await keepPhoto({ ...photo, of: { kind: "trip", record: null }, trip: tripKey(), status: "waiting", reason: "" });
        await reload();
        again();
      }),
      button("Discard", async () => { await dropPhoto(photo.id); await reload(); say("Photo discarded."); again(); }, { class: "danger" })))))];
}

const about = photo => photo.caption
  || (photo.of.kind === "spot" ? `Photo of ${spotName(photo.of.record)}` : `Photo of the ${photo.of.kind}`);

async function keep(form, keepsPlace) {
  const file = form.elements.photo.files[0];
  if (!file) return;
  const [kind, record] = form.elements.of.value.split(" ");
  try {
    const { blob, width, height } = await shrink(file);
    const place = keepsPlace ? await position() : { lat: null };
    await keepPhoto({
      id: newId(), blob, width, height, status: "waiting", reason: "", trip: tripKey(),
      party: state.bundle ? state.bundle.party.id : null,
      of: { kind, record: record || null }, role: form.elements.role.value,
      caption: form.elements.caption.value.trim(), name: file.name.slice(0, 120),
      taken_at: keepsPlace ? nowText() : null, lat: place.lat || null, lon: place.lat ? place.lon : null,
    });
  } catch (problem) {
    if (problem instanceof NotAPhoto) say(problem.message);
    else { state.trouble = NOT_KEPT; say(NOT_KEPT); refresh(); }
    return;
  }
  await reload();
  say("Kept: photo.");
  again();
}
