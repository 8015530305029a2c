// A record in a few words, and the choices that the server sent.

import { counts, holeOpen, isRunning, runOpen } from "./entries.js";
import { siteName, spotName, state } from "./state.js";
import { clockFace, dayWords } from "./time.js";

export const choices = name => (state.bundle ? state.bundle.choices[name] : []) || [];
export const label = (name, code) => (choices(name).find(([value]) => value === code) || [code, code])[1];

export const STATUS = {
  waiting: "only on this phone", sent: "sent", look: "needs a look", differs: "not sent: differs", refused: "not sent: refused",
};

export function words({ kind, body }) {
  if (kind === "pan") return `Test pan at ${spotName(body.spot)}: ${counts(body)}${body.volume ? `, ${body.volume}` : ""}`;
  if (kind === "run") return `Box run at ${spotName(body.spot)}: ${runOpen({ kind, body }) ? "running" : counts(body)}${body.tubs ? `, ${body.tubs} tubs` : ""}`;
  if (kind === "hours") {
    const span = body.minutes || `${clockFace(body.started_at)}–${isRunning({ kind, body }) ? "now" : clockFace(body.ended_at)}`;
    return `${capital(label("activity", body.activity))}, ${span}`;
  }
  if (kind === "cost") return `Cost: ${label("what", body.what)}, ${body.amount || "?"} ${state.bundle ? state.bundle.currency : ""}`.trim();
  if (kind === "hole") {
    const where = body.spot ? spotName(body.spot) : siteName(body.site);
    return `Hole at ${where}, ${holeOpen({ kind, body }) ? "open" : `filled ${dayWords(body.filled_on)}`}`;
  }
  if (kind === "photo") {
    const [what, key] = String(body.of || "trip").split(" ");
    return body.caption ? `Photo: ${body.caption}` : `Photo of ${what === "spot" ? spotName(key) : `the ${what}`}`;
  }
  if (kind === "spot") return `Spot ${body.name}`;
  if (kind === "note") return `Note: ${(body.text || "").slice(0, 60)}`;
  return kind;
}

export const entriesWords = count => (count === 1 ? "1 entry" : `${count} entries`);
export const capital = text => text.charAt(0).toUpperCase() + text.slice(1);
