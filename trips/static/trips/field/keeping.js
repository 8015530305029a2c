// Keep, correct, remove, undo: what every screen does with an entry, and how it says so.

import { say, whileBusy } from "./dom.js";
import { keep, recordBy, state } from "./state.js";
import { t } from "./speak.js";

let after = () => {};
export const whenKept = work => { after = work; };

export const NOT_KEPT = t("NOT kept: the phone couldn't write it. Write it on paper now. Then save everything as a file and free some room.");

// One after the other, so that each sees what the one before has kept: two quick taps neither
// contradict each other nor start two clocks.
export function oneByOne() {
  let last = Promise.resolve();
  return work => {
    const turn = last.then(work);
    last = turn.catch(() => {});
    return turn;
  };
}

const inTurn = oneByOne();

// Say "kept" only after the phone's database has it; say the opposite aloud when it has not.
export const keepAndSay = (kind, body, words, options = {}) =>
  whileBusy(() => inTurn(() => kept(kind, body, words, options)));

// A tap that rests on no form ("+1 tub", "End") changes the record as it stands by then. A form
// doesn't: what came in while it was open has to be asked about, not overwritten.
export const changeNow = (record, change, words) => whileBusy(() => inTurn(() => {
  const now = recordBy(record.key) || record;
  const body = { ...now.body, ...change(now.body) };
  return kept(now.kind, body, words(body), { record: now });
}));

async function kept(kind, body, words, options) {
  let entry;
  try {
    entry = await keep(kind, body, options);
  } catch (problem) {
    state.trouble = `${NOT_KEPT} (${problem && problem.name ? problem.name : "unknown"})`;
    say(t("NOT kept. Write it on paper now."));
    after(null);
    return null;
  }
  state.trouble = "";
  say(t("Kept: {words}.", { words }), () => undo(entry, words, options.record));
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
  if (entry.kind === "photo" && entry.removed) say(t("A removed photo is brought back on the desk, under Deleted."));
  else if (before) await keepAndSay(entry.kind, before.body, t("as before ({words})", { words }), { record: now, removed: before.removed, onTrip: before.trip });
  else if (!entry.replaces.length && !entry.base) await keepAndSay(entry.kind, entry.body, t("undone, {words}", { words }), { record: now, removed: true });
  else if (was) await keepAndSay(entry.kind, was.body, t("as before ({words})", { words }), { record: now, onTrip: was.trip });
  else say(t("What it said before isn't on this phone. Change it by hand."));
}

export const remove = (record, words) =>
  keepAndSay(record.kind, record.body, t("removed, {words}", { words }), { record, removed: true });
