// Ids, days and lengths of time. Nothing here touches the page.

import { t } from "./speak.js";

export function newId() {
  if (crypto.randomUUID) return crypto.randomUUID();
  // Plain HTTP has no randomUUID; the same sixteen random bytes by hand.
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map(byte => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

export const nowText = () => new Date().toISOString();

export function localDay(when = new Date()) {
  const pad = number => String(number).padStart(2, "0");
  return `${when.getFullYear()}-${pad(when.getMonth() + 1)}-${pad(when.getDate())}`;
}

export function clockFace(text) {
  const when = new Date(text);
  if (Number.isNaN(when.getTime())) return "";
  return `${String(when.getHours()).padStart(2, "0")}:${String(when.getMinutes()).padStart(2, "0")}`;
}

// The instant of a clock face on a day; as before, to the second, where the face is the same.
export function atFace(face, day, before) {
  if (!face) return null;
  if (before && clockFace(before) === face) return before;
  const when = new Date(`${day}T${face}`);
  return Number.isNaN(when.getTime()) ? before || null : when.toISOString();
}

// An end that reads earlier than the start was on the next day.
export function endAfter(start, end) {
  if (!start || !end || new Date(end) >= new Date(start)) return end;
  if (clockFace(start) === clockFace(end)) return start;
  const when = new Date(end);
  when.setDate(when.getDate() + 1);
  return when.toISOString();
}

export function dayWords(text) {
  const [year, month, day] = String(text).split("-").map(Number);
  const months = [t("Jan"), t("Feb"), t("Mar"), t("Apr"), t("May"), t("Jun"), t("Jul"), t("Aug"), t("Sep"), t("Oct"), t("Nov"), t("Dec")];
  return months[month - 1] ? `${day} ${months[month - 1]} ${year}` : String(text);
}

export const minutesBetween = (from, to) => Math.round((new Date(to) - new Date(from)) / 60000);

export function minutesWords(minutes) {
  if (minutes < 60) return t("{minutes} min", { minutes });
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")}`;
}

// The day to note things under: today if the trip is on, else the trip's nearest day.
export function dayFor(trip, today) {
  if (!trip) return today;
  if (today < trip.starts_on) return trip.starts_on;
  return today > trip.ends_on ? trip.ends_on : today;
}
