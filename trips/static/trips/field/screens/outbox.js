// What waits, what was refused and how to mend it, and the ways out without a network.

import { button, h, say } from "../dom.js";
import { keepAndSay } from "../keeping.js";
import { makeFiles, offer } from "../savefile.js";
import { SETTLED } from "../entries.js";
import { askToPersist, mark, room } from "../store.js";
import { asking, day, recordBy, state, tripKey, waiting } from "../state.js";
import { clockFace } from "../time.js";
import { capital, entriesWords, words } from "../words.js";
import { again, go, signInLink, waitWords } from "../frame.js";

const ask = all => document.dispatchEvent(new CustomEvent("send", { detail: { all } }));

export function outboxScreen() {
  const sent = state.entries.filter(entry => entry.status === "sent").length;
  return [h("h1", {}, "Outbox"),
    h("p", { class: "lead", id: "state" }, `${capital(waitWords())}. ${state.link.text}`),
    state.link.kind === "signed-out" && signInLink(),
    h("div", { class: "keepbar still" },
      button("Send now", () => ask(false), { class: "primary" }),
      button("Save everything as a file", saveFiles),
      button("Send everything again", () => ask(true))),
    h("p", { class: "hint" }, "Sending again is safe any time: nothing is stored twice. It is the cure after the record was brought back from an older backup."),
    asks(), waits(), photos(), roomLines(), sent > 0 && h("p", { class: "hint" }, `Sent and still on this phone for 90 days: ${entriesWords(sent)}.`)];
}

function asks() {
  const list = asking();
  if (!list.length) return null;
  return h("section", {}, h("h2", {}, "Needs a look"), h("ul", { class: "plain" }, list.map(entry => h("li", { class: "panel" },
    h("p", {}, h("strong", {}, words(entry))), h("p", { class: "reason" }, entry.reason), mend(entry)))));
}

// "look" is stored on the server and can be settled there too; the other two are only here.
function mend(entry) {
  const change = recordBy(entry.record) && button("Change it", () => go(`${entry.kind}/${entry.record}`));
  const anew = button("Keep it as a new entry", () => keepAnew(entry));
  if (entry.status === "differs") return anew;
  if (entry.status === "refused") return change || anew;
  return h("div", { class: "two" }, change,
    entry.about === "trip" && tripKey() && button("Put it on this trip", () => moveHere(entry)));
}

async function moveHere(entry) {
  const record = recordBy(entry.record);
  if (!record) return;
  const body = { ...record.body, day: record.body.day ? day() : record.body.day };
  if (await keepAndSay(entry.kind, body, "on this trip", { record, onTrip: tripKey() })) again();
}

async function keepAnew(entry) {
  if (!(await keepAndSay(entry.kind, entry.body, "as a new entry", { onTrip: entry.trip }))) return;
  await mark([[entry.id, { status: SETTLED, reason: "" }]]);
  document.dispatchEvent(new Event("changed"));
}

function waits() {
  const list = waiting().slice(-200).reverse();
  if (!list.length) return null;
  return h("details", {}, h("summary", {}, `${entriesWords(waiting().length)} only on this phone`),
    h("ul", { class: "plain small" }, list.map(entry => h("li", {}, `${clockFace(entry.made)} ${words(entry)}${entry.removed ? " (removal)" : ""}`,
      entry.reason && h("span", { class: "reason" }, entry.reason)))));
}

function photos() {
  const held = state.photos.filter(photo => photo.blob);
  return held.length > 0 && h("p", {}, `${held.length} ${held.length === 1 ? "photo is" : "photos are"} only on this phone. `,
    button("Photos", () => go("photo")));
}

async function saveFiles() {
  const files = await makeFiles({
    entries: state.entries.filter(entry => entry.status !== SETTLED), photos: state.photos, device: state.device,
    party: state.bundle ? state.bundle.party.id : null,
  });
  files.forEach(offer);
  say(`${files.length === 1 ? "One file" : `${files.length} files (let the browser save them all)`} with ${entriesWords(state.entries.length)}. Import it on the desk under From the field.`);
}

function roomLines() {
  const { persisted, usage, quota } = state.room;
  const kept = { true: "The browser promised not to clear this page's data.", false: "The browser didn't promise to keep this page's data." }[String(persisted)] || "This browser doesn't say whether it keeps this page's data.";
  const size = usage && quota ? ` ${Math.ceil(usage / 1048576)} of ${Math.round(quota / 1048576)} MB used.` : "";
  return h("section", {}, h("h2", {}, "Room on this phone"), h("p", {}, kept + size),
    persisted === false && button("Ask the browser to keep it", async () => {
      const given = await askToPersist();
      state.room = await room();
      say(given ? "Promised." : "Refused. Add the page to the home screen and ask again; save a file now and then.");
      again();
    }));
}
