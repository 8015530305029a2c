// The trip's ground drawn from what is on the phone: no tiles, no network. A grid and a scale,
// outlines, tracks, spots, holes, and where the phone is when asked.

import { position } from "../camera.js";
import { button, h, say } from "../dom.js";
import { away, distance, metres, roundLength, thinned, things } from "../ground.js";
import { setPref, spots, state, trip } from "../state.js";
import { again, go } from "../frame.js";
import { many, t } from "../speak.js";

const WIDE = 360, HIGH = 340, EDGE = 28, CLOSEST_M = 20, FARTHEST_M = 400000, CLOSE_M = 5000;
const KINDS = { site: t("Site"), spot: t("Spot"), hole: t("Hole"), photo: t("Photo"), waypoint: t("Waypoint") };
let shown = null, view = null, here = null;

const svg = (tag, props = {}, ...children) => {
  const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(props)) element.setAttribute(name, value);
  element.append(...children.flat(2).filter(Boolean));
  return element;
};

// Spots as this phone knows them, made here or told; the rest as the server drew it.
function ground() {
  const told = things(state.allMaps[trip() && trip().uuid]).filter(each => each.kind !== "spot");
  const sites = trip() ? trip().sites : [];
  const own = spots().filter(spot => sites.includes(spot.site) && spot.lat && spot.lon)
    .map(spot => ({ kind: "spot", name: spot.name, uuid: spot.uuid, point: [Number(spot.lat), Number(spot.lon)], lines: [] }))
    .filter(spot => spot.point.every(Number.isFinite));
  return [...told, ...own];
}

export function mapScreen() {
  const all = ground();
  const pointsOf = list => list.flatMap(each => [each.point, ...each.lines.flat()]).filter(Boolean);
  const points = pointsOf(all);
  if (!points.length && !here) {
    return [h("h1", {}, t("Map")), h("p", {}, t("Nothing of this trip has a position yet. Take the phone's position for a spot, or give the site one on the desk.")), hereButton()];
  }
  const origin = points[0] || here.point;
  const key = `${trip() && trip().uuid} ${origin}`;
  const fresh = Boolean(here && here.fresh);
  if (shown !== key || !view || fresh) {
    // The ground first: a track of the whole drive would shrink it to a dot. "All" shows that too.
    const near = pointsOf(all.filter(each => each.kind !== "track"));
    view = fresh && !close(here.point, origin) ? whole([here.point], origin)
      : whole([...(near.length ? near : points), ...(fresh ? [here.point] : [])], origin);
    shown = key;
    if (fresh) here.fresh = false;
  }
  const frame = h("div", { class: "ground" });
  const draw = () => frame.replaceChildren(drawing(all, origin, draw));
  const look = (name, label, change) => button(name, () => { change(); clamp(); draw(); }, { "aria-label": label, "data-repeats": true });
  draw();
  return [h("h1", {}, t("Map")), frame,
    h("div", { class: "mapbar" },
      look("+", t("Closer"), () => { view.span /= 1.6; }), look("−", t("Farther"), () => { view.span *= 1.6; }),
      look(t("All"), t("All of it"), () => { view = whole(points.length ? points : [here.point], origin); }), hereButton()),
    list(all)];
}

const close = (point, origin) => Math.hypot(...metres(point, origin)) < CLOSE_M;
const clamp = () => { view.span = Math.min(FARTHEST_M, Math.max(CLOSEST_M, view.span)); };

function hereButton() {
  return button(t("Where am I"), async () => {
    say(t("Looking for the position …"));
    const found = await position();
    if (found.lat === null) { say(found.reason); return; }
    here = { point: [Number(found.lat), Number(found.lon)], within: found.within_m, fresh: true };
    say(t("Position taken, within about {within_m} m.", { within_m: found.within_m }));
    if (location.hash === "#map") again();
  }, { class: "primary" });
}

// Middle and width in metres so that every point is inside.
function whole(points, origin) {
  const flat = points.map(point => metres(point, origin));
  const [low, high] = [Math.min, Math.max].map(pick => [0, 1].map(axis => flat.reduce((found, each) => pick(found, each[axis]), flat[0][axis])));
  const span = Math.max(high[0] - low[0], (high[1] - low[1]) * (WIDE / HIGH)) * (WIDE / (WIDE - 2 * EDGE));
  return { east: (low[0] + high[0]) / 2, north: (low[1] + high[1]) / 2, span: Math.max(span * 1.1, 100) };
}

function drawing(all, origin, draw) {
  const scale = WIDE / view.span;
  const flat = point => {
    const [east, north] = metres(point, origin);
    return [WIDE / 2 + (east - view.east) * scale, HIGH / 2 - (north - view.north) * scale];
  };
  const path = (line, closed) => thinned(line.map(flat), 0.7).map(([x, y], number) => `${number ? "L" : "M"}${x.toFixed(1)} ${y.toFixed(1)}`).join("") + (closed ? "Z" : "");
  const lines = all.flatMap(each => each.lines.map(line => svg("path", { class: `g-${each.kind}`, d: path(line, each.kind === "outline") })));
  const placed = all.filter(each => each.point).map(each => ({ ...each, at: flat(each.point) }))
    .filter(({ at: [x, y] }) => x > -20 && x < WIDE + 20 && y > -20 && y < HIGH + 20);
  const board = svg("svg", { class: "map", viewBox: `0 0 ${WIDE} ${HIGH}`, role: "img", tabindex: "0", "aria-label": words(all) },
    grid(scale), lines, placed.map(mark), names(placed), here ? me(flat, scale) : null, bar(scale));
  byHand(board, scale, draw);
  return board;
}

const COUNTED = {
  site: n => many("{n} site", "{n} sites", n), spot: n => many("{n} spot", "{n} spots", n),
  hole: n => many("{n} hole", "{n} holes", n), photo: n => many("{n} photo", "{n} photos", n),
  waypoint: n => many("{n} waypoint", "{n} waypoints", n),
};
const words = all => {
  const count = kind => all.filter(each => each.kind === kind).length;
  const parts = Object.entries(COUNTED).map(([kind, said]) => [count(kind), said]).filter(([number]) => number)
    .map(([number, said]) => said(number));
  return t("Map, north up: {join}. The list below has the same. Arrow keys move it, plus and minus zoom.", { join: parts.join(", ") || t("no marks") });
};

function grid(scale) {
  const step = roundLength(view.span / 3) * scale;
  const made = [];
  const start = (from, size) => ((((size / 2 - from * scale) % step) + step) % step);
  for (let x = start(view.east, WIDE); x < WIDE; x += step) made.push(svg("path", { class: "g-grid", d: `M${x.toFixed(1)} 0V${HIGH}` }));
  for (let y = start(-view.north, HIGH); y < HIGH; y += step) made.push(svg("path", { class: "g-grid", d: `M0 ${y.toFixed(1)}H${WIDE}` }));
  return made;
}

// One form for each kind, so that no colour has to be told apart.
function mark({ kind, at: [x, y] }) {
  const [a, b] = [x.toFixed(1), y.toFixed(1)];
  if (kind === "site") return svg("rect", { class: "g-mark", x: (x - 7).toFixed(1), y: (y - 7).toFixed(1), width: 14, height: 14 });
  if (kind === "hole") return svg("path", { class: "g-cross", d: `M${a} ${b}m-6-6l12 12m0-12l-12 12` });
  if (kind === "spot") return svg("circle", { class: "g-mark g-round", cx: a, cy: b, r: 6 });
  return svg("path", { class: "g-mark", d: `M${a} ${b}m0-6l6 11h-12z` });
}

// Names where there is room for them; the list below has them all.
function names(placed) {
  const taken = [];
  return placed.filter(each => ["site", "spot"].includes(each.kind)).map(({ name, at: [x, y] }) => {
    const wide = Math.min(name.length, 18) * 7.5 + 12;
    const left = x + wide > WIDE ? x - wide : x + 10;
    const box = [left, y - 9, left + wide, y + 9];
    if (taken.some(other => box[0] < other[2] && box[2] > other[0] && box[1] < other[3] && box[3] > other[1])) return null;
    taken.push(box);
    return svg("text", { class: "g-name", x: left.toFixed(1), y: (y + 5).toFixed(1) }, name.length > 18 ? `${name.slice(0, 17)}…` : name);
  });
}

function me(flat, scale) {
  const [x, y] = flat(here.point);
  return svg("g", { class: "g-me" },
    svg("circle", { class: "g-within", cx: x, cy: y, r: Math.max(10, here.within * scale) }),
    svg("path", { d: `M${x - 14} ${y}h28M${x} ${y - 14}v28` }), svg("circle", { cx: x, cy: y, r: 5 }));
}

function bar(scale) {
  const length = roundLength(view.span / 2.5);
  return svg("g", { class: "g-bar" },
    svg("path", { d: `M12 ${HIGH - 18}v8h${(length * scale).toFixed(1)}v-8` }),
    svg("text", { x: 16, y: HIGH - 16 }, distance(length)), svg("text", { x: WIDE - 24, y: 20 }, "N ↑"));
}

function byHand(board, scale, draw) {
  const move = (right, down) => { view.east -= right / scale; view.north += down / scale; };
  let from = null;
  board.addEventListener("pointerdown", event => { from = [event.clientX, event.clientY]; board.setPointerCapture(event.pointerId); });
  board.addEventListener("pointermove", event => {
    if (!from) return;
    // Only the drawing is shifted under the finger; it is drawn anew when the finger lifts.
    board.setAttribute("viewBox", `${((from[0] - event.clientX) * WIDE) / board.clientWidth} ${((from[1] - event.clientY) * WIDE) / board.clientWidth} ${WIDE} ${HIGH}`);
  });
  const end = event => {
    if (!from) return;
    const factor = WIDE / board.clientWidth;
    move((event.clientX - from[0]) * factor, (event.clientY - from[1]) * factor);
    from = null;
    draw();
  };
  board.addEventListener("pointerup", end);
  board.addEventListener("pointercancel", () => { from = null; draw(); });
  board.addEventListener("keydown", event => {
    const shift = { ArrowLeft: [60, 0], ArrowRight: [-60, 0], ArrowUp: [0, 60], ArrowDown: [0, -60] }[event.key];
    const zoom = { "+": 1 / 1.6, "-": 1.6 }[event.key];
    if (!shift && !zoom) return;
    event.preventDefault();
    if (shift) move(...shift);
    else { view.span *= zoom; clamp(); }
    const frame = board.parentElement;
    draw();
    frame.firstChild.focus();
  });
}

// The same as text: nearest first once the phone's place is known. A spot is chosen by a tap.
function list(all) {
  const rows = all.filter(each => each.point).map(each => ({ ...each, off: here && away(here.point, each.point) }));
  if (here) rows.sort((a, b) => a.off.far - b.off.far);
  const tracks = all.filter(each => each.kind === "track");
  return h("section", {}, h("h2", {}, here ? t("Nearest first") : t("On the map")),
    h("p", { class: "hint" }, t("Square: site. Round: spot. Cross: hole. Triangle: photo or waypoint. Dashed: outline, your own drawing and no proof of a border. Thick line: track.")),
    h("ul", { class: "plain" }, rows.slice(0, 60).map(each => h("li", { class: "row" },
      h("span", {}, h("strong", {}, each.name), " ", h("span", { class: "hint" }, `${KINDS[each.kind] || each.kind}${each.off ? `, ${each.off.text}` : ""}`)),
      each.uuid && button(t("Work here"), async () => { await setPref("spot", each.uuid); go(""); }, { "aria-label": t("Work here: {name}", { name: each.name }) }))),
    tracks.map(each => h("li", { class: "row" }, h("span", {}, h("strong", {}, each.name), " ", h("span", { class: "hint" }, t("Track, {detail}", { detail: each.detail })))))));
}
