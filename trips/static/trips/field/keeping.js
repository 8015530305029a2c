// Keep, correct, remove, undo: what every screen does with an entry, and how it says so.

import { say, whileBusy } from "./dom.js";
import { keep, recordBy, state } from "./state.js";

let after = () => {};
export const whenKept = work => { after = work; };

export const NOT_KEPT = "NOT kept: the phone couldn't write it. Write it on paper now. Then save everything as a file and free some room.";

// Say "kept" only after the phone's database has it; say the opposite aloud when it has not.
export const keepAndSay = (kind, body, words, options = {}) => whileBusy(() => kept(kind, body, words, options));

async function kept(kind, body, words, options) {
  let entry;
  try {
    entry = await keep(kind, body, options);
  } catch (problem) {
    state.trouble = `${NOT_KEPT} (${problem && problem.name ? problem.name : "unknown"})`;
    say(NOT_KEPT);
    after(null);
    return null;
  }
  state.trouble = "";
  say(`Kept: ${words}.`, () => undo(entry, words, options.record));
  after(entry);
  return entry;
}

// Undo is another entry: the record goes, or goes back to what it said before.
async function undo(entry, words, was) {
  const record = recordBy(entry.record);
  const versions = state.entries.filter(each => each.record === entry.record && each.id !== entry.id);
  const before = versions.filter(each => entry.replaces.includes(each.id))
    .sort((a, b) => (a.made < b.made ? 1 : -1))[0];
  const now = record || { key: entry.record, versions: [...entry.replaces, entry.id], base: entry.base, at: entry.at, trip: entry.trip };
  if (entry.kind === "photo" && entry.removed) say("A removed photo is brought back on the desk, under Deleted.");
  else if (before) await keepAndSay(entry.kind, before.body, `as before (${words})`, { record: now, removed: before.removed, onTrip: before.trip });
  else if (!entry.replaces.length && !entry.base) await keepAndSay(entry.kind, entry.body, `undone, ${words}`, { record: now, removed: true });
  else if (was) await keepAndSay(entry.kind, was.body, `as before (${words})`, { record: now, onTrip: was.trip });
  else say("What it said before isn't on this phone. Change it by hand.");
}

export const remove = (record, words) =>
  keepAndSay(record.kind, record.body, `removed, ${words}`, { record, removed: true });
