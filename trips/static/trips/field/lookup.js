// Verdict and leave line by looking them up in the tables that the server made. No sums of belief
// here: the phone adds up colours and litres and reads a row.

import { litres } from "./entries.js";

const CLASSES = ["coarse", "medium", "fine"];
const blank = value => value === null || value === undefined || value === "";

// Pans of one spot that were wholly counted: how many, their litres and weighted colours.
export function tally(pans, weights) {
  const counted = pans.filter(pan => CLASSES.every(name => !blank(pan.body[name])) && litres(pan.body.volume));
  const colours = counted.reduce((sum, pan) =>
    sum + CLASSES.reduce((part, name) => part + Number(pan.body[name]) * weightOf(weights, name), 0), 0);
  return {
    pans: counted.length,
    left: pans.length - counted.length,
    litres: counted.reduce((sum, pan) => sum + litres(pan.body.volume), 0),
    colours: Math.round(colours * 10) / 10,
  };
}

function weightOf(weights, name) {
  const found = weights ? Number(weights[name]) : Number.NaN;
  return Number.isFinite(found) ? found : 1;
}

// The row for what was washed: by litres, because pans are not always full.
export function rowFor(rows, sum) {
  const reached = rows.filter(row => row.litres <= sum.litres * 1.05);
  return reached.length ? reached[reached.length - 1] : rows[0] || null;
}

export function tableFor(tables, spot) {
  if (!tables) return null;
  return (tables.spots || []).find(each => each.spot === spot) || tables.new_spot || null;
}

// { word: "dig" | "pan" | "move" | "", text }. Without a table or a counted pan it says so.
export function verdict(tables, spot, pans) {
  const table = tableFor(tables, spot);
  if (!table || !(table.rows || []).length) {
    return { word: "", text: "No table for a verdict on this phone. Fetch the trip while there is reception." };
  }
  const sum = tally(pans, table.coarse_weight);
  const left = sum.left ? ` ${sum.left} left out: not wholly counted.` : "";
  if (!sum.pans) {
    const first = table.rows[0];
    return { word: "", text: `No wholly counted pan here yet.${left} ${bounds(first)}`.trim() };
  }
  const row = rowFor(table.rows, sum);
  let word = "pan";
  if (!blank(row.move_at_most) && sum.colours <= row.move_at_most) word = "move";
  if (!blank(row.dig_at_least) && sum.colours >= row.dig_at_least) word = "dig";
  const said = { dig: "Dig here", move: "Move on", pan: "Keep panning" }[word];
  const pansSaid = sum.pans === 1 ? "1 pan" : `${sum.pans} pans`;
  const text = `${said}. ${pansSaid}, ${Math.round(sum.litres * 10) / 10} L, ${sum.colours} weighted colours. ${bounds(row)}${left}`;
  return { word, text: text.trim() };
}

function bounds(row) {
  const parts = [];
  if (!blank(row.move_at_most)) parts.push(`move at ${row.move_at_most} or fewer`);
  if (!blank(row.dig_at_least)) parts.push(`dig at ${row.dig_at_least} or more`);
  return parts.length ? `After ${Math.round(row.litres * 10) / 10} L: ${parts.join(", ")}.` : "";
}

export const leaveLine = tables => (tables && tables.leave && (tables.leave.line || tables.leave.words)) || "";
