// Sending and fetching. Whatever isn't a plain answer in JSON counts as "not sent": a sign-in page,
// a hotel's network, an error. Nothing is ever deleted here.

import * as store from "./store.js";
import { DIFFERS, LOOK, REFUSED, SENT, SETTLED, WAITING, wire } from "./entries.js";
import { nowText } from "./time.js";
import { refold, reload, state, toSend, trip } from "./state.js";
import { t } from "./speak.js";
import { inHand } from "./turns.js";

const AT_ONCE = 50;
const PATIENCE_MS = 20000;
const STATUS = { stored: SENT, already: SENT, look: LOOK, differs: DIFFERS, refused: REFUSED };
let busy = false, asked = false;

const address = name => document.body.dataset[name];

class NotSent extends Error {
  constructor(kind, text) { super(text); this.kind = kind; }
}

async function ask(url, options = {}) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE_MS);
  let response;
  try {
    response = await fetch(url, { credentials: "same-origin", cache: "no-store", signal: stop.signal, ...options });
  } catch {
    throw new NotSent("offline", t("No connection. Everything stays on this phone."));
  } finally { clearTimeout(timer); }
  if (response.redirected || response.url.includes(address("signIn"))) {
    throw new NotSent("signed-out", t("Signed out meanwhile. Sign in, then send. Everything stays on this phone."));
  }
  if (response.status === 503) throw new NotSent("busy", t("The server is busy just now. Everything stays on this phone and is sent again soon."));
  // These are about what was sent, not about who sent it or the way there.
  const kind = [400, 413, 500].includes(response.status) ? "this" : "refused";
  if (!/^application\/(geo\+)?json/.test(response.headers.get("Content-Type") || "")) {
    const text = {
      403: t("The server didn't take it: your role may only look, or the sign-in is too old. Sign in again."),
      413: t("The server takes nothing that large."),
      500: t("The server broke off over this."),
    }[response.status] || t("The answer wasn't from the record ({status}). Is this network asking you to sign in?", { status: response.status });
    throw new NotSent(kind, text);
  }
  const body = await response.json().catch(() => { throw new NotSent("refused", t("The answer broke off.")); });
  if (!response.ok) throw new NotSent(kind, body.refused || t("The server said {status}.", { status: response.status }));
  return body;
}

// One sender at a time, over all tabs where the browser can. Whoever asks meanwhile isn't forgotten:
// the running one may have failed, or may have been past its sending when something new was kept.
async function alone(work) {
  if (busy) { asked = true; return; }
  busy = true;
  try {
    do {
      asked = false;
      await inTurn(work);
      await reload();
    } while (asked && (toSend() || state.link.kind === "offline"));
  } finally { busy = false; }
}

// After the other tab; one that takes too long is left to it.
async function inTurn(work) {
  if (!navigator.locks) { await work(); return; }
  const patience = new AbortController();
  const timer = setTimeout(() => patience.abort(), PATIENCE_MS);
  try {
    await navigator.locks.request("gravel-field-send", { signal: patience.signal }, () => { clearTimeout(timer); return work(); });
  } catch (problem) {
    if (problem.name !== "AbortError") throw problem;
  } finally { clearTimeout(timer); }
}

// Send what waits and fetch what is new. `all`: everything again, which is safe any time.
export async function sendAll({ all = false } = {}) {
  await alone(async () => {
    try {
      const hello = await ask(address("hello"));
      await reload();
      if (hello.role === "reader") throw new NotSent("refused", t("Your role here is reader: it may look but not send. Everything stays on this phone."));
      await sendEntries(hello, all);
      await sendPhotos(hello);
      await fetchBundle();
      const others = state.entries.filter(entry => entry.status === WAITING && entry.party !== null && entry.party !== hello.party.id);
      state.link = others.length
        ? { kind: "other", text: t("{length} entries were made for another record than {name}. Change to theirs on the desk, then send again.", { length: others.length, name: hello.party.name }) }
        : { kind: "sent", text: t("Last sent and fetched at {new}.", { new: new Date().toTimeString().slice(0, 5) }) };
    } catch (problem) {
      if (!(problem instanceof NotSent)) throw problem;
      state.link = { kind: problem.kind, text: problem.message };
    }
  });
  await reload();
}

async function sendEntries(hello, all) {
  const mine = state.entries
    .filter(entry => (entry.party === null || entry.party === hello.party.id) && (entry.status === WAITING || (all && entry.status !== SETTLED)))
    .sort((a, b) => (a.made < b.made ? -1 : 1));
  for (let first = 0; first < mine.length; first += AT_ONCE) {
    const part = mine.slice(first, first + AT_ONCE);
    try {
      await sendPart(hello, part);
    } catch (problem) {
      if (problem.kind !== "this") throw problem;
      await oneByOne(hello, part);
    }
  }
}

// A part was refused as a whole: one entry mustn't hold up the others, so each goes alone.
async function oneByOne(hello, part) {
  let refused = 0, taken = 0;
  for (const entry of part) {
    try {
      await sendPart(hello, [entry]);
      taken += 1;
    } catch (problem) {
      if (problem.kind !== "this") throw problem;
      refused += 1;
      // Three and none taken: it is the server and no entry. All of them wait.
      if (refused === 3 && !taken) throw problem;
      await store.mark([[entry.id, { reason: t("{message} It stays here and is tried again; save everything as a file meanwhile.", { message: problem.message }) }]]);
    }
  }
}

async function sendPart(hello, part) {
  const body = await ask(address("sync"), {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRFToken": hello.csrf },
    body: JSON.stringify({ device: state.device, party: hello.party.id, sent_at: nowText(), entries: part.map(wire) }),
  });
  // Only what the answer names counts as sent.
  const named = new Map((body.answers || []).map(answer => [answer.id, answer]));
  const marks = part.filter(entry => STATUS[named.get(entry.id)?.answer]).map(entry => {
    const answer = named.get(entry.id);
    return [entry.id, {
      status: STATUS[answer.answer], reason: answer.reason || "", about: answer.about || "",
      sent_at: nowText(), party: hello.party.id,
    }];
  });
  await store.mark(marks);
  state.clock = body.clock || "";
}

async function sendPhotos(hello) {
  if (!address("photo")) return;
  for (const { id } of await store.allPhotos()) await inHand(`photo-${id}`, () => sendPhoto(hello, id));
}

// As it stands when its turn comes: what is said of it may have been changed meanwhile.
async function sendPhoto(hello, id) {
  const photo = await store.onePhoto(id);
  if (!photo || photo.status !== WAITING || (photo.party !== null && photo.party !== hello.party.id)) return;
  const form = new FormData();
  const { blob, ...about } = photo;
  form.append("about", JSON.stringify(about));
  form.append("photo", blob, "photo.jpg");
  let body;
  try {
    body = await ask(address("photo"), { method: "POST", headers: { "X-CSRFToken": hello.csrf }, body: form });
  } catch (problem) {
    if (problem.kind !== "this") throw problem;
    body = { answer: "", reason: t("{message} It stays here and is tried again.", { message: problem.message }) };
  }
  const status = STATUS[body.answer];
  // A sent photo's bytes are on the server; the phone keeps what it was, not the weight.
  if (status === SENT) await store.keepPhoto({ ...about, blob: null, status: SENT, sent_at: nowText() });
  else if (status) await store.keepPhoto({ ...photo, status, reason: body.reason });
  else await store.keepPhoto({ ...photo, reason: body.reason || "" });
  await reload();
}

async function fetchBundle() {
  const bundle = await ask(address("bundle"));
  state.bundle = bundle;
  await keepFetched("bundle", bundle);
  const settled = state.entries.filter(entry => entry.status === LOOK && !bundle.looks[entry.record]);
  if (settled.length) await store.mark(settled.map(entry => [entry.id, { status: SENT, reason: "" }]));
  state.allTables = await fetchBeside("tables", state.allTables, bundle);
  state.allMaps = await fetchBeside("maps", state.allMaps, bundle, "map");
  refold();
}

// Tables and maps of the trips: of the trip at hand always anew, of the others once, because making
// tables is work for the server.
async function fetchBeside(name, kept, bundle, link = name) {
  const now = trip();
  const found = {};
  for (const each of bundle.trips) {
    const old = kept[each.uuid];
    found[each.uuid] = old;
    if (!each[link] || (old && !(now && each.uuid === now.uuid))) continue;
    try {
      found[each.uuid] = await ask(each[link]);
    } catch (problem) {
      if (!(problem instanceof NotSent)) throw problem;  // the last ones stay
    }
  }
  await keepFetched(name, found);
  return found;
}

// What was fetched can be fetched again; what was written here comes first.
async function keepFetched(name, value) {
  try {
    await store.setMeta(name, value);
  } catch {
    state.trouble = t("The phone has no room for the trip that was just fetched: it is shown, but not kept. Your entries stay. Free some room, then fetch again.");
  }
}
