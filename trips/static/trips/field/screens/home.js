// The first screen: clock, box runs that are fed, spot with its verdict, the big buttons, what was
// kept last.

import { button, field, h, say, select } from "../dom.js";
import { runningBlock, totals } from "../clock.js";
import { holeOpen, runOpen } from "../entries.js";
import { changeNow, keepAndSay, oneByOne } from "../keeping.js";
import { leaveLine, verdict } from "../lookup.js";
import { day, ofTrip, pansAt, placeOf, recordBy, setPref, state, tables, trip, tripKey } from "../state.js";
import { clockFace, minutesBetween, minutesWords, nowText } from "../time.js";
import { capital, choices, label, STATUS, words } from "../words.js";
import { again, go, signInLink, spotOptions } from "../frame.js";
import { saidParts } from "./pan.js";
import { addTub, endRun } from "./run.js";
import { t } from "../speak.js";

export function homeScreen() {
  if (!state.bundle) return firstTime();
  return [h("h1", { class: "unseen" }, t("Field page")), clockPanel(), runsPanel(), spotPanel(), actions(), leavePanel(), latest()];
}

function firstTime() {
  return [h("h1", {}, t("Field page")),
    h("p", {}, t("Nothing has been fetched on this phone yet. Sign in once while there is reception; after that the page opens without.")),
    h("p", {}, state.link.text),
    signInLink(),
    button(t("Fetch the trip"), () => document.dispatchEvent(new Event("send")))];
}

// ------------------------------------------------------------------ clock

const inTurn = oneByOne();
const startClock = activity => inTurn(() => switchTo(activity));

// What runs stops; then the activity starts, if there is one. What runs already goes on.
async function switchTo(activity) {
  const running = runningBlock(state.records);
  const now = nowText(), person = state.prefs.clock_for ?? whose()[0][0];
  if (running && running.body.activity === activity && (running.body.person ?? "") === person && running.trip === tripKey()) {
    say(t("{capital} runs already, since {started_at}.", { capital: capital(label("activity", activity)), started_at: clockFace(running.body.started_at) }));
    return;
  }
  if (running && !(await changeNow(running, () => ({ ended_at: now }), () => t("clock stopped")))) return;
  if (!activity) { again(); return; }
  const body = { activity, day: day(), started_at: now, ended_at: null, minutes: null, person };
  if (await keepAndSay("hours", body, t("{activity} started", { activity: label("activity", activity) }))) { await setPref("activity", activity); again(); }
}

// Two phones with a clock for everybody would count each hour twice: with company, a clock is one's own.
export function whose() {
  const now = trip();
  const own = now && now.people.length > 1 && now.people.find(([pk]) => pk === now.me);
  const all = ["", t("everybody on the trip")];
  return own ? [[own[0], own[1]], all, ...now.people.filter(([pk]) => pk !== own[0])] : [all, ...(now ? now.people : [])];
}

function clockPanel() {
  const running = runningBlock(state.records);
  const sums = totals(state.records, tripKey(), nowText());
  const last = state.prefs.activity;
  const grid = h("div", { class: "activities" }, choices("activity").map(([code, name]) =>
    button(capital(name), () => startClock(code), { "aria-pressed": String(Boolean(running && running.body.activity === code)) })));
  const face = running
    ? h("p", { class: "clock" }, h("strong", {}, capital(label("activity", running.body.activity))), " ",
      h("span", { class: "elapsed", "data-since": running.body.started_at }, minutesWords(Math.max(0, minutesBetween(running.body.started_at, nowText())))),
      h("span", { class: "hint" }, t(" since {started_at}", { started_at: clockFace(running.body.started_at) })))
    : h("p", { class: "clock" }, h("strong", {}, t("No clock runs")));
  return h("section", { class: "panel", "aria-label": t("Clock") }, face,
    h("div", { class: "two" },
      running ? button(t("Pause"), () => startClock(null), { class: "wide" })
        : last && button(t("Go on: {activity}", { activity: label("activity", last) }), () => startClock(last), { class: "wide primary" })),
    h("details", { open: !running && !last }, h("summary", {}, running ? t("Switch to") : t("Start")), grid,
      field(t("Counts for"), select("clock_for", whose(), state.prefs.clock_for ?? whose()[0][0], { onchange: event => setPref("clock_for", event.target.value) })),
      sums.size > 0 && h("p", { class: "hint" }, [...sums].map(([code, minutes]) => `${label("activity", code)} ${minutesWords(minutes)}`).join(" · "))));
}

// ------------------------------------------------------- spot and verdict

function spotPanel() {
  const spot = state.prefs.spot || "";
  const said = spot ? verdict(tables(), placeOf(spot), pansAt(spot)) : null;
  return h("section", { class: "panel", "aria-label": t("Where you are") },
    h("div", { class: "spotline" },
      field(t("Spot"), select("spot", spotOptions(), spot, { onchange: async event => { await setPref("spot", event.target.value); again(); } })),
      button(t("New"), () => go("spot"), { "aria-label": t("New spot") }),
      recordBy(spot) && button(t("Edit"), () => go(`spot/${spot}`), { "aria-label": t("Edit this spot") })),
    said && h("p", { class: `verdict ${said.word}` }, saidParts(said)));
}

// ---------------------------------------------------------------- actions

function actions() {
  const open = ofTrip("hole").filter(holeOpen).length;
  return h("nav", { class: "actions", "aria-label": t("Note something") },
    button(t("Test pan"), () => go("pan"), { class: "primary" }),
    button(t("Box run"), () => go("run")),
    button(t("Hole"), () => go("hole")),
    button(t("Photo"), () => go("photo")),
    button(t("Note"), () => go("note")),
    button(t("Cost"), () => go("cost")),
    button(t("Map"), () => go("map")),
    button(t("More"), () => go("more")),
    button(open ? t("Before you leave ({open} open)", { open }) : t("Before you leave"), () => go("leave"), { class: "long" }));
}

function runsPanel() {
  return ofTrip("run").filter(runOpen).map(record => h("section", { class: "panel", "aria-label": t("Box run") },
    h("p", { class: "clock" }, h("strong", {}, t("Box run")), h("span", { class: "hint" }, t(" since {started_at}", { started_at: clockFace(record.body.started_at) })),
      t(" {tubs} tubs of {tub}", { tubs: record.body.tubs || 0, tub: record.body.tub || "?" })),
    h("div", { class: "three" },
      button("+1 tub", async () => { if (await addTub(record)) again(); }, { class: "primary", "data-repeats": true }),
      button(t("End"), async () => { if (await endRun(record)) again(); }),
      button(t("Clean-up"), () => go(`run/${record.key}`)))));
}

function leavePanel() {
  const line = leaveLine(tables());
  return line ? h("p", { class: "verdict" }, line) : null;
}

function latest() {
  const mine = state.records.filter(record => record.trip === tripKey() || record.kind === "spot" || record.trip === null)
    .filter(record => record.here || record.trip === tripKey()).slice(0, 60);
  return h("section", {}, h("h2", {}, t("Kept ({length})", { length: mine.length })),
    mine.length ? h("ul", { class: "plain records" }, mine.map(record => h("li", {},
      h("button", { type: "button", class: `record ${record.status}`, onclick: () => go(`${record.kind}/${record.key}`) },
        h("span", {}, words(record)),
        h("span", { class: "hint" }, `${clockFace(record.at)} ${STATUS[record.status]}`.trim())))))
      : h("p", { class: "hint" }, t("Nothing yet. What you keep stands here and can be changed by a tap.")));
}
