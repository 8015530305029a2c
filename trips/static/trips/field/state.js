// What the page knows: loaded once from the phone's database, changed only after it has changed.

import * as store from "./store.js";
import { fold, makeEntry, SETTLED, WAITING } from "./entries.js";
import { t } from "./speak.js";
import { dayFor, localDay, newId, nowText } from "./time.js";

export const state = {
  entries: [], photos: [], records: [], bundle: null, allTables: {}, allMaps: {}, device: "", prefs: {}, drafts: {},
  link: { kind: "unknown", text: "" }, clock: "", room: { persisted: null },
  trouble: "", offline: false, shell: false, update: false,
};
const KEEP_SENT_DAYS = 90;

export async function load() {
  const [meta, entries, photos] = await Promise.all([store.getMeta(), store.allEntries(), store.allPhotos()]);
  Object.assign(state, {
    entries, photos, bundle: meta.bundle || null, allTables: meta.tables || {}, allMaps: meta.maps || {},
    prefs: meta.prefs || {}, drafts: meta.drafts || {}, device: meta.device || "",
  });
  if (!state.device) {
    state.device = newId();
    await store.setMeta("device", state.device);
  }
  refold();
}

export async function forgetOldSent() {
  const limit = new Date(Date.now() - KEEP_SENT_DAYS * 86400000).toISOString();
  const old = state.entries.filter(entry => entry.status === "sent" && entry.sent_at < limit && entry.made < limit);
  if (!old.length) return;
  await store.dropEntries(old.map(entry => entry.id));
  state.entries = await store.allEntries();
  refold();
}

export function refold() {
  state.records = fold(state.entries.filter(mine), state.bundle);
}

const mine = entry => entry.status !== SETTLED && (!state.bundle || entry.party === null || entry.party === state.bundle.party.id);

export function trip() {
  const trips = state.bundle ? state.bundle.trips : [];
  const chosen = trips.find(each => each.uuid === state.prefs.trip);
  const now = today();
  return chosen || trips.find(each => each.state === "under_way")
    || trips.find(each => each.starts_on <= now && now <= each.ends_on) || trips[0] || null;
}

// The invented record is told for a day of its own.
export const today = () => (state.bundle && state.bundle.told_for) || localDay();
export const day = () => dayFor(trip(), today());
export const tripKey = () => (trip() ? trip().uuid : null);
export const ofTrip = kind => state.records.filter(record => record.kind === kind && record.trip === tripKey());

// Spots of the trip's sites first: those the server told of and those made on phones.
export function spots() {
  const made = state.records.filter(record => record.kind === "spot").map(record => ({
    uuid: record.key, site: record.body.site, name: record.body.name, feature: record.body.feature,
    lat: record.body.lat, lon: record.body.lon,
  }));
  const told = (state.bundle ? state.bundle.spots : []).filter(spot => !made.some(own => own.uuid === spot.uuid));
  const here = trip() ? trip().sites : [];
  const rank = spot => (here.includes(spot.site) ? here.indexOf(spot.site) : 99);
  return [...told, ...made].sort((a, b) => rank(a) - rank(b) || a.name.localeCompare(b.name));
}

// The tables of the trip at hand, and what a verdict at a spot needs.
export const tables = () => (trip() && state.allTables[trip().uuid]) || null;
export const placeOf = uuid => ({ spot: uuid, site: (spots().find(spot => spot.uuid === uuid) || {}).site });
// Overburden says nothing of what goes through the box, and the tables leave it out too.
export const pansAt = uuid => ofTrip("pan").filter(each => each.body.spot === uuid && each.body.layer !== "overburden");

export const spotName = uuid => (spots().find(spot => spot.uuid === uuid) || { name: t("a spot") }).name;
export const siteName = pk => ((state.bundle ? state.bundle.sites : []).find(site => site.pk === pk) || { name: t("a site") }).name;
export const recordBy = key => state.records.find(record => record.key === key);
export const waiting = () => state.entries.filter(entry => entry.status === WAITING);
// What a sending would move on. A photo that was answered (it waits for its hole, it broke the server
// off) goes along when somebody asks, not with every beat: each try costs its whole weight.
export const toSend = () => waiting().length + state.photos.filter(photo => photo.status === WAITING && !photo.reason).length;
export function asking() {
  const replaced = new Set(state.entries.flatMap(entry => entry.replaces));
  return state.entries.filter(entry => ["look", "differs", "refused"].includes(entry.status) && !replaced.has(entry.id));
}

// Write one entry; only when this returns may the page say "kept".
export async function keep(kind, body, { record = null, removed = false, at = null, onTrip } = {}) {
  const entry = makeEntry({
    id: newId(), at: at || nowText(), kind, body, record, removed,
    party: state.bundle ? state.bundle.party.id : null,
    trip: onTrip !== undefined ? onTrip : record ? record.trip : tripKey(),
  });
  await store.keepEntry(entry);
  state.entries = [...state.entries, entry];
  refold();
  return entry;
}

export async function reload() {
  [state.entries, state.photos] = await Promise.all([store.allEntries(), store.allPhotos()]);
  refold();
}

// Also what another tab has fetched.
export async function reloadAll() {
  state.bundle = (await store.getMeta()).bundle || null;
  await reload();
}

// What is handy but no fact: a phone too full to write it down says so at the next entry, and what
// was kept before it stays kept.
export function setPref(name, value) {
  state.prefs = { ...state.prefs, [name]: value };
  return store.setMeta("prefs", state.prefs).catch(() => {});
}

export function setDraft(place, value) {
  const { [place]: gone, ...others } = state.drafts;
  if (!gone && !value) return Promise.resolve();
  state.drafts = value ? { ...others, [place]: value } : others;
  return store.setMeta("drafts", state.drafts).catch(() => {});
}
