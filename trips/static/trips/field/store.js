// The phone's database. A promise from here is fulfilled only after its transaction has completed,
// written through to the disk where the browser can do that: only then may the page say "kept".

import { t } from "./speak.js";

const NAME = "gravel-field";
let opening = null;

function open() {
  opening = opening || new Promise((done, failed) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("entries", { keyPath: "id" });
      request.result.createObjectStore("meta", { keyPath: "name" });
      request.result.createObjectStore("photos", { keyPath: "id" });
    };
    request.onsuccess = () => {
      request.result.onversionchange = () => { request.result.close(); opening = null; };
      request.result.onclose = () => { opening = null; };
      done(request.result);
    };
    request.onerror = () => { opening = null; failed(request.error); };
  });
  return opening;
}

async function change(name, work) {
  const database = await open();
  return new Promise((done, failed) => {
    const transaction = database.transaction(name, "readwrite", { durability: "strict" });
    transaction.oncomplete = () => done();
    transaction.onerror = () => failed(transaction.error);
    transaction.onabort = () => failed(transaction.error || new Error(t("The write was broken off.")));
    work(transaction.objectStore(name));
  });
}

async function read(name, work) {
  const database = await open();
  return new Promise((done, failed) => {
    const request = work(database.transaction(name, "readonly").objectStore(name));
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
}

// An entry is added once and never overwritten by another of its id.
export const keepEntry = entry => change("entries", store => store.add(entry));
export const allEntries = () => read("entries", store => store.getAll());
export const keepPhoto = photo => change("photos", store => store.put(photo));
export const allPhotos = () => read("photos", store => store.getAll());
export const onePhoto = id => read("photos", store => store.get(id));
export const dropPhoto = id => change("photos", store => store.delete(id));
export const setMeta = (name, value) => change("meta", store => store.put({ name, value }));

export async function getMeta() {
  const rows = await read("meta", store => store.getAll());
  return Object.fromEntries(rows.map(row => [row.name, row.value]));
}

// What the server said of entries: their status changes, their content never.
export const mark = marks => change("entries", store => {
  for (const [id, status] of marks) {
    const request = store.get(id);
    request.onsuccess = () => { if (request.result) store.put({ ...request.result, ...status }); };
  }
});

export const dropEntries = ids => change("entries", store => ids.forEach(id => store.delete(id)));

// How much room is left, and whether the browser promised not to clear it. Never awaited before
// anything is shown: one browser waits here for the person's answer.
export async function room() {
  const found = { persisted: null, usage: null, quota: null };
  try {
    if (navigator.storage && navigator.storage.persisted) found.persisted = await navigator.storage.persisted();
    if (navigator.storage && navigator.storage.estimate) Object.assign(found, await navigator.storage.estimate());
  } catch { /* an answer that isn't given is not known */ }
  return { persisted: found.persisted, usage: found.usage, quota: found.quota };
}

export async function askToPersist() {
  if (!navigator.storage || !navigator.storage.persist) return null;
  try { return await navigator.storage.persist(); } catch { return null; }
}
