// Verdict and leave line by looking them up in the trip's tables, which the server made. No belief
// is worked out here: the phone adds up colours and litres and reads a row.

import { litres } from "./entries.js";
import { many, t } from "./speak.js";

const CLASSES = ["coarse", "medium", "fine"];
const NEARLY = 1.1;  // a pan is rarely level full: a row counts as reached a little before its litres
// The desk's words, see reports/decide/creek_words.py.
const SAID = { dig: t("Dig"), pan: t("Keep panning"), move: t("Move"), home: t("Go home"), unknown: t("Can't say") };
const blank = value => value === null || value === undefined || value === "";
const round = number => Math.round(number * 10) / 10;

// Pans with any count: how many, their litres, weighted colours, and whether a class is missing.
function tally(pans, weights) {
  const counted = pans.filter(pan => CLASSES.some(name => !blank(pan.body[name])) && litres(pan.body.volume));
  let colours = 0;
  for (const pan of counted) {
    for (const name of CLASSES) if (!blank(pan.body[name])) colours += Number(pan.body[name]) * Number(weights[name]);
  }
  return {
    pans: counted.length,
    left: pans.length - counted.length,
    partly: counted.some(pan => CLASSES.some(name => blank(pan.body[name]))),
    litres: counted.reduce((sum, pan) => sum + litres(pan.body.volume), 0),
    colours,
  };
}

// The last row whose litres were washed; null before the first.
function rowFor(rows, washed) {
  const reached = rows.filter(row => row.litres <= washed * NEARLY + 1e-9);
  return reached.length ? reached[reached.length - 1] : null;
}

// A spot's own table; for one made today, the table of a new spot at its site.
function tableFor(tables, spot, site) {
  if (!tables) return null;
  const fresh = (tables.new_spots || []).find(each => String(each.site) === String(site));
  return (tables.spots || []).find(each => each.spot === spot) || fresh || tables.new_spot || null;
}

// { word: "dig" | "pan" | "move" | "home" | "unknown" | "", said, why }: what to do and what it rests
// on. Without a table it says so.
export function verdict(tables, { spot, site }, pans) {
  const table = tableFor(tables, spot, site);
  if (!table) {
    return { word: "", said: "", why: t("No table for a verdict on this phone. Fetch the trip while there is reception.") };
  }
  const sum = tally(pans, table.coarse_weight);
  const left = sum.left ? t(" {left} left out: not counted.", { left: sum.left }) : "";
  const rows = table.rows || [];
  if (table.method === "none" || !rows.length) return told(table.first, table, `${table.words}${left}`);
  if (!sum.pans) return told(table.first, table, t("Before the first counted pan. {bounds}{left}", { bounds: bounds(rows[0]), left }));
  const row = rowFor(rows, sum.litres);
  const panned = many("{n} pan", "{n} pans", sum.pans);
  const sofar = t("{colours} in {litres} L, {panned}.", { colours: colours(sum.colours, table.coarse_weight), litres: round(sum.litres), panned });
  if (!row) return told("pan", table, `${sofar} ${bounds(rows[0])}${left}`);
  let word = "pan";
  if (!blank(row.dig_at_least) && sum.colours >= row.dig_at_least) word = "dig";
  // A class that wasn't counted may hold the rest: too few can't be said then.
  else if (!blank(row.move_at_most) && sum.colours <= row.move_at_most) word = sum.partly ? "unknown" : row.low;
  const partly = sum.partly ? t(" A class wasn't counted: this can say dig, never move.") : "";
  return told(word, table, `${sofar} ${bounds(row)}${partly}${left}`);
}

function told(word, table, why) {
  const said = word === "move" && table.second ? `Go to ${table.second}` : SAID[word] || SAID.pan;
  return { word, said, why: why.trim() };
}

// A count with halves; weighted where not every colour counts 1.
function colours(count, weights) {
  const half = count % 1 >= 0.25 ? "½" : "";
  const number = Math.floor(count) || !half ? `${Math.floor(count)}${half}` : half;
  // Half a colour takes the form of more than one.
  const forms = Number.isInteger(count) ? count : Math.max(2, Math.floor(count));
  return CLASSES.every(name => Number(weights[name]) === 1)
    ? many("{number} colour", "{number} colours", forms, { number })
    : many("{number} weighted colour", "{number} weighted colours", forms, { number });
}

function bounds(row) {
  const parts = [];
  if (!blank(row.move_at_most)) parts.push(row.low === "home"
    ? t("go home at {most} or fewer", { most: row.move_at_most }) : t("move at {most} or fewer", { most: row.move_at_most }));
  if (!blank(row.dig_at_least)) parts.push(t("dig at {dig_at_least} or more", { dig_at_least: row.dig_at_least }));
  return parts.length ? t("At {litres} L: {join}.", { litres: round(row.litres), join: parts.join(", ") }) : t("At {litres} L: keep panning.", { litres: round(row.litres) });
}

export const leaveLine = tables => (tables && tables.leave && tables.leave.words) || "";
