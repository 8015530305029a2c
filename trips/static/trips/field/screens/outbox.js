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
import { many, t } from "../speak.js";

const ask = all => document.dispatchEvent(new CustomEvent("send", { detail: { all } }));

export function outboxScreen() {
  const sent = state.entries.filter(entry => entry.status === "sent").length;
  return [h("h1", {}, t("Outbox")),
    h("p", { class: "lead", id: "state" }, `${capital(waitWords())}. ${state.link.text}`),
    state.link.kind === "signed-out" && signInLink(),
    h("div", { class: "keepbar still" },
      button(t("Send now"), () => ask(false), { class: "primary" }),
      button(t("Save everything as a file"), saveFiles),
      button(t("Send everything again"), () => ask(true))),
    h("p", { class: "hint" }, t("Sending again is safe any time: nothing is stored twice. It is the cure after the record was brought back from an older backup.")),
    asks(), waits(), photos(), roomLines(), sent > 0 && h("p", { class: "hint" }, t("Sent and still on this phone for 90 days: {sent}.", { sent: entriesWords(sent) }))];
}

function asks() {
  const list = asking();
  if (!list.length) return null;
  return h("section", {}, h("h2", {}, t("Needs a look")), h("ul", { class: "plain" }, list.map(entry => h("li", { class: "panel" },
    h("p", {}, h("strong", {}, words(entry))), h("p", { class: "reason" }, entry.reason), mend(entry)))));
}

// "look" is stored on the server and can be settled there too; the other two are only here.
function mend(entry) {
  const change = recordBy(entry.record) && button(t("Change it"), () => go(`${entry.kind}/${entry.record}`));
  const anew = button(t("Keep it as a new entry"), () => keepAnew(entry));
  if (entry.status === "differs") return anew;
  if (entry.status === "refused") return change || anew;
  return h("div", { class: "two" }, change,
    entry.about === "trip" && tripKey() && button(t("Put it on this trip"), () => moveHere(entry)));
}

async function moveHere(entry) {
  const record = recordBy(entry.record);
  if (!record) return;
  const body = { ...record.body, day: record.body.day ? day() : record.body.day };
  if (await keepAndSay(entry.kind, body, t("on this trip"), { record, onTrip: tripKey() })) again();
}

async function keepAnew(entry) {
  if (!(await keepAndSay(entry.kind, entry.body, t("as a new entry"), { onTrip: entry.trip }))) return;
  await mark([[entry.id, { status: SETTLED, reason: "" }]]);
  document.dispatchEvent(new Event("changed"));
}

function waits() {
  const list = waiting().slice(-200).reverse();
  if (!list.length) return null;
  return h("details", {}, h("summary", {}, t("{entriesWords} only on this phone", { entriesWords: entriesWords(waiting().length) })),
    h("ul", { class: "plain small" }, list.map(entry => h("li", {}, `${clockFace(entry.made)} ${words(entry)}${entry.removed ? t(" (removal)") : ""}`,
      entry.reason && h("span", { class: "reason" }, entry.reason)))));
}

function photos() {
  const held = state.photos.filter(photo => photo.blob);
  return held.length > 0 && h("p", {}, many("{n} photo is only on this phone. ", "{n} photos are only on this phone. ", held.length),
    button(t("Photos"), () => go("photo")));
}

async function saveFiles() {
  const files = await makeFiles({
    entries: state.entries.filter(entry => entry.status !== SETTLED), photos: state.photos, device: state.device,
    party: state.bundle ? state.bundle.party.id : null,
  });
  files.forEach(offer);
  say(many("One file with {entries}. Import it on the desk under From the field.",
    "{n} files (let the browser save them all) with {entries}. Import it on the desk under From the field.",
    files.length, { entries: entriesWords(state.entries.length) }));
}

function roomLines() {
  const { persisted, usage, quota } = state.room;
  const kept = { true: t("The browser promised not to clear this page's data."), false: t("The browser didn't promise to keep this page's data.") }[String(persisted)] || t("This browser doesn't say whether it keeps this page's data.");
  const size = usage && quota ? t(" {usage} of {quota} MB used.", { usage: Math.ceil(usage / 1048576), quota: Math.round(quota / 1048576) }) : "";
  return h("section", {}, h("h2", {}, t("Room on this phone")), h("p", {}, kept + size),
    persisted === false && button(t("Ask the browser to keep it"), async () => {
      const given = await askToPersist();
      state.room = await room();
      say(given ? t("Promised.") : t("Refused. Add the page to the home screen and ask again; save a file now and then."));
      again();
    }));
}
