// What is due before leaving: open holes, clocks and runs, what the papers and rules ask for.

import { button, h } from "../dom.js";
import { runningBlock } from "../clock.js";
import { holeOpen, runOpen } from "../entries.js";
import { changeNow } from "../keeping.js";
import { state, trip, waiting } from "../state.js";
import { clockFace, nowText } from "../time.js";
import { entriesWords, label, words } from "../words.js";
import { again, go } from "../frame.js";
import { endRun } from "./run.js";
import { fillHole } from "./small.js";
import { t } from "../speak.js";

export function leaveScreen() {
  const now = trip();
  const sites = now ? now.sites : [];
  const holes = state.records.filter(record => holeOpen(record) && (record.trip === (now && now.uuid) || sites.includes(record.body.site) || record.here));
  const runs = state.records.filter(runOpen);
  const clock = runningBlock(state.records);
  const due = now ? now.due : [];
  const lines = [
    ...holes.map(record => line(words(record), button(t("Filled"), async () => { if (await fillHole(record)) again(); }))),
    ...runs.map(record => line(words(record), button(t("End"), async () => { if (await endRun(record)) again(); }))),
    clock && line(t("The clock runs: {activity}", { activity: label("activity", clock.body.activity) }), button(t("Stop"), async () => {
      if (await changeNow(clock, () => ({ ended_at: nowText() }), () => t("clock stopped"))) again();
    })),
    waiting().length > 0 && line(t("Only on this phone: {entriesWords}", { entriesWords: entriesWords(waiting().length) }), button(t("Outbox"), () => go("outbox"))),
  ].filter(Boolean);
  return [h("h1", {}, t("Before you leave")),
    lines.length ? h("ul", { class: "plain" }, lines) : h("p", {}, t("No open hole, run or clock is noted on this phone. Look round all the same.")),
    now && (now.back_by || now.alarm) && h("p", {}, `${now.back_by ? t("Back by {back_by}. ", { back_by: clockFace(now.back_by) }) : ""}${now.alarm ? t("Raises the alarm: {alarm}.", { alarm: now.alarm }) : ""}`),
    PHASES.map(([phase, title]) => section(title, due.filter(each => each.phase === phase))),
    h("p", { class: "hint" }, t("From what is noted in your record. Nothing listed doesn't mean that nothing applies: ask the office named on the trip sheet."))];
}

const line = (text, action) => h("li", { class: "row" }, h("span", {}, text), action);
// When a line matters, nearest first; what was to be settled before setting out comes last.
const PHASES = [["home", t("Before you go home")], ["creek", t("At the creek")], ["after", t("Afterwards")],
  ["leave", t("Was due before you left home")], ["plan", t("Was due when planning")]];

const OUTCOMES = { stop: t("Stop"), do: t("Do"), ask: t("Ask") };

const section = (title, lines) => lines.length > 0 && h("section", {}, h("h2", {}, title),
  h("ul", {}, lines.map(each => h("li", {}, h("strong", {}, `${OUTCOMES[each.outcome] || each.outcome}: `), each.text, " ", h("span", { class: "hint" }, each.why)))));
