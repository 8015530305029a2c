// Activity clocks. One block of hours runs at a time on a phone; pausing ends it, going on starts
// the next, so that a phone that dies in between loses nothing but the end.

import { isRunning } from "./entries.js";
import { minutesBetween } from "./time.js";

export const runningBlock = records => records.find(record => isRunning(record) && record.here) || null;

export function totals(records, trip, now) {
  const sums = new Map();
  for (const record of records) {
    if (record.kind !== "hours" || record.trip !== trip) continue;
    const minutes = blockMinutes(record.body, now);
    if (minutes === null) continue;
    sums.set(record.body.activity, (sums.get(record.body.activity) || 0) + minutes);
  }
  return sums;
}

function blockMinutes(body, now) {
  if (body.minutes) {
    const found = /^(\d+):(\d+)$/.exec(body.minutes);
    return found ? Number(found[1]) * 60 + Number(found[2]) : null;
  }
  if (!body.started_at) return null;
  return Math.max(0, minutesBetween(body.started_at, body.ended_at || now));
}
