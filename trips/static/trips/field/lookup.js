// Verdict and leave line by looking them up in the trip's tables, which the server made. No belief
// is worked out here: the phone adds up colours and litres and reads a row.

import { litres } from "./entries.js";

const CLASSES = ["coarse", "medium", "fine"];
const NEARLY = 1.1;  // a pan is rarely level full: a row counts as reached a little before its litres
// The desk's words, see reports/decide/creek_words.py.
const SAID = { dig: "Dig", pan: "Keep panning", move: "Move", home: "Go home", unknown: "Can't say" };
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
    return { word: "", said: "", why: "No table for a verdict on this phone. Fetch the trip while there is reception." };
  }
  const sum = tally(pans, table.coarse_weight);
  const left = sum.left ? ` ${sum.left} left out: not counted.` : "";
  const rows = table.rows || [];
  if (table.method === "none" || !rows.length) return told(table.first, table, `${table.words}${left}`);
  if (!sum.pans) return told(table.first, table, `Before the first counted pan. ${bounds(rows[0])}${left}`);
  const row = rowFor(rows, sum.litres);
  const panned = sum.pans === 1 ? "1 pan" : `${sum.pans} pans`;
  const sofar = `${colours(sum.colours, table.coarse_weight)} in ${round(sum.litres)} L, ${panned}.`;
  if (!row) return told("pan", table, `${sofar} ${bounds(rows[0])}${left}`);
  let word = "pan";
  if (!blank(row.dig_at_least) && sum.colours >= row.dig_at_least) word = "dig";
  // A class that wasn't counted may hold the rest: too few can't be said then.
  else if (!blank(row.move_at_most) && sum.colours <= row.move_at_most) word = sum.partly ? "unknown" : row.low;
  const partly = sum.partly ? " A class wasn't counted: this can say dig, never move." : "";
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
  const what = CLASSES.every(name => Number(weights[name]) === 1) ? "colour" : "weighted colour";
  return `${number} ${what}${count === 1 ? "" : "s"}`;
}

function bounds(row) {
  const parts = [];
  if (!blank(row.move_at_most)) parts.push(`${row.low === "home" ? "go home" : "move"} at ${row.move_at_most} or fewer`);
  if (!blank(row.dig_at_least)) parts.push(`dig at ${row.dig_at_least} or more`);
  return parts.length ? `At ${round(row.litres)} L: ${parts.join(", ")}.` : `At ${round(row.litres)} L: keep panning.`;
}

export const leaveLine = tables => (tables && tables.leave && tables.leave.words) || "";
