// A record in a few words, and the choices that the server sent.

import { counts, holeOpen, isRunning, runOpen } from "./entries.js";
import { siteName, spotName, state } from "./state.js";
import { clockFace, dayWords } from "./time.js";
import { many, t } from "./speak.js";

export const choices = name => (state.bundle ? state.bundle.choices[name] : []) || [];
export const label = (name, code) => (choices(name).find(([value]) => value === code) || [code, code])[1];

export const STATUS = {
  waiting: t("only on this phone"), sent: t("sent"), look: t("needs a look"), differs: t("not sent: differs"), refused: t("not sent: refused"),
};

export function words({ kind, body }) {
  if (kind === "pan") return t("Test pan at {spot}: {body}{volume}", { spot: spotName(body.spot), body: counts(body), volume: body.volume ? `, ${body.volume}` : "" });
  if (kind === "run") return t("Box run at {spot}: {runOpen}{tubs}", { spot: spotName(body.spot), runOpen: runOpen({ kind, body }) ? t("running") : counts(body), tubs: body.tubs ? t(", {tubs} tubs", { tubs: body.tubs }) : "" });
  if (kind === "hours") {
    const span = body.minutes || `${clockFace(body.started_at)}–${isRunning({ kind, body }) ? t("now") : clockFace(body.ended_at)}`;
    return `${capital(label("activity", body.activity))}, ${span}`;
  }
  if (kind === "cost") return t("Cost: {what}, {amount} {bundle}", { what: label("what", body.what), amount: body.amount || "?", bundle: state.bundle ? state.bundle.currency : "" }).trim();
  if (kind === "hole") {
    const where = body.spot ? spotName(body.spot) : siteName(body.site);
    return t("Hole at {where}, {holeOpen}", { where, holeOpen: holeOpen({ kind, body }) ? t("open") : t("filled {filled_on}", { filled_on: dayWords(body.filled_on) }) });
  }
  if (kind === "photo") {
    const [what, key] = String(body.of || "trip").split(" ");
    return body.caption ? t("Photo: {caption}", { caption: body.caption }) : t("Photo of {what}", { what: what === "spot" ? spotName(key) : what === "hole" ? t("the hole") : t("the trip") });
  }
  if (kind === "spot") return t("Spot {name}", { name: body.name });
  if (kind === "note") return t("Note: {words}", { words: (body.text || "").slice(0, 60) });
  return kind;
}

export const entriesWords = count => many("{n} entry", "{n} entries", count);
export const capital = text => text.charAt(0).toUpperCase() + text.slice(1);
