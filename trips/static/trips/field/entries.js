// Entries and what they come to. Pure: no page, no database, no clock but the given one.
// An entry never changes; a correction or removal is another entry that names all it replaces.

import { t } from "./speak.js";

export const WAITING = "waiting", SENT = "sent", LOOK = "look", DIFFERS = "differs", REFUSED = "refused";
export const SETTLED = "settled";  // can't be stored, and was kept again as another entry

export function makeEntry({ id, at, kind, party, trip, body, record = null, removed = false }) {
  return {
    id, kind, party, removed,
    record: record ? record.key : id,
    trip: trip || null,
    replaces: record ? record.versions : [],
    base: record ? record.base : "",
    at: record && record.at ? record.at : at,
    made: at,
    body,
    status: WAITING,
    reason: "",
  };
}

// What goes to the server or into a file: the entry without the phone's own bookkeeping.
export const wire = ({ id, record, kind, trip, replaces, base, removed, at, body }) =>
  ({ id, record, kind, trip, replaces, base, removed, at, body });

const later = (a, b) => (a.made < b.made || (a.made === b.made && a.id < b.id) ? b : a);

// Every record as it stands: this phone's entries over what the server told last.
export function fold(entries, bundle) {
  const told = new Map((bundle ? bundle.records : []).map(record => [record.record, record]));
  const groups = new Map();
  for (const entry of entries) {
    if (!groups.has(entry.record)) groups.set(entry.record, []);
    groups.get(entry.record).push(entry);
  }
  const records = [];
  for (const [key, own] of groups) {
    const record = folded(key, own, told.get(key), bundle);
    if (record) records.push(record);
    told.delete(key);
  }
  for (const [key, record] of told) {
    records.push({
      key, kind: record.kind, trip: record.trip, at: record.at, body: record.body, made: record.at,
      versions: record.versions, base: record.base, status: SENT, reason: "", here: false,
    });
  }
  return records.sort((a, b) => ((a.at || "") < (b.at || "") ? 1 : -1));
}

function folded(key, own, told, bundle) {
  const gone = new Set(own.flatMap(entry => entry.replaces));
  const heads = own.filter(entry => !gone.has(entry.id));
  const head = (heads.length ? heads : own).reduce(later);
  const known = new Set(told ? told.versions : []);
  const newer = own.filter(entry => !known.has(entry.id));
  const unsent = own.find(entry => entry.status !== SENT && (entry.status === WAITING || !gone.has(entry.id)));
  const base = {
    key, kind: head.kind, trip: head.trip, at: head.at, made: head.made, entry: head.id,
    versions: [...new Set([...known, ...own.map(entry => entry.id)])],
    base: told ? told.base : "",
    status: unsent ? (own.find(entry => ![SENT, WAITING].includes(entry.status) && !gone.has(entry.id)) || unsent).status : SENT,
    reason: unsent ? own.map(entry => entry.reason).filter(Boolean).join(" ") : "",
    here: true,
  };
  // The server knows all that this phone has said: what it tells is the newest.
  if (told && !newer.length) return { ...base, body: told.body, trip: told.trip || head.trip };
  if (head.removed) return null;
  if (!told && !unsent && deletedThere(head, bundle)) return null;
  return { ...base, body: head.body };
}

// A record that was sent and isn't told any more was removed on the desk or by the other phone.
function deletedThere(head, bundle) {
  if (!bundle || head.kind === "spot" || isRunning(head)) return false;
  const tripTold = head.trip === null || bundle.trips.some(trip => trip.uuid === head.trip);
  return tripTold && Boolean(head.sent_at) && bundle.made_at > head.sent_at && !bundle.looks[head.record];
}

export const isRunning = record =>
  record.kind === "hours" && Boolean(record.body.started_at) && !record.body.ended_at && !record.body.minutes;
export const runOpen = record =>
  record.kind === "run" && Boolean(record.body.started_at) && !record.body.ended_at && !record.body.minutes;
export const holeOpen = record => record.kind === "hole" && !record.body.filled_on;

export function counts(body) {
  const parts = ["coarse", "medium", "fine"].map(name => body[name]);
  if (parts.every(part => part === null || part === undefined || part === "")) return t("not counted");
  return parts.map(part => (part === null || part === undefined || part === "" ? "–" : part)).join(" · ");
}

// Litres in a text such as "5.5 L" or "1,5 US gal"; null when it can't be told.
export function litres(text) {
  const found = /^\s*([\d.,]+)\s*(.*?)\s*$/.exec(text || "");
  if (!found) return null;
  const factor = { "": 1, l: 1, "us gal": 3.785411784, "imp gal": 4.54609 }[found[2].toLowerCase()];
  const number = Number(found[1].replace(",", "."));
  return factor === undefined || Number.isNaN(number) ? null : number * factor;
}
