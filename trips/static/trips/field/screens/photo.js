// Photos: shrunk on the phone, kept in a store of their own until the server has them. What is said
// of one can be changed before it is sent and after; taking a sent one away is an entry like any other.

import { button, field, h, input, say, select, whileBusy } from "../dom.js";
import { entryForm } from "../form.js";
import { NotAPhoto, position, shrink } from "../camera.js";
import { NOT_KEPT, keepAndSay, remove } from "../keeping.js";
import { dropPhoto, keepPhoto } from "../store.js";
import { ofTrip, recordBy, reload, reloadAll, spots, state, tripKey } from "../state.js";
import { newId, nowText } from "../time.js";
import { choices, STATUS, words } from "../words.js";
import { again, go, refresh } from "../frame.js";
import { t } from "../speak.js";
import { inHand, TAKEN } from "../turns.js";

export function photoScreen(key) {
  const held = key && state.photos.find(photo => photo.id === key && photo.blob);
  if (held) return heldForm(held);
  const record = key ? recordBy(key) : null;
  if (record) return sentForm(record);
  return key ? h("p", {}, t("This photo isn't here any more.")) : newForm();
}

const NOT_TOLD = [["other", t("while working")], ["before", t("before the work")], ["after", t("after the work")]];
const about = (body, title) => [
  field(t("Of what"), select("of", showable(body.of), body.of)),
  field(t("When"), select("role", choices("role").length ? choices("role") : NOT_TOLD, body.role || "other")),
  field(title, input("caption", body.caption, { maxlength: 200 })),
];

// The trip, its holes and the spots; whatever a photo shows already stays among them.
function showable(chosen) {
  const list = [
    ["trip", t("the trip")],
    ...ofTrip("hole").concat(state.records.filter(record => record.kind === "hole" && record.trip !== tripKey()))
      .map(record => [`hole ${record.key}`, words(record)]),
    ...spots().map(spot => [`spot ${spot.uuid}`, t("Spot {name}", { name: spot.name })]),
  ];
  return !chosen || list.some(([value]) => value === chosen) ? list : [...list, [chosen, t("as it is")]];
}

function newForm() {
  const keepsPlace = Boolean(state.bundle && state.bundle.keeps_photo_place);
  // Looked for while the picture is being taken: under trees it takes half a minute.
  const place = keepsPlace ? position() : null;
  const form = entryForm({ keep: element => whileBusy(() => keep(element, place)), after: () => again() },
    h("h1", {}, t("Photo")),
    field(t("Take or choose"), h("input", { type: "file", name: "photo", accept: "image/*", capture: "environment", required: true })),
    about({ of: state.prefs.spot ? `spot ${state.prefs.spot}` : "trip" }, t("Caption")),
    h("p", { class: "hint" }, keepsPlace
      ? t("Your party keeps place and time of photos: both are sent along.")
      : t("Place and time are not kept with photos. A keeper can change that under Party.")),
    h("div", { class: "keepbar" }, h("button", { class: "primary", type: "submit" }, t("Keep"))));
  const held = state.photos.filter(photo => photo.blob);
  const sent = state.records.filter(record => record.kind === "photo");
  return [form, held.length > 0 && h("section", {}, h("h2", {}, t("{length} on this phone only", { length: held.length })),
    h("ul", { class: "plain records" }, held.map(photo => line(photo.id, { kind: "photo", body: bodyOf(photo) },
      `${Math.round(photo.blob.size / 1024)} kB`, photo.reason)))),
  sent.length > 0 && h("section", {}, h("h2", {}, t("Sent ({length})", { length: sent.length })),
    h("ul", { class: "plain records" }, sent.map(record => line(record.key, record, STATUS[record.status], record.reason))))];
}

const line = (key, record, hint, reason) => h("li", {},
  h("button", { type: "button", class: `record ${record.status || ""}`, onclick: () => go(`photo/${key}`) },
    h("span", {}, words(record), reason && h("span", { class: "reason" }, reason)), h("span", { class: "hint" }, hint)));

const bodyOf = photo => ({ caption: photo.caption, role: photo.role, of: photo.of.record ? `${photo.of.kind} ${photo.of.record}` : photo.of.kind });
const said = form => ({ caption: form.elements.caption.value.trim(), role: form.elements.role.value, of: form.elements.of.value });
const shown = of => { const [kind, record] = of.split(" "); return { kind, record: record || null }; };

// Only on this phone: nothing was sent yet, so there is nothing to correct elsewhere. Another tab may
// change, send or discard it while this form is open: what it holds is asked for before each step.
function heldForm(photo) {
  const meanwhile = h("p", { class: "warning", hidden: true });
  let seen = bodyOf(photo);
  const now = async () => {
    await reloadAll();
    const record = recordBy(photo.id);
    const held = state.photos.find(each => each.id === photo.id);
    return { record, held: held && held.blob ? held : null, body: record ? record.body : held && bodyOf(held) };
  };
  const isStill = body => ["caption", "role", "of"].every(name => (body[name] || "") === (seen[name] || ""));
  const tell = text => { meanwhile.textContent = text; meanwhile.hidden = false; say(text); };
  const onItsWay = answer => {
    if (answer === TAKEN) say(t("This photo is just being sent. Try again in a moment."));
    return answer === TAKEN ? null : answer;
  };
  const change = async form => onItsWay(await inHand(`photo-${photo.id}`, async () => {
    const { record, held, body } = await now();
    if (!body) { tell(t("This photo was discarded in another tab; nothing is left to change.")); return null; }
    if (!isStill(body)) {
      seen = body;
      tell(t("Not kept yet: another tab changed this photo meanwhile. There it says “{caption}”, {of}. Keep again, and what stands here is kept.", {
        caption: body.caption || "", of: (showable(body.of).find(([value]) => value === body.of) || ["", ""])[1],
      }));
      return null;
    }
    // Sent since this form was opened: from here on a change is an entry.
    if (record) return keepAndSay("photo", said(form), t("the change of a photo"), { record });
    if (!held) { tell(t("Not kept yet: this photo was sent meanwhile. Send and fetch, then keep again.")); return null; }
    const { of, caption, role } = said(form);
    const changed = { ...held, caption, role, of: shown(of), trip: of === "trip" ? tripKey() : held.trip, status: "waiting", reason: "" };
    if (!(await stored(changed))) return null;
    say(t("Kept: the change of a photo."));
    document.dispatchEvent(new Event("send"));
    return changed;
  }));
  const discard = async () => onItsWay(await inHand(`photo-${photo.id}`, async () => {
    const { held, body } = await now();
    if (body && !held) { tell(t("Not discarded: this photo was sent meanwhile. Open it under “Sent” to remove it.")); return null; }
    await dropPhoto(photo.id);
    await reload();
    say(t("Photo discarded."));
    go("");
    return null;
  }));
  return entryForm({ keep: change, after: () => go("") },
    h("h1", {}, t("Change photo")), photo.reason && h("p", { class: "reason" }, photo.reason), meanwhile,
    about(bodyOf(photo), t("Caption")),
    h("div", { class: "keepbar" }, h("button", { class: "primary", type: "submit" }, t("Keep the change")),
      button(t("Discard"), discard, { class: "danger" })));
}

function sentForm(record) {
  const change = form => {
    const body = said(form);
    const onTrip = body.of === "trip" && !record.trip ? tripKey() : record.trip;
    return keepAndSay("photo", body, t("the change of a photo"), { record, onTrip });
  };
  return entryForm({ keep: change, after: () => go("") },
    h("h1", {}, t("Change photo")), record.reason && h("p", { class: "reason" }, record.reason),
    about(record.body, t("Caption")),
    h("p", { class: "hint" }, t("The picture itself is in the record. Removed from here it goes there too; for a month it can be brought back on the desk, under Deleted.")),
    h("div", { class: "keepbar" }, h("button", { class: "primary", type: "submit" }, t("Keep the change")),
      button(t("Remove"), async () => {
        if (!(await remove(record, words(record)))) return;
        await dropPhoto(record.key);
        await reload();
        go("");
      }, { class: "danger" })));
}

async function stored(photo) {
  try {
    await keepPhoto(photo);
  } catch {
    state.trouble = NOT_KEPT;
    say(t("NOT kept. Write it on paper now."));
    refresh();
    return false;
  }
  await reload();
  return true;
}

async function keep(form, place) {
  const file = form.elements.photo.files[0];
  if (!file) return null;
  const { of, caption, role } = said(form);
  let photo;
  try {
    say(t("Keeping the photo …"));
    const { blob, width, height } = await shrink(file);
    const where = (await place) || { lat: null };
    photo = {
      id: newId(), blob, width, height, status: "waiting", reason: "", trip: tripKey(),
      party: state.bundle ? state.bundle.party.id : null,
      of: shown(of), role, caption, name: file.name.slice(0, 120),
      taken_at: place ? nowText() : null, lat: where.lat || null, lon: where.lat ? where.lon : null,
    };
    if (!(await stored(photo))) return null;
    say(place && !where.lat ? t("Kept: photo, without its place. {reason}", { reason: where.reason }) : t("Kept: photo."));
  } catch (problem) {
    say(problem instanceof NotAPhoto ? problem.message : NOT_KEPT);
    return null;
  }
  document.dispatchEvent(new Event("send"));
  return photo;
}
